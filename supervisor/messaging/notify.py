"""Delivers what waits for one person's phone or mailbox, through Apprise.

In order, at least once, marked as sent only when the service has taken it. Each address has a
courier of its own, so that one that is dead keeps nobody else waiting. An address may have a
password in it: it is shown to nobody.
"""

from __future__ import annotations

import asyncio
import hashlib
import random
import re
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field

from supervisor.core.errors import PeerError, RecordError
from supervisor.core.events import Severity
from supervisor.messaging.backoff import pause_s
from supervisor.messaging.destinations import NOTIFY, Destination
from supervisor.messaging.letter import Letter, is_critical, letter_of
from supervisor.messaging.outbox import BATCH, MessageStore, StoredMessage
from supervisor.messaging.sender import send

RETRY_FIRST_S = 5.0
RETRY_LONGEST_S = 600.0
_QUIET_LOOK_S = 60.0
"""In quiet hours it is looked so often whether they are over."""
_WHOLE_NIGHT = 10_000
"""More messages than any night has: a critical one is not to wait behind others."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where a person is reached: Apprise's URL, and what it is called before people."""

    url: str = field(repr=False)
    label: str
    least: Severity = Severity.INFO
    only_escalated: bool = False

    @property
    def destination(self) -> Destination:
        """Its place among the destinations; the name tells nothing of the URL."""
        digest = hashlib.sha256(self.url.encode()).hexdigest()[:8]
        return Destination(
            f"{NOTIFY}{digest}", least=self.least, only_escalated=self.only_escalated
        )


def addresses(
    urls: Sequence[str], escalate_urls: Sequence[str] = (), least: Severity = Severity.INFO
) -> tuple[Address, ...]:
    """The addresses of a configuration, each once; who gets all need not get the rest again."""
    found: dict[str, Address] = {}
    for n, url in enumerate(urls, start=1):
        found.setdefault(url, Address(url, _label(url, n, "urls"), least))
    for n, url in enumerate(escalate_urls, start=1):
        label = _label(url, n, "escalate_urls")
        found.setdefault(url, Address(url, label, only_escalated=True))
    return tuple(found.values())


class Courier:
    """Delivers to one address. ``run`` goes on until it is cancelled."""

    def __init__(
        self,
        address: Address,
        store: MessageStore,
        label: Callable[[], str],
        *,
        page_url: Callable[[], str | None] = lambda: None,
        on_change: Callable[[str | None], None] = lambda _why: None,
        is_quiet: Callable[[], bool] = lambda: False,
        is_unfit: bool = False,
        post: Callable[[str, Letter], Awaitable[None]] = send,
        sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
        chance: Callable[[], float] = random.random,
    ) -> None:
        """``label`` gives the wall clock's label of now. ``on_change`` is called with why
        nothing is taken, once it is known, and with None when something is again;
        ``is_unfit`` says that it is known already. ``is_quiet`` says whether nobody is to be
        woken now by less than a critical alert.
        """
        self.address = address
        self._store = store
        self._label = label
        self._page_url = page_url
        self._on_change = on_change
        self._is_quiet = is_quiet
        self._is_failing = self._is_unfit = is_unfit
        self._post = post
        self._sleep = sleep
        self._chance = chance
        self._news = asyncio.Event()

    def wake(self) -> None:
        """There may be new messages in the store."""
        self._news.set()

    async def run(self) -> None:
        """Deliver until cancelled; what can't be delivered is tried again, ever more seldom."""
        failures = 0
        while True:
            self._news.clear()
            try:
                waiting, may_wake = await asyncio.to_thread(self._look, self._is_quiet())
                if not waiting:
                    if failures and not self._is_unfit:
                        failures = 0
                        self._set_failing(None)
                    await self._news.wait()
                elif may_wake:
                    await self._deliver(waiting)
                    failures, self._is_unfit = 0, False
                    self._set_failing(None)
                else:
                    await self._rest(_QUIET_LOOK_S)
            except (PeerError, RecordError) as error:
                self._set_failing(str(error))
                await self._rest(self._pause_s(failures))
                failures += 1

    def _set_failing(self, why: str | None) -> None:
        if self._is_failing is (why is None):
            self._is_failing = why is not None
            self._on_change(why)

    async def _rest(self, pause_s: float) -> None:
        """Wait before the next try, but not when there is news: it may be urgent."""
        waits = [
            asyncio.ensure_future(self._sleep(pause_s)),
            asyncio.ensure_future(self._news.wait()),
        ]
        try:
            await asyncio.wait(waits, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for one in waits:
                one.cancel()
            await asyncio.gather(*waits, return_exceptions=True)

    def _look(self, is_quiet: bool) -> tuple[Sequence[StoredMessage], bool]:
        """What waits for the next letter, and whether it may go now. In a thread of its own.

        What was due before the quiet hours and is not critical waits until they end. A critical
        alert takes with it all that is before it, for messages go in order.
        """
        if not is_quiet:
            return self._store.waiting_messages(BATCH), True
        waiting = self._store.waiting_messages(_WHOLE_NIGHT)
        return waiting[:BATCH], any(is_critical(message.payload) for message in waiting)

    async def _deliver(self, waiting: Sequence[StoredMessage]) -> None:
        """Send what waits as one letter."""
        letter = letter_of([message.payload for message in waiting], self._page_url())
        await self._post(self.address.url, letter)
        for message in waiting:
            self._store.mark_sent(message.id, self._label())

    def _pause_s(self, failures: int) -> float:
        return pause_s(failures, RETRY_FIRST_S, RETRY_LONGEST_S, self._chance)


def _label(url: str, number: int, key: str) -> str:
    scheme = re.match(r"[A-Za-z][A-Za-z0-9+.-]{0,19}(?=://)", url)
    return f"number {number} of notify.{key} ({scheme[0] if scheme else '?'}://…)"
