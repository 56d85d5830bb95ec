"""What is put into the record comes out of it, from plain code and from asyncio."""

from __future__ import annotations

import asyncio
import math
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.alerts import AlertBook
from supervisor.core.errors import InputError, RecordError
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.core.readings import Reading
from supervisor.core.units import Unit
from supervisor.record.rows import Extent, Firing, Mode, NewMessage, NewNote
from supervisor.record.store import LONGEST_NOTE, Record
from tests.record.firings import NEW, event, reading


def started(record: Record) -> Firing:
    return record.start_firing(NEW).result(10.0)


def test_a_firing_is_kept_with_all_that_is_known_of_it(record: Record) -> None:
    firing = started(record)
    assert firing.id.startswith("2026-11-25-")
    assert firing == Firing(
        id=firing.id,
        kiln="Big Bertha",
        name="Glaze",
        schedule_toml='name = "Glaze"\n',
        mode=Mode.LIVE,
        is_open=True,
        channels=("top", "bottom"),
        units=Unit.C,
        started_label="2026-11-25T20:00:00+00:00",
        boot_id="boot-1",
        boottime_start_s=12.25,
        ended_at_s=None,
        ended_label=None,
        settings={"sensitivity": 1.5},
    )
    assert record.firing(firing.id) == firing
    assert record.open_firing() == firing
    assert record.open_firing("Big Bertha") == firing
    assert record.open_firing("Small one") is None
    assert record.open_firing(mode=Mode.SIMULATION) is None


def test_readings_come_back_exactly_and_in_order(record: Record) -> None:
    firing = started(record)
    sent = [reading(n * 1.1 + 0.123456789) for n in range(50)]
    for one in sent:
        record.append(firing.id, one)
    record.flush().result(10.0)
    assert list(record.readings(firing.id)) == sent
    assert record.extent(firing.id) == Extent(50, sent[0].elapsed_s, sent[-1].elapsed_s)
    window = list(record.readings(firing.id, from_s=sent[10].elapsed_s, to_s=sent[12].elapsed_s))
    assert window == sent[10:13]


def test_an_empty_firing_has_no_extent(record: Record) -> None:
    firing = started(record)
    assert record.extent(firing.id) is None
    assert list(record.readings(firing.id)) == []


def test_an_event_takes_the_readings_before_it_to_the_disk(tmp_path: Path) -> None:
    with Record.open(tmp_path, commit_after_s=3600.0) as record:
        firing = started(record)
        record.append(firing.id, reading(1.0))
        record.add_events(firing.id, [event(1)]).result(10.0)
        assert list(record.readings(firing.id)) == [reading(1.0)]
        assert record.events(firing.id) == [event(1)]
        assert record.event_lines(firing.id) == [event(1).to_json()]


def test_an_event_of_before_the_crash_is_not_kept_twice(record: Record) -> None:
    firing = started(record)
    record.add_events(firing.id, [event(1), event(2)]).result(10.0)
    record.add_events(firing.id, [event(1), event(2), event(3)]).result(10.0)
    assert record.events(firing.id) == [event(1), event(2), event(3)]


def test_events_alerts_and_messages_are_kept_together(record: Record) -> None:
    firing = started(record)
    book = AlertBook(firing.id, firing.kiln)
    raised = book.take(event(1))
    assert raised is not None
    record.add_events(
        firing.id,
        [event(1)],
        alerts=[raised.alert],
        messages=[NewMessage("spyhole/k/alerts", raised.message_json(), created_label="now")],
    ).result(10.0)
    seen = book.acknowledge(raised.alert.id, "Ann", 70.0)
    assert seen is not None
    record.acknowledge(
        firing.id, seen.alert, [NewMessage("spyhole/k/alerts", seen.message_json())]
    ).result(10.0)
    assert record.alerts(firing.id) == [seen.alert]
    assert tuple(record.alerts(firing.id)) == AlertBook(firing.id, "", [seen.alert]).alerts
    waiting = record.waiting_messages()
    assert [message.payload for message in waiting] == [
        raised.message_json(),
        seen.message_json(),
    ]
    assert waiting[0].created_label == "now"


def test_what_fails_is_kept_not_at_all_and_hurts_no_neighbour(record: Record) -> None:
    firing = started(record)
    record.append(firing.id, reading(1.0))
    bad = record.add_events(
        "2026-01-01-0000", [event(1)], messages=[NewMessage("spyhole/k/alerts", "{}")]
    )
    good = record.add_events(firing.id, [event(2)])
    with pytest.raises(InputError, match="no firing"):
        bad.result(10.0)
    good.result(10.0)
    record.append(firing.id, reading(2.0))
    record.flush().result(10.0)
    assert record.events(firing.id) == [event(2)]
    assert list(record.readings(firing.id)) == [reading(1.0), reading(2.0)]
    assert record.waiting_messages() == []


UNFIT = NewMessage("t", "no such quality of service", qos=9)
"""A message that the outbox's table refuses."""


def test_whoever_asked_learns_that_nothing_was_kept(record: Record) -> None:
    firing = started(record)
    told: list[object] = []
    over = threading.Event()
    bad = record.add_events(firing.id, [event(1)], messages=[NewMessage("t", "one"), UNFIT])
    bad.when_kept(lambda: told.append("kept"))
    bad.when_failed(told.append)
    bad.when_done(over.set)
    with pytest.raises(sqlite3.IntegrityError) as caught:
        bad.result(10.0)
    assert over.wait(10.0)
    assert told == [caught.value]
    assert record.events(firing.id) == []
    assert record.waiting_messages() == []


def test_whoever_asked_learns_that_it_was_kept(record: Record) -> None:
    firing = started(record)
    told: list[object] = []
    over = threading.Event()
    good = record.add_events(firing.id, [event(1)])
    good.when_kept(lambda: told.append("kept"))
    good.when_failed(told.append)
    good.when_done(over.set)
    assert over.wait(10.0)
    assert told == ["kept"]


def test_an_event_and_the_end_that_it_brings_are_kept_together(record: Record) -> None:
    firing = started(record)
    record.append(firing.id, reading(1.0))
    bad = record.add_events(firing.id, [event(1)], messages=[UNFIT], closes_at=(1.0, "early"))
    with pytest.raises(sqlite3.IntegrityError):
        bad.result(10.0)
    assert record.firing(firing.id).is_open
    record.append(firing.id, reading(2.0))
    label = "2026-11-26T08:00:00+00:00"
    record.add_events(firing.id, [event(2)], closes_at=(2.0, label)).result(10.0)
    assert record.firing(firing.id) == replace(
        firing, is_open=False, ended_at_s=2.0, ended_label=label
    )
    assert record.events(firing.id) == [event(2)]
    assert list(record.readings(firing.id)) == [reading(1.0), reading(2.0)]


def test_a_reading_after_the_end_is_refused_before_the_end_is_on_disk(tmp_path: Path) -> None:
    gate = threading.Event()
    with Record.open(tmp_path) as record:
        firing = started(record)
        record.append(firing.id, reading(1.0))
        held = record._submit(lambda _connection: gate.wait(20.0))
        ending = record.add_events(firing.id, [event(1)], closes_at=(1.0, None))
        try:
            with pytest.raises(RecordError, match="closed"):
                record.append(firing.id, reading(2.0))
        finally:
            gate.set()
        assert held.result(10.0)
        ending.result(10.0)
        assert list(record.readings(firing.id)) == [reading(1.0)]


def test_a_message_marked_as_sent_is_not_handed_out_again(record: Record) -> None:
    firing = started(record)
    record.add_events(firing.id, messages=[NewMessage("t", str(n)) for n in range(3)]).result(10.0)
    first, second, third = record.waiting_messages()
    marked = record.mark_sent(second.id, "2026-11-25T20:00:00+00:00")
    assert record.waiting_messages() == [first, third]
    marked.result(10.0)
    assert record.waiting_messages() == [first, third]
    assert record.waiting_messages(limit=1) == [first]


def test_notes_are_kept_in_the_order_in_which_they_were_written(record: Record) -> None:
    firing = started(record)
    one = record.add_note(firing.id, 60.0, "Peep out – ½ turn", by="Ann", time="21:00").result(10)
    two = record.add_note(firing.id, 30.0, "Gas changed").result(10.0)
    assert record.notes(firing.id) == [one, two]
    assert (one.text, one.by, one.time, two.by) == ("Peep out – ½ turn", "Ann", "21:00", None)


def test_a_note_that_is_sent_again_is_written_once(record: Record) -> None:
    firing = started(record)
    first = record.add_note(firing.id, 60.0, "Bung in", by="Ann", client_id="a1").result(10.0)
    again = record.add_note(firing.id, 75.0, "Bung in", by="Ann", client_id="a1").result(10.0)
    assert again == first
    other = record.add_note(firing.id, 80.0, "Bung in", by="Ann", client_id="a2").result(10.0)
    plain = [record.add_note(firing.id, 90.0, "Bung in").result(10.0) for _ in range(2)]
    assert record.notes(firing.id) == [first, other, *plain]
    second = record.start_firing(replace(NEW, kiln="Small one")).result(10.0)
    elsewhere = record.add_note(second.id, 1.0, "Bung in", client_id="a1").result(10.0)
    assert record.notes(second.id) == [elsewhere]


def test_a_note_taken_back_counts_no_longer_and_stays_with_who_and_when(record: Record) -> None:
    firing = started(record)
    second = record.start_firing(replace(NEW, kiln="Small one")).result(10.0)
    wrong = record.add_note(firing.id, 60.0, "Plug out", by="Ann", client_id="a1").result(10.0)
    right = record.add_note(firing.id, 61.0, "Plug in", by="Ann").result(10.0)
    for nobody_s in ((second.id, wrong.id), (firing.id, right.id + 1)):
        with pytest.raises(InputError, match="no note with the number"):
            record.withdraw_note(*nobody_s, 70.0).result(10.0)
    assert record.notes(firing.id) == [wrong, right]
    record.withdraw_note(firing.id, wrong.id, 70.0, time="21:00", by="Ben").result(10.0)
    assert record.notes(firing.id) == [right]
    gone = replace(wrong, withdrawn_at_s=70.0, withdrawn_time="21:00", withdrawn_by="Ben")
    assert record.withdrawn_notes(firing.id) == [gone]
    record.withdraw_note(firing.id, wrong.id, 99.0, time="22:00", by="Ann").result(10.0)
    assert record.withdrawn_notes(firing.id) == [gone], "the first time stands"
    late = record.add_note(firing.id, 80.0, "Plug out", by="Ann", client_id="a1").result(10.0)
    assert (late, late.is_withdrawn) == (gone, True), "an answer that got lost brings nothing back"
    again = record.add_note(firing.id, 90.0, "Plug out", by="Ann").result(10.0)
    assert record.notes(firing.id) == [right, again]


def test_a_log_takes_the_notes_of_the_wait_along_as_they_were_taken_back(record: Record) -> None:
    waited = started(record)
    wrong = record.add_note(waited.id, 900.0, "Plug out", by="Ann").result(10.0)
    kept = record.add_note(waited.id, 910.0, "40 mugs", by="Ann").result(10.0)
    record.withdraw_note(waited.id, wrong.id, 905.0, time="21:00", by="Ben").result(10.0)
    begun = record.start_firing(NEW, waited=waited.id).result(10.0)
    assert record.notes(begun.id) == [replace(kept, elapsed_s=0.0)]
    (gone,) = record.withdrawn_notes(begun.id)
    assert (gone.elapsed_s, gone.withdrawn_at_s, gone.withdrawn_by) == (0.0, 0.0, "Ben")


@pytest.mark.parametrize("text", ["", "  \n", "x" * (LONGEST_NOTE + 1)])
def test_an_empty_or_endless_note_is_refused(record: Record, text: str) -> None:
    firing = started(record)
    with pytest.raises(InputError, match="note"):
        record.add_note(firing.id, 1.0, text)
    with pytest.raises(InputError, match="note"):
        record.import_readings(NEW, [reading(1.0)], notes=[NewNote(1.0, text)])
    assert record.firings() == [firing]


def test_a_closed_firing_takes_no_more_readings(record: Record) -> None:
    firing = started(record)
    record.append(firing.id, reading(1.0))
    record.close_firing(firing.id, 2.0, "2026-11-26T08:00:00+00:00").result(10.0)
    closed = record.firing(firing.id)
    assert closed == replace(
        firing, is_open=False, ended_at_s=2.0, ended_label="2026-11-26T08:00:00+00:00"
    )
    assert record.open_firing() is None
    record.close_firing(firing.id, 99.0).result(10.0)
    assert record.firing(firing.id) == closed
    with pytest.raises(RecordError, match="closed"):
        record.append(firing.id, reading(3.0))


def test_a_kiln_has_one_open_firing(record: Record) -> None:
    firing = started(record)
    with pytest.raises(RecordError, match=f"firing {firing.id} .* still open"):
        started(record)
    other = record.start_firing(replace(NEW, kiln="Small one")).result(10.0)
    assert [one.id for one in record.firings()] == [other.id, firing.id]


def test_a_firing_is_found_by_the_beginning_of_its_id(record: Record) -> None:
    first = started(record)
    assert record.firing(first.id[:10]) == first
    record.close_firing(first.id, 1.0).result(10.0)
    second = started(record)
    with pytest.raises(InputError, match="more than one firing") as caught:
        record.firing("2026-11-25")
    assert first.id in str(caught.value)
    assert second.id in str(caught.value)
    for nothing in ("", "1999", "%", "_026"):
        with pytest.raises(InputError, match="no firing"):
            record.firing(nothing)


def test_a_firing_without_a_label_still_has_an_id(record: Record) -> None:
    firing = record.start_firing(replace(NEW, started_label=None)).result(10.0)
    assert firing.id.startswith("undated-")


@pytest.mark.parametrize(
    ("bad", "why"),
    [
        (Reading(1.0, {"top": 1.0}), "channels top, firing"),
        (Reading(1.0, {"top": 1.0, "middle": 1.0}), "channels top, middle"),
        (Reading(1.0, {"top": math.nan, "bottom": 1.0}), "no number"),
        (Reading(math.inf, {"top": 1.0, "bottom": 1.0}), "elapsed time"),
    ],
)
def test_a_reading_that_does_not_fit_is_refused(record: Record, bad: Reading, why: str) -> None:
    firing = started(record)
    with pytest.raises(InputError, match=why):
        record.append(firing.id, bad)
    with pytest.raises(InputError, match="no firing"):
        record.append("2026", reading(1.0))


@pytest.mark.parametrize("channels", [(), ("top", "top")])
def test_channels_need_names_of_their_own(record: Record, channels: tuple[str, ...]) -> None:
    with pytest.raises(InputError):
        record.start_firing(replace(NEW, channels=channels))


def test_closing_writes_all_that_was_accepted(tmp_path: Path) -> None:
    with Record.open(tmp_path, commit_after_s=3600.0) as record:
        firing = started(record)
        sent = [reading(float(n)) for n in range(20)]
        for one in sent:
            record.append(firing.id, one)
    with pytest.raises(RecordError, match="is closed"):
        record.append(firing.id, reading(99.0))
    with pytest.raises(RecordError, match="is closed"):
        record.flush()
    record.close()
    with Record.open(tmp_path) as again:
        assert list(again.readings(firing.id)) == sent
        resumed = again.open_firing()
        assert resumed == firing
        again.append(firing.id, reading(20.0))
        again.flush().result(10.0)
        assert list(again.readings(firing.id)) == [*sent, reading(20.0)]


def test_readings_alone_are_committed_within_the_time_promised(tmp_path: Path) -> None:
    now_s = 100.0
    with Record.open(tmp_path, clock=lambda: now_s, commit_after_s=5.0) as record:
        firing = started(record)
        record.append(firing.id, reading(1.0))
        now_s = 104.9
        record.append(firing.id, reading(2.0))
        assert record.extent(firing.id) is None
        now_s = 105.0
        record.append(firing.id, reading(3.0))
        record.flush().result(10.0)
        assert record.extent(firing.id) == Extent(3, 1.0, 3.0)


def test_a_quiet_source_does_not_keep_a_reading_off_the_disk(tmp_path: Path) -> None:
    with Record.open(tmp_path, commit_after_s=0.05) as record:
        firing = started(record)
        record.append(firing.id, reading(1.0))
        gives_up_at_s = time.monotonic() + 20.0
        while record.extent(firing.id) is None:
            assert time.monotonic() < gives_up_at_s
        assert record.extent(firing.id) == Extent(1, 1.0, 1.0)


async def test_the_record_is_awaited_from_asyncio(record: Record) -> None:
    firing = await record.start_firing(NEW)
    record.append(firing.id, reading(1.0))
    note, _ = await asyncio.gather(
        record_note(record, firing.id), asyncio.wait_for(record.flush(), 10.0)
    )
    assert note == "Looks even"
    assert list(record.readings(firing.id)) == [reading(1.0)]


async def record_note(record: Record, firing_id: str) -> str:
    return (await record.add_note(firing_id, 1.0, "Looks even")).text


async def test_giving_up_waiting_does_not_take_back_what_was_written(record: Record) -> None:
    firing = await record.start_firing(NEW)
    waiting = asyncio.ensure_future(record_note(record, firing.id))
    await asyncio.sleep(0)
    waiting.cancel()
    with pytest.raises(asyncio.CancelledError):
        await waiting
    await record.flush()
    assert [note.text for note in record.notes(firing.id)] == ["Looks even"]


def test_a_recorded_log_is_taken_in_whole(record: Record) -> None:
    drawn: list[Reading] = []

    def readings() -> Iterator[Reading]:
        for n in range(100):
            drawn.append(reading(float(n), f"2026-11-25T20:{n // 60:02}:{n % 60:02}+00:00"))
            yield drawn[-1]

    new = replace(NEW, mode=Mode.IMPORT)
    notes = [NewNote(2.0, "damper: half in", by="log", time="20:00"), NewNote(2.0, "gas: 3")]
    events = [event(n) for n in range(3)]
    firing = record.import_readings(new, readings(), events, notes).result(30.0)
    assert (firing.is_open, firing.ended_at_s) == (False, 99.0)
    assert firing.ended_label == "2026-11-25T20:01:39+00:00"
    assert list(record.readings(firing.id)) == drawn
    assert record.events(firing.id) == [event(0), event(1), event(2)]
    kept = [(note.elapsed_s, note.text, note.by, note.time) for note in record.notes(firing.id)]
    assert kept == [(2.0, "damper: half in", "log", "20:00"), (2.0, "gas: 3", None, None)]


def test_a_log_that_breaks_off_is_not_taken_in_at_all(record: Record) -> None:
    def readings() -> Iterator[Reading]:
        yield reading(1.0)
        raise InputError("line 3 has no number", where="bad.csv")

    new = replace(NEW, mode=Mode.IMPORT)
    with pytest.raises(InputError, match=r"bad\.csv: line 3"):
        record.import_readings(new, readings()).result(10.0)
    with pytest.raises(InputError, match="no readings"):
        record.import_readings(new, []).result(10.0)
    assert record.firings() == []
    firing = started(record)
    record.append(firing.id, reading(5.0))
    record.flush().result(10.0)
    assert list(record.readings(firing.id)) == [reading(5.0)]


def test_a_firing_that_only_waited_leaves_no_trace(record: Record) -> None:
    before = started(record)
    record.close_firing(before.id, 0.0).result(10.0)
    waited = started(record)
    assert record.end_waiting(waited.id).result(10.0)
    assert [firing.id for firing in record.firings()] == [before.id]
    with pytest.raises(InputError):
        record.append(waited.id, reading(1.0))


@pytest.mark.parametrize(
    "what", ["reading", "note", "event", "observation", "offset", "offset after it", "new probe"]
)
def test_a_firing_that_holds_anything_or_that_something_counts_from_is_closed_instead(
    record: Record, what: str
) -> None:
    waited = started(record)
    seen = Observation(1.0, "6", "3", "top", None)
    offset = Offset(4.0, 2.0, 1, 1)
    acts: dict[str, Callable[[], object]] = {
        "reading": lambda: record.append(waited.id, reading(1.0)),
        "note": lambda: record.add_note(waited.id, 1.0, "loaded"),
        "event": lambda: record.add_events(waited.id, [event(1)]),
        "observation": lambda: record.add_observation(waited.id, seen),
        "offset": lambda: record.accept_offset(waited.kiln, "top", offset, during=(waited.id, 1.0)),
        "offset after it": lambda: record.accept_offset(waited.kiln, "top", offset),
        "new probe": lambda: record.note_new_probe(waited.kiln, "top"),
    }
    acts[what]()
    assert not record.end_waiting(waited.id, "2026-11-25T21:00:00+00:00").result(10.0)
    found = record.firing(waited.id)
    assert not found.is_open
    assert found.ended_label == "2026-11-25T21:00:00+00:00"
    assert record.end_waiting(waited.id).result(10.0) is False, "once more changes nothing"
    assert record.firing(waited.id) == found


def test_a_beginning_is_mended_when_the_clock_is_set(record: Record) -> None:
    firing = started(record)
    record.mend_start(firing.id, "2027-01-01T00:00:00+00:00").result(10.0)
    assert record.firing(firing.id) == replace(firing, started_label="2027-01-01T00:00:00+00:00")
