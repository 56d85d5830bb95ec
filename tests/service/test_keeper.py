"""The keeper: what it takes in is watched, recorded and told, once, over any number of crashes."""

from __future__ import annotations

import asyncio
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import InputError
from supervisor.core.events import Kind
from supervisor.core.readings import Reading
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import TOPIC, Kept, begin, event_lines, keep, night


def payloads(record: Record) -> list[dict[str, object]]:
    record.flush().result(10.0)
    waiting = record.waiting_messages(limit=1000)
    assert {message.topic for message in waiting} <= {TOPIC}
    return [json.loads(message.payload) for message in waiting]


def ids(record: Record) -> list[object]:
    return [payload["id"] for payload in payloads(record)]


def stalled(kept: Kept) -> bool:
    return any(alert.kind is Kind.STALL for alert in kept.keeper.book.open_alerts)


def test_a_whole_firing_is_recorded_watched_and_told(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night())
    record.flush().result(10.0)
    recorded = tuple(record.readings(firing.id))
    assert recorded == night()[: len(recorded)]
    assert record.event_lines(firing.id) == event_lines(night()[: len(recorded)])
    kinds = [alert.kind for alert in record.alerts(firing.id)]
    assert kinds[0] is Kind.STALL
    assert Kind.CONE_DOWN in kinds
    assert record.alerts(firing.id) == list(kept.keeper.book.alerts)
    told = payloads(record)
    assert [(message["kind"], message["state"]) for message in told[:3]] == [
        ("stall", "raised"),
        ("stall", "reminded"),
        ("stall", "cleared"),
    ]
    assert len({message["id"] for message in told}) == len(told)
    assert len(kept.news) == len(night())
    assert [event.to_json() for events in kept.news for event in events] == event_lines(night())
    assert kept.wakes


def test_the_recorded_readings_give_the_recorded_events_byte_for_byte(record: Record) -> None:
    firing = begin(record, "broken-probe")
    keep(record, firing, name="broken-probe").feed(*night("broken-probe"))
    record.flush().result(10.0)
    again = event_lines(tuple(record.readings(firing.id)), "broken-probe")
    assert [line.encode() for line in again] == [
        line.encode() for line in record.event_lines(firing.id)
    ]
    assert any('"sensor_fault"' in line for line in again)


def test_event_alert_and_message_are_on_disk_together(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.until(night(), lambda: stalled(kept))
    record.flush().result(10.0)
    (alert,) = record.alerts(firing.id)
    (message,) = payloads(record)
    assert record.events(firing.id)[-1].kind is Kind.STALL
    assert alert.kind is Kind.STALL
    assert message["alert"] == alert.id
    assert message["message"] == alert.message == record.events(firing.id)[-1].message


def test_a_firing_ends_in_the_record_when_the_ware_is_cool(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night())
    record.flush().result(10.0)
    cool_s = record.events(firing.id)[-1].elapsed_s
    later = Reading(night()[-1].elapsed_s + 20.0, night()[-1].temps_c)
    kept.feed(later)
    record.flush().result(10.0)
    ended = record.firing(firing.id)
    assert record.events(firing.id)[-1].kind is Kind.COOL_TO_OPEN
    assert not ended.is_open
    assert ended.ended_at_s == cool_s
    assert list(record.readings(firing.id))[-1].elapsed_s == cool_s
    assert kept.keeper.last_reading is not None
    assert kept.keeper.last_reading.elapsed_s == later.elapsed_s, "the watch goes on"


def test_without_a_broker_alerts_are_kept_and_nothing_waits_to_be_sent(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing, topic=None)
    kept.until(night(), lambda: stalled(kept))
    assert payloads(record) == []
    assert [alert.kind for alert in record.alerts(firing.id)] == [Kind.STALL]


def test_a_reading_without_a_label_gets_one_and_a_late_one_is_passed_over(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    first, second, third = (replace(reading, time=None) for reading in night()[:3])
    kept.feed(first, third, second, third)
    record.flush().result(10.0)
    assert list(record.readings(firing.id)) == [night()[0], night()[2]]
    assert len(kept.news) == 2


def crashed(record: Record, folder: Path) -> Record:
    """The record as another process finds it: a copy of the files, the log of changes included."""
    record.flush().result(10.0)
    folder.mkdir()
    for path in record.path.parent.glob("record*"):
        shutil.copy(path, folder / path.name)
    return Record.open(folder)


@pytest.mark.parametrize("before", [1, 300, 1319, 1322, 1423, 2500])
def test_a_firing_that_is_resumed_goes_on_as_if_nothing_had_been(
    record: Record, tmp_path: Path, before: int
) -> None:
    whole = night()
    firing = begin(record)
    keep(record, firing).feed(*whole[:before])
    with crashed(record, tmp_path / "again") as again:
        firing = again.firing(firing.id)
        told = ids(again)
        kept = keep(again, firing)
        seen: list[Reading] = []
        assert asyncio.run(kept.keeper.resume(seen.append)) == before
        assert tuple(seen) == whole[:before]
        assert kept.keeper.last_reading == whole[before - 1]
        assert ids(again) == told, "nothing is told a second time"
        kept.feed(*whole[before:])
        again.flush().result(10.0)
        recorded = tuple(again.readings(firing.id))
        assert recorded == whole[: len(recorded)]
        assert again.event_lines(firing.id) == event_lines(recorded)
        assert len(set(ids(again))) == len(ids(again))
        undisturbed = keep(record, firing)
        asyncio.run(undisturbed.keeper.resume(lambda _reading: None))
        undisturbed.feed(*whole[before:])
        assert [alert.id for alert in again.alerts(firing.id)] == [
            alert.id for alert in undisturbed.keeper.book.alerts
        ]


def test_what_a_crash_took_of_the_events_is_added_when_resumed(record: Record) -> None:
    """Readings on disk, and of what they mean nothing."""
    firing = begin(record)
    whole = night()[:1400]
    for reading in whole:
        record.append(firing.id, reading)
    record.flush().result(10.0)
    kept = keep(record, firing)
    asyncio.run(kept.keeper.resume(lambda _reading: None))
    assert stalled(kept)
    assert [payload["kind"] for payload in payloads(record)] == ["stall"]
    assert record.event_lines(firing.id) == event_lines(whole)
    assert [alert.kind for alert in record.alerts(firing.id)] == [Kind.STALL]


def resumed_twice(record: Record, firing: Firing) -> Kept:
    kept = keep(record, firing)
    asyncio.run(kept.keeper.resume(lambda _reading: None))
    record.flush().result(10.0)
    return kept


def test_resuming_again_and_again_changes_nothing(record: Record) -> None:
    firing = begin(record)
    keep(record, firing).feed(*night()[:1450])
    before = (ids(record), record.event_lines(firing.id), record.alerts(firing.id))
    for _ in range(3):
        resumed_twice(record, firing)
        assert (ids(record), record.event_lines(firing.id), record.alerts(firing.id)) == before


async def test_an_acknowledgement_is_kept_told_once_and_outlives_a_crash(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.until(night(), lambda: stalled(kept))
    (alert,) = kept.keeper.book.open_alerts
    kept.clock.now_s += 90.0
    pending = kept.keeper.acknowledge(alert.id, None)
    assert pending is not None
    await pending
    assert kept.keeper.acknowledge(alert.id, "Ann") is None
    (stored,) = record.alerts(firing.id)
    assert stored.acknowledged_by == "page"
    assert stored.acknowledged_at_s == alert.raised_at_s + 90.0
    assert stored.acknowledged_time == kept.clock.label(alert.raised_at_s + 90.0)
    assert [payload["state"] for payload in payloads(record)] == ["raised", "acknowledged"]
    again = await asyncio.to_thread(resumed_twice, record, firing)
    (open_alert,) = again.keeper.book.open_alerts
    assert open_alert == stored
    assert [payload["state"] for payload in payloads(record)] == ["raised", "acknowledged"]


def test_an_alert_that_never_was_cannot_be_acknowledged(record: Record) -> None:
    kept = keep(record, begin(record))
    with pytest.raises(InputError, match='there is no alert "nonsense"'):
        kept.keeper.acknowledge("nonsense", None)


async def test_a_note_is_on_disk_when_it_is_answered_and_outlives_a_crash(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night()[:10])
    kept.clock.now_s = 195.0
    note = await kept.keeper.add_note("Damper half in", "Ann")
    assert (note.elapsed_s, note.by, note.time) == (195.0, "Ann", kept.clock.label(195.0))
    assert record.notes(firing.id) == [note] == kept.keeper.notes
    again = await asyncio.to_thread(resumed_twice, record, firing)
    assert again.keeper.notes == [note]
    for empty in ("", "  \n"):
        with pytest.raises(InputError, match="the note is empty"):
            await kept.keeper.add_note(empty, None)
    with pytest.raises(InputError, match="at most 10,000"):
        await kept.keeper.add_note("x" * 10_001, None)
    assert record.notes(firing.id) == [note]


async def test_a_note_taken_back_is_so_on_disk_when_it_is_answered_and_after_a_crash(
    record: Record,
) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night()[:10])
    wrong = await kept.keeper.add_note("Plug out", "Ann")
    right = await kept.keeper.add_note("Plug in", "Ann")
    kept.clock.now_s = 200.0
    await kept.keeper.withdraw_note(wrong.id, "Ben")
    assert record.notes(firing.id) == [right] == kept.keeper.notes
    (gone,) = record.withdrawn_notes(firing.id)
    told = (gone.text, gone.by, gone.withdrawn_at_s, gone.withdrawn_time, gone.withdrawn_by)
    assert told == ("Plug out", "Ann", 200.0, kept.clock.label(200.0), "Ben")
    again = await asyncio.to_thread(resumed_twice, record, firing)
    assert again.keeper.notes == [right]


async def test_a_note_is_never_older_than_the_last_reading(record: Record) -> None:
    kept = keep(record, begin(record))
    kept.feed(*night()[:10])
    kept.clock.now_s = 5.0
    assert (await kept.keeper.add_note("late clock", None)).elapsed_s == night()[9].elapsed_s
