"""Puts closed firings away, beside the event loop: packed, and summed up for lists.

What can wait waits: the firing that was closed last is put away soon, older ones only while no
log is being kept. Knows the record; decides nothing about a firing.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable

from supervisor.core.errors import SpyholeError
from supervisor.record.put_away import put_away
from supervisor.record.store import Record
from supervisor.service.terminal import warn

_LOOK_EVERY_S = 60.0
_BREATH_S = 0.02
"""Between two hours of readings others get the processor."""


class Tidying:
    """Puts away what is closed, one firing after the other, until cancelled."""

    def __init__(
        self,
        record: Record,
        is_busy: Callable[[], bool],
        *,
        look_every_s: float = _LOOK_EVERY_S,
    ) -> None:
        """``is_busy`` says that a log is being kept, so that what can wait had better."""
        self._record = record
        self._is_busy = is_busy
        self._look_every_s = look_every_s
        self._told_to_stop = threading.Event()
        self._failed: set[str] = set()

    async def run(self) -> None:
        """Look for what is to be put away now and then, until cancelled."""
        try:
            while True:
                while not self._is_busy() and await self.put_one_away():
                    pass
                await asyncio.sleep(self._look_every_s)
        finally:
            self._told_to_stop.set()

    async def put_one_away(self) -> bool:
        """Put the latest firing away that is closed and is not put away; False if there is none."""
        try:
            return await asyncio.to_thread(self._put_one_away)
        except SpyholeError as error:
            warn(f"a closed firing could not be put away and stays as it is: {error}")
            return False

    def _put_one_away(self) -> bool:
        for firing in self._record.to_put_away():
            if firing.id in self._failed or self._told_to_stop.is_set():
                continue
            # One that can't be is not in the way of others.
            self._failed.add(firing.id)
            try:
                put_away(self._record, firing, self._breathe)
            except InterruptedError:
                return False
            self._failed.discard(firing.id)
            return True
        return False

    def _breathe(self) -> None:
        if self._told_to_stop.is_set():
            raise InterruptedError
        time.sleep(_BREATH_S)
