"""Looks through the kiln's firings when one is over, and says what is worth a warning, once.

It looks only while no log is being kept, in a process of its own, and never speaks into a firing
that goes on: what it finds is news for the potter beside a cold kiln. What was told is read from
the record, so that a restart tells nothing twice.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from supervisor.core.alerts import Alert
from supervisor.core.errors import SpyholeError
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from supervisor.service.child import ask_child
from supervisor.service.keeper import Keeper
from supervisor.service.terminal import warn

LOOKED_BACK = 40
"""Firings, as `spyhole trends` looks at without being told otherwise."""
TOLD_FOR = 20
"""Firings after which the same is told again, if it is still so."""
_LOOK_EVERY_S = 300.0
_WITHIN_S = 900.0
"""A slow Pi takes minutes for forty long firings, at the lowest precedence."""
_CHILD = Path(__file__).with_name("trends_child.py")

Ask = Callable[[Path, Mapping[str, object]], Awaitable[bytes]]


class TrendWatch:
    """``current`` gives the firing that goes on, or waits for its climb; ``is_busy`` says that a
    log is being kept or the record stands in."""

    def __init__(
        self,
        record: Record,
        current: Callable[[], Keeper],
        is_busy: Callable[[], bool],
        on_news: Callable[[], None],
        *,
        look_every_s: float = _LOOK_EVERY_S,
        ask: Ask = ask_child,
    ) -> None:
        self._record = record
        self._current = current
        self._is_busy = is_busy
        self._on_news = on_news
        self._look_every_s = look_every_s
        self._ask = ask
        self._looked_at: str | None = None

    async def run(self) -> None:
        """Look after each firing, until cancelled."""
        while True:
            await asyncio.sleep(self._look_every_s)
            if not self._is_busy():
                try:
                    await self.look()
                except (SpyholeError, TimeoutError, ValueError) as error:
                    why = str(error) or "it took too long"
                    warn(f"the firings were not looked through for trends: {why}")

    async def look(self) -> int:
        """Look through the firings if one has ended since; how many findings were told.

        Raises SpyholeError or ValueError where that could not be done, TimeoutError.
        """
        keeper = self._current()
        newest = await asyncio.to_thread(self._newest, keeper.firing.kiln)
        if newest is None or newest.id == self._looked_at:
            return 0
        # Whatever comes of it: once for each firing is enough.
        self._looked_at = newest.id
        order = {
            "record": str(self._record.lies_at.parent),
            "kiln": newest.kiln,
            "units": keeper.firing.units.value,
            "last": LOOKED_BACK,
        }
        async with asyncio.timeout(_WITHIN_S):
            findings = json.loads(await self._ask(_CHILD, order))
        keeper = self._current()
        if not keeper.is_armed or self._is_busy():
            # The next firing has begun meanwhile: it is told when that is over.
            self._looked_at = None
            return 0
        told = await asyncio.to_thread(self._told_lately, newest.kiln)
        news = [one for one in findings if not _is_told(one, told)]
        for one in news:
            keeper.tell(_event(one, *keeper.now()))
        if news:
            self._on_news()
        return len(news)

    def _newest(self, kiln: str) -> Firing | None:
        """The real firing that was closed last, once it is put away; None while there is none."""
        waiting = {firing.id for firing in self._record.to_put_away()}
        for firing in self._record.firings():
            if firing.kiln == kiln and firing.mode is Mode.LIVE and not firing.is_open:
                return None if firing.id in waiting else firing
        return None

    def _told_lately(self, kiln: str) -> list[Alert]:
        lately = {seen.firing.id for seen in self._record.seen_in_kiln(kiln)[-TOLD_FOR:]}
        return [
            alert
            for alert in self._record.alerts_of(kiln, Kind.TREND)
            if alert.data.get("firing") in lately
        ]


def _is_told(finding: Mapping[str, Any], told: Sequence[Alert]) -> bool:
    """Whether that was told already, or something graver of the same."""
    return any(
        (alert.data["trend"], alert.channel) == (finding["trend"], finding["of"])
        and bool(alert.data["is_short"]) >= bool(finding["is_short"])
        for alert in told
    )


def _event(finding: Mapping[str, Any], elapsed_s: float, label: str) -> Event:
    return Event(
        elapsed_s,
        Kind.TREND,
        Severity.INFO,
        State.RAISED,
        finding["message"],
        channel=finding["of"],
        data={name: finding[name] for name in ("trend", "is_short", "firing")},
        time=label,
    )
