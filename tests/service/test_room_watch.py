"""A disk that is filling is told once, shown on the page, and taken back when there is room."""

from __future__ import annotations

import asyncio
from pathlib import Path

from supervisor.core.errors import RecordError
from supervisor.record.room import Room
from supervisor.service.room_watch import RoomWatch

PLENTY = Room(1, 0, 0, 20_000_000_000, 32_000_000_000)
TIGHT = Room(1, 0, 0, 200_000_000, 32_000_000_000)
TIGHTER = Room(1, 0, 0, 100_000_000, 32_000_000_000)


async def test_it_is_told_once_and_taken_back() -> None:
    seen: list[Room | None] = [PLENTY, TIGHT, TIGHT, None, TIGHTER, PLENTY]
    told: list[str] = []
    changes: list[tuple[str | None, float | None]] = []
    over = asyncio.Event()

    def look(path: Path) -> Room:
        assert path == Path("record")
        if not seen:
            loop.call_soon_threadsafe(over.set)
            return PLENTY
        room = seen.pop(0)
        if room is None:
            raise RecordError("the disk does not answer")
        return room

    loop = asyncio.get_running_loop()
    watch = RoomWatch(
        Path("record"),
        told.append,
        lambda: changes.append((watch.warning, watch.hours_left)),
        look=look,
        every_s=0.0,
    )
    task = asyncio.create_task(watch.run())
    await asyncio.wait_for(over.wait(), 10.0)
    task.cancel()
    assert len(told) == 2
    assert "only 200.0 MB left, about 800 hours" in told[0]
    assert told[1] == "the disk of the record has room again"
    (first, first_h), (worse, worse_h), *rest = changes
    assert (first, first_h) == (told[0], 800.0)
    assert worse is not None
    assert "only 100.0 MB left, about 400 hours" in worse
    assert worse_h == 400.0
    assert rest == [(None, None)]


async def test_what_stays_low_is_told_again_after_half_a_day() -> None:
    told: list[str] = []
    watch = RoomWatch(Path("record"), told.append, lambda: None)
    for _ in range(145):
        watch._take(TIGHT)
    assert len(told) == 3
