"""What the daemon does for the record of years, beside the firing that goes on.

Past firings on the page, closed ones put away and looked through for trends, and a word when the
disk is filling.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from supervisor.record.store import Record
from supervisor.service.archive import Archive
from supervisor.service.desk import Desk
from supervisor.service.keeper import Keeper
from supervisor.service.room_watch import RoomWatch
from supervisor.service.terminal import warn
from supervisor.service.tidying import Tidying
from supervisor.service.trend_watch import TrendWatch
from web.routers import firings


class Years:
    """``router`` is what the page asks of past firings; ``current`` gives the one that goes on."""

    def __init__(self, record: Record, desk: Desk, current: Callable[[], Keeper]) -> None:
        self._record = record
        self._desk = desk
        self.current = current
        self.changed = desk.changed
        self._room = RoomWatch(record.path, warn, self._room_changed)
        self._tidying = Tidying(record, self._has_more_to_do)
        self._trends = TrendWatch(record, current, self._has_more_to_do, desk.changed)
        self.router = firings.router(Archive(record, current, desk.changed))

    async def run(self) -> None:
        """Look after it until cancelled."""
        async with asyncio.TaskGroup() as group:
            group.create_task(self._room.run())
            group.create_task(self._tidying.run())
            group.create_task(self._trends.run())

    def _room_changed(self) -> None:
        self._desk.room_warning = self._room.warning
        self._desk.room_left_h = self._room.hours_left
        self._desk.changed()

    def _has_more_to_do(self) -> bool:
        """Whether what can wait had better: a log is being kept, or the record stands in."""
        keeper = self.current()
        is_kept = keeper.is_recording and keeper.clock.speed == 1.0
        return is_kept or self._record.stands_in
