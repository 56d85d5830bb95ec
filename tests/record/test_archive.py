"""Firings are found again by what people remember of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.alerts import AlertBook
from supervisor.core.events import Kind
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.record.archive import MOST_FOUND, Wanted
from supervisor.record.put_away import put_away
from supervisor.record.rows import Mode, NewFiring
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding
from tests.record.firings import NEW, event, reading

TENMOKU = NewFiring(
    kiln="Großer Ofen",
    channels=("top", "bottom"),
    name="Tenmoku Été",
    schedule_toml='name = "Tenmoku Été"\n# slow in the QUARTZ\n',
    mode=Mode.IMPORT,
    started_label="2025-03-14T09:00:00+01:00",
)
BISQUE = replace(
    TENMOKU, kiln="small", name="Bisque", schedule_toml=None, started_label="2026-01-02T09:00:00Z"
)
UNDATED = replace(BISQUE, name="Old log", started_label=None)


def taken_in(record: Record, new: NewFiring, peak_c: float = 900.0) -> str:
    """A firing that climbs to ``peak_c`` in ten hours, put away."""
    readings = [
        Reading(60.0 * n, {"top": 20.0 + (peak_c - 20.0) * n / 600.0, "bottom": None})
        for n in range(601)
    ]
    firing = record.import_readings(new, readings).result(30.0)
    put_away(record, firing)
    return firing.id


@pytest.fixture
def studio(record: Record) -> dict[str, str]:
    """Three firings of two kilns, by name."""
    ids = {
        "tenmoku": taken_in(record, TENMOKU, 1250.0),
        "bisque": taken_in(record, BISQUE, 1000.0),
        "undated": taken_in(record, UNDATED, 300.0),
    }
    record.tell(ids["tenmoku"], Account("glazes", "Nuka over Tenmoku")).result(10.0)
    record.add_note(ids["bisque"], 60.0, "Bung back in at 600").result(10.0)
    mistapped = record.add_note(ids["tenmoku"], 60.0, "Stoked").result(10.0)
    record.withdraw_note(ids["tenmoku"], mistapped.id, 61.0).result(10.0)
    record.find_at_unloading(ids["bisque"], [Finding("dunting", 2, "Bottom shelf")]).result(10.0)
    return ids


def names(record: Record, wanted: Wanted, ids: dict[str, str]) -> list[str]:
    by_id = {number: name for name, number in ids.items()}
    found = record.find(wanted)
    assert found.total == len(found.firings)
    return [by_id[one.firing.id] for one in found.firings]


def test_the_latest_comes_first_and_what_has_no_date_last(
    record: Record, studio: dict[str, str]
) -> None:
    assert names(record, Wanted(), studio) == ["bisque", "tenmoku", "undated"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("été", ["tenmoku"]),
        ("ÉTÉ", ["tenmoku"]),
        ("quartz", ["tenmoku"]),
        ("GROSSER ofen", ["tenmoku"]),
        ("nuka", ["tenmoku"]),
        ("bung 600", ["bisque"]),
        ("bung tenmoku", []),
        ("stoked", []),
        ("dunting", ["bisque"]),
        ("bottom shelf", ["bisque"]),
        ("small", ["bisque", "undated"]),
        ("100% _", []),
        ("2025-03-14-", ["tenmoku"]),
        ("  ", ["bisque", "tenmoku", "undated"]),
    ],
)
def test_every_word_is_somewhere_in_it(
    record: Record, studio: dict[str, str], text: str, expected: list[str]
) -> None:
    assert names(record, Wanted(text), studio) == expected


def test_what_was_taken_back_is_not_found(record: Record, studio: dict[str, str]) -> None:
    record.tell(studio["tenmoku"], Account("glazes", "Shino")).result(10.0)
    record.find_at_unloading(studio["bisque"], [Finding("dunting", 0, "Bottom shelf")]).result(10.0)
    assert names(record, Wanted("nuka"), studio) == []
    assert names(record, Wanted("shino"), studio) == ["tenmoku"]
    assert names(record, Wanted("dunting"), studio) == []


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        (Wanted(kiln="small"), ["bisque", "undated"]),
        (Wanted(kiln="smal"), []),
        (Wanted(since="2026-01-02"), ["bisque"]),
        (Wanted(since="2026-01-03"), []),
        (Wanted(until="2025-03-14"), ["tenmoku"]),
        (Wanted(since="2025-01-01", until="2026-12-31"), ["bisque", "tenmoku"]),
        (Wanted(mode=Mode.LIVE), []),
        (Wanted(mode=Mode.IMPORT, kiln="Großer Ofen"), ["tenmoku"]),
        (Wanted(cone="14"), []),
    ],
)
def test_by_kiln_day_and_kind(
    record: Record, studio: dict[str, str], wanted: Wanted, expected: list[str]
) -> None:
    assert names(record, wanted, studio) == expected


def test_by_the_cone_that_it_reached(record: Record, studio: dict[str, str]) -> None:
    cones = {one.firing.id: one.summary for one in record.find(Wanted()).firings}
    summary = cones[studio["tenmoku"]]
    assert summary is not None
    assert summary.cone is not None
    assert names(record, Wanted(cone=summary.cone), studio) == ["tenmoku"]
    cold = cones[studio["undated"]]
    assert cold is not None
    assert cold.cone is None


def test_pages_follow_each_other(record: Record, studio: dict[str, str]) -> None:
    first = record.find(Wanted(limit=2))
    second = record.find(Wanted(limit=2, offset=2))
    assert (first.total, second.total) == (3, 3)
    ids = [one.firing.id for one in (*first.firings, *second.firings)]
    assert ids == [studio["bisque"], studio["tenmoku"], studio["undated"]]
    assert record.find(Wanted(offset=99)).firings == []
    assert len(record.find(Wanted(limit=10 * MOST_FOUND)).firings) == 3


def test_a_firing_that_goes_on_is_there_and_one_that_waits_is_not(record: Record) -> None:
    firing = record.start_firing(NEW).result(10.0)
    assert record.find(Wanted()).total == 0
    record.append(firing.id, reading(1.0))
    record.flush().result(10.0)
    (found,) = record.find(Wanted()).firings
    assert found.firing == firing
    assert found.summary is None
    assert found.extent is not None
    assert found.extent.readings == 1


def test_a_row_counts_what_it_has(record: Record) -> None:
    firing = record.start_firing(NEW).result(10.0)
    record.append(firing.id, reading(1.0))
    raised = AlertBook(firing.id, firing.kiln).take(event(1))
    assert raised is not None
    record.add_events(firing.id, [event(1)], alerts=[raised.alert])
    record.add_note(firing.id, 1.0, "a")
    mistapped = record.add_note(firing.id, 2.0, "b").result(10.0)
    record.withdraw_note(firing.id, mistapped.id, 3.0)
    look = record.add_observation(firing.id, Observation(1.0, "6", "3:30", "top")).result(10.0)
    record.add_observation(firing.id, Observation(2.0, "6", "4", "top")).result(10.0)
    record.withdraw_observation(firing.id, look.id)
    record.find_at_unloading(firing.id, [Finding("pinholes", 1), Finding("crawling", 3)])
    record.find_at_unloading(firing.id, [Finding("crawling", 0)]).result(10.0)
    (found,) = record.find(Wanted()).firings
    assert dict(found.alerts) == {"warning": 1}
    assert (found.notes, found.looks, found.findings, found.photos) == (1, 1, 1, 0)
    assert record.found(firing) == found
    assert record.kilns() == ["Big Bertha"]


@pytest.mark.parametrize(("kind", "is_listed"), [(Kind.TREND, False), (Kind.NO_READINGS, True)])
def test_what_only_was_told_of_a_trend_is_no_firing_in_a_list(
    record: Record, studio: dict[str, str], kind: Kind, is_listed: bool
) -> None:
    waited = record.start_firing(replace(BISQUE, mode=Mode.LIVE)).result(10.0)
    said = replace(event(1, 0.0), kind=kind)
    raised = AlertBook(waited.id, waited.kiln).take(said)
    assert raised is not None
    record.add_events(waited.id, [said], alerts=[raised.alert])
    assert waited.id not in [one.firing.id for one in record.find(Wanted()).firings], "it waits"
    record.end_waiting(waited.id).result(10.0)
    found = record.find(Wanted())
    assert (waited.id in [one.firing.id for one in found.firings]) is is_listed
    assert found.total == len(studio) + is_listed
    # Whatever somebody writes about it is worth a line.
    note = record.add_note(waited.id, 0.0, "New elements").result(10.0)
    assert waited.id in [one.firing.id for one in record.find(Wanted()).firings]
    record.withdraw_note(waited.id, note.id, 1.0).result(10.0)
    assert (waited.id in [one.firing.id for one in record.find(Wanted()).firings]) is is_listed
