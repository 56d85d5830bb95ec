"""Implements ``web.replay.Reels``: films, made one at a time beside the watch and kept a while.

The work is done in a thread that rests as long as it works, a few milliseconds at a time: however
many pages ask, the watch never waits for more than one such piece. What a page then plays, it
plays by itself; a film that many look at is made once.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass, field

from supervisor.core.errors import PeerError, SpyholeError
from supervisor.core.reasons import Reason
from supervisor.record.looking import RecordReader
from supervisor.service.replay.material import entries, material_of
from supervisor.service.replay.reel import wind
from supervisor.service.terminal import warn
from web import replay

MOST_KEPT = 3
"""Films in memory; each is 100 to 300 kB."""
MOST_WAITING = 3
"""Films that may be asked for at once, the one that is being made among them."""
OPEN_FOR_S = 300.0
"""A film of a log that is still being kept is made anew after so long, real seconds."""
FORGOTTEN_S = 120.0
"""What nobody has asked for so long is not made, real seconds: the page is gone for good, and no
phone has just been put into a pocket."""
WORK_S = 0.004
"""Longest piece of work without a rest, real seconds."""


class _StoppedError(Exception):
    """The program ends, or nobody wants the film any more."""


@dataclass(slots=True)
class _Order:
    """A film that is asked for."""

    share: float = 0.0
    asked_at_s: float = field(default_factory=time.monotonic)


@dataclass(frozen=True, slots=True)
class _Kept:
    """A film, or why there is none."""

    film: bytes | SpyholeError
    ends_at_s: float


class Films:
    """The films of one record; ``run`` makes them."""

    def __init__(self, record: RecordReader, kiln_kind: str) -> None:
        self._record = record
        self._kiln_kind = kiln_kind
        self._kept: OrderedDict[str, _Kept] = OrderedDict()
        self._orders: OrderedDict[str, _Order] = OrderedDict()
        self._wanted = asyncio.Event()
        self._is_stopped = threading.Event()

    async def entries(self) -> replay.ReplayList:
        return await asyncio.to_thread(entries, self._record)

    async def film(self, replay_id: str) -> bytes | replay.Winding:
        kept = self._kept.get(replay_id)
        if kept is not None and time.monotonic() < kept.ends_at_s:
            self._kept.move_to_end(replay_id)
            if isinstance(kept.film, SpyholeError):
                del self._kept[replay_id]
                raise kept.film
            return kept.film
        order = self._orders.get(replay_id)
        if order is None:
            if len(self._orders) >= MOST_WAITING:
                raise PeerError(
                    "Too many firings are being made ready for playing; try again in a minute."
                ).because(Reason.TOO_MANY_ASK)
            order = self._orders[replay_id] = _Order()
            self._wanted.set()
        order.asked_at_s = time.monotonic()
        return replay.Winding(
            share=round(order.share, 3), waiting=list(self._orders).index(replay_id)
        )

    async def run(self) -> None:
        """Make what is asked for, until cancelled."""
        try:
            while True:
                await self._wanted.wait()
                self._wanted.clear()
                while self._orders:
                    await self._make(next(iter(self._orders)))
        finally:
            self._is_stopped.set()

    async def _make(self, replay_id: str) -> None:
        order = self._orders[replay_id]
        try:
            made = await asyncio.to_thread(self._wind, replay_id, order)
        except _StoppedError:
            return
        except SpyholeError as error:
            made = _Kept(error, time.monotonic() + FORGOTTEN_S)
        except Exception as error:
            # Whatever is wrong with an old firing, the kiln of now is watched.
            warn(f"{replay_id} can't be played: {type(error).__name__}: {error}")
            why = PeerError("This one can't be played; spyhole's own log has the details.").because(
                Reason.FILM_IMPOSSIBLE
            )
            made = _Kept(why, time.monotonic() + FORGOTTEN_S)
        finally:
            del self._orders[replay_id]
        self._kept[replay_id] = made
        self._kept.move_to_end(replay_id)
        while len(self._kept) > MOST_KEPT:
            self._kept.popitem(last=False)

    def _wind(self, replay_id: str, order: _Order) -> _Kept:
        """Runs in a thread; ends soon when the program does, or when nobody asks any more."""
        material = material_of(self._record, replay_id, self._kiln_kind)
        rested_at_s = time.monotonic()

        def breathe(share: float) -> None:
            nonlocal rested_at_s
            order.share = share
            worked_s = time.monotonic() - rested_at_s
            if worked_s < WORK_S:
                return
            if self._is_stopped.wait(worked_s):
                raise _StoppedError
            rested_at_s = time.monotonic()
            if rested_at_s - order.asked_at_s > FORGOTTEN_S:
                raise _StoppedError

        film = wind(material, breathe)
        lasts_s = OPEN_FOR_S if material.entry.is_open else float("inf")
        return _Kept(film, time.monotonic() + lasts_s)
