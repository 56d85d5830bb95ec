"""Closed firings are put away beside the watch, and what can wait waits."""

from __future__ import annotations

import asyncio

import pytest

from supervisor.core.errors import RecordError
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.service import tidying
from supervisor.service.tidying import Tidying
from tests.service.firings import begin, keep, night


def closed(record: Record, readings: int) -> Firing:
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night()[:readings])
    kept.keeper.close()
    record.flush().result(10.0)
    return record.firing(firing.id)


async def until_tidy(record: Record) -> None:
    while record.to_put_away():
        await asyncio.sleep(0.02)


async def test_what_is_closed_is_put_away_the_latest_first(record: Record) -> None:
    first, second = closed(record, 200), closed(record, 300)
    before = {one.id: list(record.readings(one.id)) for one in (first, second)}
    tidy = Tidying(record, lambda: False)
    assert await tidy.put_one_away()
    assert record.to_put_away() == [first]
    task = asyncio.create_task(tidy.run())
    await asyncio.wait_for(until_tidy(record), 20.0)
    task.cancel()
    assert {one.id: list(record.readings(one.id)) for one in (first, second)} == before


async def test_while_a_log_is_kept_nothing_is_put_away(record: Record) -> None:
    closed(record, 50)
    asked = asyncio.Event()

    def is_busy() -> bool:
        asked.set()
        return True

    task = asyncio.create_task(Tidying(record, is_busy, look_every_s=0.01).run())
    await asyncio.wait_for(asked.wait(), 10.0)
    task.cancel()
    assert len(record.to_put_away()) == 1


async def test_one_that_can_not_be_put_away_is_in_nobodys_way(
    record: Record, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second = closed(record, 50), closed(record, 60)

    def refuses(record: Record, firing: Firing, *more: object) -> int:
        if firing.id == second.id:
            raise RecordError("a block of readings can't be read")
        return put_away(record, firing)

    monkeypatch.setattr(tidying, "put_away", refuses)
    tidy = Tidying(record, lambda: False)
    assert not await tidy.put_one_away()
    assert "could not be put away" in capsys.readouterr().err
    assert await tidy.put_one_away()
    assert record.to_put_away() == [second]
    assert list(record.readings(first.id))


async def test_it_ends_in_the_middle_when_told_to(record: Record) -> None:
    firing = closed(record, 5000)
    before = list(record.readings(firing.id))
    tidy = Tidying(record, lambda: False)
    tidy._told_to_stop.set()
    assert not await tidy.put_one_away()
    assert record.to_put_away() == [firing]
    assert list(record.readings(firing.id)) == before
