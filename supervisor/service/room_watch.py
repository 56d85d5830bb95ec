"""Looks how much room the disk of the record has, and says so well before it is full.

A disk that is full is told by the record itself, when it refuses; here there is still time. Knows
the record's room; makes none.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path

from supervisor.core.errors import SpyholeError
from supervisor.record.room import Room, room_of

_LOOK_EVERY_S = 600.0
_TELL_EVERY = 72
"""Looks between two words on the terminal about the same: twelve hours."""


class RoomWatch:
    """``warning`` is what to do while room is low, ``hours_left`` how many hours of a firing it is
    enough for, both else None; ``on_change`` is called when they change."""

    def __init__(
        self,
        path: Path,
        tell: Callable[[str], None],
        on_change: Callable[[], None],
        *,
        look: Callable[[Path], Room] = room_of,
        every_s: float = _LOOK_EVERY_S,
    ) -> None:
        """``tell`` says a sentence to whoever reads the journal."""
        self.warning: str | None = None
        self.hours_left: float | None = None
        self._path = path
        self._tell = tell
        self._on_change = on_change
        self._look = look
        self._every_s = every_s
        self._looks_since_told = 0

    async def run(self) -> None:
        """Look now and then until cancelled; a disk that can't be asked is no news here."""
        while True:
            try:
                room = await asyncio.to_thread(self._look, self._path)
            except SpyholeError:
                pass
            else:
                self._take(room)
            await asyncio.sleep(self._every_s)

    def _take(self, room: Room) -> None:
        before, self.warning = self.warning, room.warning()
        self.hours_left = room.hours_left if room.is_low else None
        self._looks_since_told += 1
        if self.warning is None:
            if before is not None:
                self._tell("the disk of the record has room again")
        elif before is None or self._looks_since_told >= _TELL_EVERY:
            self._looks_since_told = 0
            self._tell(self.warning)
        if before != self.warning:
            self._on_change()
