"""A firing that is put away gives the same readings, from a tenth of the room, and its figures."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.record.archive import Wanted
from supervisor.record.put_away import put_away
from supervisor.record.readings import BLOCK_READINGS
from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from tests.record.firings import NEW, reading
from tests.record.test_schema import old_record
from tests.service.firings import begin, night, scenario

ALL = Wanted()

LONG = [
    reading(float(n), f"2026-11-25T{20 + n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}+00:00")
    for n in range(2 * BLOCK_READINGS + 100)
]


def closed(record: Record, readings: list[Reading]) -> Firing:
    """A firing as the daemon keeps it: a row for each reading, then closed."""
    firing = record.start_firing(NEW).result(10.0)
    for one in readings:
        record.append(firing.id, one)
    record.close_firing(firing.id, readings[-1].elapsed_s).result(60.0)
    return record.firing(firing.id)


def counts(record: Record) -> tuple[int, int]:
    """Rows of readings, and blocks, in the file."""
    connection = sqlite3.connect(record.path)
    try:
        found: tuple[int, int] = connection.execute(
            "SELECT (SELECT count(*) FROM reading), (SELECT count(*) FROM block)"
        ).fetchone()
    finally:
        connection.close()
    return found


def test_nothing_of_it_changes(record: Record) -> None:
    firing = closed(record, LONG)
    before = list(record.readings(firing.id))
    assert before == LONG
    extent = record.extent(firing.id)
    assert put_away(record, firing) == len(LONG)
    assert counts(record) == (0, 3)
    assert list(record.readings(firing.id)) == LONG
    assert record.extent(firing.id) == extent
    assert record.faulty_channels(firing.id) == {"top"}
    assert record.has_labels(firing.id)


@pytest.mark.parametrize(
    ("from_s", "to_s"),
    [(None, 0.0), (3599.0, 3600.0), (100.0, 200.0), (7000.5, None), (9e9, None), (None, -1.0)],
)
def test_windows_are_the_same_as_of_rows(
    record: Record, from_s: float | None, to_s: float | None
) -> None:
    firing = closed(record, LONG)
    before = list(record.readings(firing.id, from_s=from_s, to_s=to_s))
    put_away(record, firing)
    assert list(record.readings(firing.id, from_s=from_s, to_s=to_s)) == before
    columns = record.columns(firing.id, from_s=from_s, to_s=to_s)
    assert list(columns.elapsed_s) == [one.elapsed_s for one in before]
    assert list(columns.temps_c["bottom"]) == [one.temps_c["bottom"] for one in before]


def test_half_of_it_packed_reads_as_one(record: Record) -> None:
    firing = closed(record, LONG)
    assert record.pack_next(firing.id).result(10.0) == BLOCK_READINGS
    assert counts(record) == (len(LONG) - BLOCK_READINGS, 1)
    assert list(record.readings(firing.id)) == LONG
    extent = record.extent(firing.id)
    assert extent is not None
    assert (extent.readings, extent.first_s, extent.last_s) == (len(LONG), 0.0, 7299.0)


def test_a_firing_that_goes_on_keeps_its_rows(record: Record) -> None:
    firing = record.start_firing(NEW).result(10.0)
    record.append(firing.id, reading(1.0))
    assert record.pack_next(firing.id).result(10.0) == 0
    assert record.to_put_away() == []
    assert counts(record) == (1, 0)


def test_it_is_put_away_once_and_the_next_one_in_its_turn(record: Record) -> None:
    first = closed(record, LONG[:50])
    second = closed(record, LONG[:60])
    assert record.to_put_away() == [second, first]
    put_away(record, second)
    assert record.to_put_away() == [first]
    put_away(record, first)
    assert record.to_put_away() == []
    assert put_away(record, first) == 0
    assert list(record.readings(first.id)) == LONG[:50]


def test_times_that_go_back_stay_rows_and_are_read(record: Record) -> None:
    odd = [Reading(at_s, {"top": at_s, "bottom": None}) for at_s in (5.0, 3.0, 4.0)]
    firing = record.import_readings(replace(NEW, mode=Mode.IMPORT), odd).result(10.0)
    put_away(record, firing)
    assert counts(record) == (3, 0)
    assert list(record.readings(firing.id)) == odd
    assert record.to_put_away() == []


def test_a_log_that_is_taken_in_is_packed_at_once(record: Record) -> None:
    firing = record.import_readings(replace(NEW, mode=Mode.IMPORT), LONG).result(30.0)
    assert counts(record) == (0, 3)
    assert list(record.readings(firing.id)) == LONG


def test_a_peak_of_one_reading_is_in_the_overview(record: Record) -> None:
    flat = [Reading(float(n), {"top": 20.0 + n / 1000.0, "bottom": 19.0}) for n in range(9000)]
    flat[4321] = replace(flat[4321], temps_c={"top": 1234.5, "bottom": 19.0})
    firing = closed(record, flat)
    put_away(record, firing)
    overview = record.overview(firing.id)
    assert overview is not None
    assert len(overview.elapsed_s) <= 2000
    drawn = dict(zip(overview.elapsed_s, overview.temps_c["top"], strict=True))
    assert drawn[4321.0] == 1234.5
    assert (overview.elapsed_s[0], overview.elapsed_s[-1]) == (0.0, 8999.0)


def test_a_gap_is_drawn_as_one(record: Record) -> None:
    readings = [*LONG[:100], *LONG[4000:4100]]
    firing = closed(record, readings)
    put_away(record, firing)
    overview = record.overview(firing.id)
    assert overview is not None
    place = list(overview.elapsed_s).index(99.0) + 1
    assert overview.temps_c["top"][place] is None
    assert overview.temps_c["bottom"][place] is None
    assert overview.elapsed_s[place + 1] == 4000.0


def test_the_figures_are_those_of_heat_work(record: Record) -> None:
    # A glaze firing, 100 °C/h to 1,222 °C: cone 6 by the published table (tests/reference/
    # cone-equivalents.csv, 60 °C/h in its last 100 °C) is not far; what counts here is that the
    # record's figure is the calculation's own.
    top: list[Reading] = []
    for n in range(0, 50_000, 20):
        temp_c = min(20.0 + n * 0.0278, 1210.0)
        top.append(Reading(float(n), {"top": temp_c + (n % 3) / 16.0, "bottom": None}))
    top[1000] = replace(
        top[1000], temps_c={"top": None, "bottom": None}, faults={"top": FaultCause.OPEN}
    )
    firing = closed(record, top)
    put_away(record, firing)
    (found,) = record.find(ALL).firings
    summary = found.summary
    assert summary is not None
    assert summary.lead == "top"
    assert summary.readings == len(top)
    work = ChannelWork("top")
    for one in top:
        work.look(one.elapsed_s, one.temps_c["top"], one.faults.get("top"))
    assert summary.cone == work.work.progress().cone
    assert summary.cone is not None
    assert summary.peak_c == pytest.approx(1210.1, abs=0.5)
    bottom = next(one for one in summary.channels if one.name == "bottom")
    assert (bottom.cone, bottom.peak_c, bottom.values) == (None, None, 0)


def test_a_channel_that_reads_backwards_does_not_speak_for_the_firing(record: Record) -> None:
    firing = begin(record, "swapped-leads", Mode.IMPORT)
    watch = Watch(scenario("swapped-leads").schedule, firing.channels, WatchSettings())
    for one in night("swapped-leads"):
        record.append(firing.id, one)
        record.add_events(firing.id, watch.feed(one))
    record.close_firing(firing.id, night("swapped-leads")[-1].elapsed_s).result(10.0)
    put_away(record, firing)
    (found,) = record.find(ALL).firings
    summary = found.summary
    assert summary is not None
    # "top" has a value in every reading, and none of them is the kiln's.
    assert (firing.channels[0], summary.lead) == ("top", "middle")
    assert summary.cone == "6"
    assert summary.peak_c == pytest.approx(1205.0, abs=3.0)
    # Nobody was told of it, so there is no alert; the list says all the same that it was no good.
    assert record.alerts(firing.id) == []
    assert found.alerts["warning"] >= 1
    facts = record.facts(firing.id)
    assert facts == summary.facts
    assert facts is not None
    assert facts["peak"]["temp_c"] == pytest.approx(summary.peak_c, abs=0.1)


def test_another_process_reads_the_same_while_it_is_put_away(record: Record) -> None:
    firing = closed(record, LONG)
    looking = Record.open_to_read(record.path.parent)
    half = iter(looking.readings(firing.id))
    first = [next(half) for _ in range(100)]
    put_away(record, firing)
    assert first + list(half) == LONG


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5])
def test_a_firing_of_an_older_record_is_put_away_as_well(tmp_path: Path, version: int) -> None:
    old_record(tmp_path, version)
    with Record.open(tmp_path) as record:
        for firing in record.firings():
            if firing.is_open:
                record.close_firing(firing.id, 5.0).result(10.0)
        before = {one.id: list(record.readings(one.id)) for one in record.firings()}
        for firing in record.to_put_away():
            put_away(record, firing)
        assert counts(record)[0] == 0
        assert {one.id: list(record.readings(one.id)) for one in record.firings()} == before
        assert all(before.values())


def test_what_is_written_later_is_in_the_facts_soon(record: Record) -> None:
    firing = closed(record, LONG[:100])
    put_away(record, firing)
    assert record.to_put_away() == []
    record.add_note(firing.id, 99.0, "used 84 kWh").result(10.0)
    assert record.to_put_away() == [firing]
    put_away(record, firing)
    facts = record.facts(firing.id)
    assert facts is not None
    assert facts["energy"]["kwh"] == 84.0
    look = record.add_observation(firing.id, Observation(9.0, "6", "4", "top")).result(10.0)
    assert record.to_put_away() == [firing]
    put_away(record, firing)
    record.withdraw_observation(firing.id, look.id).result(10.0)
    assert record.to_put_away() == [firing]


def test_a_note_taken_back_is_in_no_facts_and_another_in_its_place_is(record: Record) -> None:
    firing = closed(record, LONG[:100])
    record.add_note(firing.id, 10.0, "Body reduction begun").result(10.0)
    wrong = record.add_note(firing.id, 99.0, "used 84 kWh").result(10.0)
    put_away(record, firing)
    before = record.facts(firing.id)
    assert before is not None
    assert before["reduction"]["begun_s"] == 10.0
    assert before["energy"]["kwh"] == 84.0
    for note in record.notes(firing.id):
        record.withdraw_note(firing.id, note.id, 100.0).result(10.0)
    assert record.to_put_away() == [firing]
    put_away(record, firing)
    after = record.facts(firing.id)
    assert after is not None
    assert (after["reduction"], after["energy"]) == (None, None)
    mended = record.add_note(firing.id, 99.0, "used 48 kWh").result(10.0)
    assert mended.id != wrong.id
    put_away(record, firing)
    record.withdraw_note(firing.id, mended.id, 100.0).result(10.0)
    record.add_note(firing.id, 99.0, "used 49 kWh").result(10.0)
    assert record.to_put_away() == [firing], "one came, one went: as many as before"
