"""What is kept of a firing traces defects to the same causes as all of its readings do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from supervisor.core.defects import RULES, DefectKind, Traced, trace_defects
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.review import FiringFacts
from supervisor.core.review.retold import EXACT_CONES, retold
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.kept import kept_of
from supervisor.record.looking import RecordReader
from supervisor.record.put_away import put_away
from supervisor.record.reviewed import facts_of
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import begin, fire

SCENARIOS = (
    "opened-hot",
    "healthy-highfire",
    "cold-bottom",
    "tripped-breaker",
    "probe-slipped",
)
ALL = tuple(DefectKind)


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """A firing of each scenario, put away as it is when a kiln has cooled."""
    with Record.open(tmp_path_factory.mktemp("kept")) as record:
        for name in SCENARIOS:
            put_away(record, record.firing(fire(record, name).id))
        yield record


@pytest.fixture
def no_reading_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> Iterator[Reading]:
        raise AssertionError("a reading was asked for")

    for name in ("readings", "columns", "blocks"):
        monkeypatch.setattr(RecordReader, name, refuse)


def of(record: Record, name: str) -> Firing:
    """The firing of that scenario."""
    return record.firings()[::-1][SCENARIOS.index(name)]


def traced(facts: FiringFacts, unit: Unit) -> tuple[Traced, ...]:
    return trace_defects(facts, ALL, Words(unit))


def kept_facts(record: Record, name: str) -> FiringFacts:
    kept = kept_of(record, of(record, name))
    assert kept is not None
    return kept.facts


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_rule_says_the_same_of_what_is_kept(record: Record, name: str) -> None:
    by_readings = facts_of(record, of(record, name))
    for unit in Unit:
        expected = traced(by_readings, unit)
        assert {cause.name for one in expected for cause in one.causes} == {r.name for r in RULES}
        assert traced(kept_facts(record, name), unit) == expected


def write(record: Record, name: str) -> None:
    """Notes of reduction and the meter, and looks at cones beside two of the channels."""
    firing = of(record, name)
    facts = facts_of(record, firing)
    peak = facts.peak
    assert peak is not None
    for at_s, text in (
        (600.0, "meter 10234,5 kWh"),
        (0.7 * peak.at_s, "reduction begun"),
        (0.8 * peak.at_s, "reduction ended, oxidation"),
        (peak.hold_to_s, "meter 10318 kWh"),
    ):
        record.add_note(firing.id, at_s, text)
    lead = facts.lead_cones
    assert lead is not None
    assert lead.cone is not None
    for channel in {lead.channel, firing.channels[-1]}:
        for at_s, cone, clock in (
            (peak.hold_from_s, lead.cone, "2"),
            (peak.hold_to_s, lead.cone, "4:30"),
            (facts.last_s, lead.cone, "touching"),
            (facts.last_s, lead.next_cone or lead.cone, "1"),
            (peak.hold_from_s, lead.cone, "5:30"),
        ):
            seen = Observation(at_s, cone, clock, channel)
            record.add_observation(firing.id, seen).result(10.0)


@pytest.mark.parametrize("name", SCENARIOS)
def test_and_with_notes_and_looks_that_were_written_later(
    record: Record, name: str, request: pytest.FixtureRequest
) -> None:
    write(record, name)
    firing = of(record, name)
    assert record.to_put_away()[0].id == firing.id
    by_readings = facts_of(record, firing)
    request.getfixturevalue("no_reading_is_read")
    found = kept_facts(record, name)
    assert found.energy == by_readings.energy
    assert found.reduction is not None
    assert found.reduction.begun_said == "reduction begun"
    assert [look.counts for look in found.looks] == [look.counts for look in by_readings.looks]
    assert not all(look.counts for look in found.looks), "no cone stands up again"
    for one, other in zip(found.looks, by_readings.looks, strict=True):
        for figure in ("work", "offset_low_c", "offset_high_c"):
            assert getattr(one, figure) == pytest.approx(getattr(other, figure), abs=0.1), figure
    for cones, others in zip(found.cones, by_readings.cones, strict=True):
        for figure in ("place", "seen_place_low", "seen_place_high"):
            was = getattr(others, figure)
            assert getattr(cones, figure) == pytest.approx(was, abs=EXACT_CONES), figure
    for unit in Unit:
        assert traced(found, unit) == traced(by_readings, unit)


def test_a_look_beside_a_thermocouple_whose_trace_tells_other_cones_wants_the_readings(
    record: Record,
) -> None:
    kept = kept_of(record, of(record, "probe-slipped"))
    assert kept is not None
    top, slipped, bottom = kept.facts.cones
    assert None in kept.trace.channels_c[slipped.channel], "it was not believed all the time"
    assert slipped.place is not None
    way = slipped.place + 2.0 * EXACT_CONES
    other = replace(kept.facts, cones=(top, replace(slipped, place=way), bottom))
    for cones, is_told in ((top, True), (slipped, False), (bottom, True)):
        look = Observation(kept.facts.last_s, "6", "touching", cones.channel)
        assert retold(kept.facts, kept.trace, None, (), [look]) is not None
        assert (retold(other, kept.trace, None, (), [look]) is not None) is is_told


def test_what_is_not_summed_up_is_not_kept(record: Record) -> None:
    firing = begin(record)
    assert kept_of(record, firing) is None
