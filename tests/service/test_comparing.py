"""Who compares the firing that goes on doesn't wait for a day of readings: it is kept up with."""

from __future__ import annotations

import asyncio

import pytest

from supervisor.core.errors import InputError
from supervisor.record.going_on import GoingOn
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.service.comparing import Comparer
from tests.service.firings import begin, night
from web.comparing import Alignment


async def test_the_firing_that_goes_on_is_taken_in_before_anybody_compares_it(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken_in: asyncio.Queue[str] = asyncio.Queue()
    loop, plain = asyncio.get_running_loop(), GoingOn.reviewer_of

    def reviewer_of(self: GoingOn, record: RecordReader, firing: Firing) -> object:
        reviewer = plain(self, record, firing)
        loop.call_soon_threadsafe(taken_in.put_nowait, firing.id)
        return reviewer

    monkeypatch.setattr(GoingOn, "reviewer_of", reviewer_of)
    comparer = Comparer(record)
    comparer.keep_up()
    firing = begin(record)
    for one in night():
        record.append(firing.id, one)
    record.flush().result(10.0)
    keeping = asyncio.create_task(comparer.run())
    assert await asyncio.wait_for(taken_in.get(), 30.0) == firing.id
    read: list[object] = []
    readings = Record.readings

    def counted(self: Record, firing_id: str, **span: float | None) -> object:
        for one in readings(self, firing_id, **span):
            read.append(one)
            yield one

    monkeypatch.setattr(Record, "readings", counted)
    answer = await comparer.compare([firing.id], Alignment.TIME, with_plan=True)
    assert [line.is_open for line in answer.lines] == [False, True]
    assert len(read) <= 1, "all of it was known"
    keeping.cancel()
    with pytest.raises(asyncio.CancelledError):
        await keeping


async def test_a_firing_that_only_waited_may_be_gone_before_it_is_read(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    firing = begin(record)
    assert record.end_waiting(firing.id).result(10.0), "nothing was kept of it"
    monkeypatch.setattr(Record, "open_firing", lambda *_of, **_mode: firing)
    comparer = Comparer(record)
    with pytest.raises(InputError, match=firing.id):
        comparer.keep_up()
    keeping = asyncio.create_task(comparer.run())
    done, _ = await asyncio.wait([keeping], timeout=0.5)
    assert not done, "the daemon goes on"
    keeping.cancel()
    with pytest.raises(asyncio.CancelledError):
        await keeping
