"""Firings that are known to the minute, held against each other and against their plan."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import trapezoid

from supervisor.core.compare import (
    Align,
    Comparison,
    Subject,
    compared,
    planned_subject,
    subject_of,
)
from supervisor.core.compare.aligned import noise_c
from supervisor.core.compare.document import document
from supervisor.core.compare.subject import Part, worth
from supervisor.core.compare.words import sentences
from supervisor.core.events import Kind, Severity
from supervisor.core.heatwork import CONES, WHOLE_CONE_NAMES
from supervisor.core.review import Reviewer, Trouble
from supervisor.core.review.trace import Trace
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    HOUR_S,
    Points,
    as_planned,
    at,
    cooled,
    cut,
    interrupted,
    plan,
    reached_s,
    seen,
)
from tests.core.review.logs import RIG

MINUTE_S = 60.0
CELSIUS = Words(Unit.C)
PLAN = plan("100 600", "150 1090", "60 1205 30", cone="6")


def fired(schedule: Schedule = PLAN, *, wait_s: float = 0.0) -> Points:
    return cooled(as_planned(schedule, wait_s=wait_s), 8 * HOUR_S)


def subject(
    points: Points, name: str = "B", schedule: Schedule | None = PLAN, seed: int = 1
) -> Subject:
    reviewer = Reviewer(("kiln",), schedule)
    for reading in seen(points, rig=RIG, seed=seed):
        reviewer.feed(reading)
    return subject_of(name, f"firing {name}", reviewer, reviewer.facts())


@pytest.fixture(scope="module")
def usual() -> Subject:
    return subject(fired(), "A")


def held(reference: Subject, other: Subject, align: Align = Align.TIME) -> Comparison:
    [one] = compared(reference, [other], align)
    return one


def of(one: Comparison, what: str) -> float:
    """By how much they differ in one thing."""
    [found] = [d for d in one.differences if d.what == what]
    assert found.by is not None
    return found.by


@pytest.mark.parametrize("align", Align)
def test_noise_parts_no_firings_and_nothing_differs(usual: Subject, align: Align) -> None:
    one = held(usual, subject(fired(), seed=2), align)
    assert one.partings == ()
    assert [d.what for d in one.differences if not d.is_alike] == []
    said = sentences(one, CELSIUS)
    assert said[0].startswith("They did not part: no difference that lasts is beyond ")
    assert said[-1].startswith("Alike: ")


def test_a_later_start_is_no_difference(usual: Subject) -> None:
    assert held(usual, subject(fired(wait_s=2 * HOUR_S))).partings == ()


@pytest.mark.parametrize("at_c", [300.0, 800.0, 1150.0])
def test_they_part_where_the_other_stalled(usual: Subject, at_c: float) -> None:
    points = fired()
    stalled = interrupted(points, reached_s(points, at_c), 40 * MINUTE_S)
    one = held(usual, subject(stalled))
    [parting] = one.partings
    began_s = reached_s(points, at_c) - reached_s(points, one.from_c)
    # A difference must have grown to half of what counts before it can be seen.
    slowest_c_per_h = 60.0
    assert began_s <= parting.at <= began_s + 0.5 * parting.beyond / slowest_c_per_h * HOUR_S + 120
    rate = next(r for c, r in ((600.0, 100.0), (1090.0, 150.0), (1205.0, 60.0)) if at_c < c)
    worst_c = max(
        at(points, s) - at(stalled, s)
        for s in np.arange(0.0, points[-1][0], 60.0)
        if s < reached_s(points, 1204.0)
    )
    assert worst_c >= rate * 40.0 / 60.0 - 1.0
    assert -parting.by == pytest.approx(worst_c, abs=3.0)
    [first, *_] = sentences(one, CELSIUS)
    assert "from there B was cooler, by up to " in first
    assert "on the climb to" in first


def test_by_temperature_they_part_where_one_fell_behind(usual: Subject) -> None:
    points = fired()
    stalled = interrupted(points, reached_s(points, 800.0), 40 * MINUTE_S)
    [parting] = held(usual, subject(stalled), Align.TEMPERATURE).partings
    assert parting.at == pytest.approx(805.0, abs=5.0)
    assert parting.by == pytest.approx(40 * MINUTE_S, abs=90.0)
    assert parting.until is None


def test_from_the_peak_only_what_is_near_it_counts(usual: Subject) -> None:
    points = fired()
    stalled = interrupted(points, reached_s(points, 800.0), 40 * MINUTE_S)
    [before] = held(usual, subject(stalled), Align.PEAK).partings
    since_s = reached_s(points, 800.0) - reached_s(points, 1205.0 - 1.0)
    assert before.at == pytest.approx(since_s, abs=6 * MINUTE_S)
    said = sentences(held(usual, subject(stalled), Align.PEAK), CELSIUS)[0]
    assert said.startswith("Before the peak they agree from ")


def test_a_longer_hold_is_worth_what_an_integral_says(usual: Subject) -> None:
    longer = fired(plan("100 600", "150 1090", "60 1205 60", cone="6"))
    other = subject(longer, schedule=None)
    one = held(usual, other)
    assert of(one, "hold") == pytest.approx(30 * MINUTE_S, abs=2 * MINUTE_S)
    for part, name in ((Part.HOLD, "6"), (Part.HOLD, "7")):
        more = other.works[part][name] - usual.works[part][name]
        # Half an hour more at 1205 °C, whatever the cone had before.
        expected = CONES[name].rate_per_s(1205.0) * 30 * MINUTE_S
        assert more == pytest.approx(expected, rel=0.08)
    [cones] = [d for d in one.differences if d.what == "cones"]
    assert cones.parts["hold"] == pytest.approx(of(one, "cones"), abs=0.1)
    said = sentences(one, CELSIUS)
    assert "B held the peak 30 minutes longer: " in " ".join(said)
    by = of(one, "cones")
    assert any(line.startswith(f"B had {by:.1f} of a cone more heat-work") for line in said)


def test_the_whole_heat_work_is_that_of_an_integral(usual: Subject) -> None:
    points = fired()
    times = np.arange(0.0, points[-1][0], 20.0)
    for name in ("4", "6"):
        per_s = np.array([CONES[name].rate_per_s(at(points, float(s))) for s in times])
        whole = sum(usual.works[part][name] for part in Part)
        assert whole == pytest.approx(float(trapezoid(per_s, times)), rel=0.04)
    lead = usual.facts.lead_cones
    assert lead is not None
    assert usual.place == pytest.approx(lead.place, abs=0.02)


def test_what_the_parts_are_worth_is_together_the_whole(usual: Subject) -> None:
    other = subject(fired(plan("100 600", "220 1120", "80 1240 10")), schedule=None)
    assert usual.place is not None
    assert other.place is not None
    parts = worth(usual.works, other.works)
    assert math.fsum(parts.values()) == pytest.approx(other.place - usual.place, abs=1e-9)
    assert worth(usual.works, usual.works) == dict.fromkeys(Part, 0.0)
    nothing = {part: dict.fromkeys(WHOLE_CONE_NAMES, 0.0) for part in Part}
    assert worth(nothing, usual.works) == {}


def test_peak_climb_and_cooling_are_told_the_biggest_first(usual: Subject) -> None:
    other_plan = plan("100 600", "100 1090", "60 1230 30", "- 1000", "50 750")
    one = held(usual, subject(cooled(as_planned(other_plan), 6 * HOUR_S), schedule=other_plan))
    assert of(one, "peak") == pytest.approx(25.0, abs=1.0)
    climb_s = (1090.0 - 600.0) / 100.0 * HOUR_S - (1090.0 - 600.0) / 150.0 * HOUR_S
    assert of(one, "climb") == pytest.approx(climb_s + 25 * MINUTE_S, abs=5 * MINUTE_S)
    [crystals] = [d for d in one.differences if d.what == "crystals grow"]
    assert crystals.by is not None
    assert crystals.by < 0.0
    weights = [d.weight for d in one.differences]
    assert weights == sorted(weights, reverse=True)
    said = sentences(one, CELSIUS)
    told = [line for line in said if line.startswith("B ")]
    assert len(told) >= 4
    assert any(line.startswith("B stood 25 °C hotter at the peak: 1,230 °C") for line in told)
    assert any(line.startswith("B cooled more slowly where crystals grow: ") for line in told)


def test_a_firing_that_keeps_its_plan_does_not_part_from_it() -> None:
    reference = planned_subject(PLAN, 20.0)
    one = held(reference, subject(fired()))
    assert one.partings == ()
    assert [d.what for d in one.differences if not d.is_alike] == []
    # How the kiln cools is nothing that this plan has an opinion of.
    assert not {"quartz turns back", "glaze sets", "crystals grow"} & {
        d.what for d in one.differences
    }


def test_a_plan_that_cools_slowly_is_compared_there() -> None:
    slow = plan("100 600", "150 1205 30", "- 1000", "60 760")
    reference = planned_subject(slow, 20.0)
    kept = subject(cooled(as_planned(slow), 4 * HOUR_S), schedule=slow)
    hurried = plan("100 600", "150 1205 30", "- 1000", "120 760")
    quick = subject(cooled(as_planned(hurried), 4 * HOUR_S), schedule=hurried)
    assert held(reference, kept).partings == ()
    [parting] = held(reference, quick).partings
    began_s = reached_s(as_planned(slow), 1205.0) - reached_s(as_planned(slow), 60.0)
    assert parting.at > began_s + 30 * MINUTE_S
    assert parting.by < -50.0


def test_unlike_peaks_are_not_asked_how_long_they_held(usual: Subject) -> None:
    low = plan("100 600", "150 1000 30")
    one = held(usual, subject(fired(low), schedule=low))
    assert not {"hold", "climb", "last 100 °C"} & {d.what for d in one.differences}
    assert of(one, "peak") == pytest.approx(-205.0, abs=2.0)


def test_what_never_came_up_has_nothing_in_common(usual: Subject) -> None:
    cold = subject([(0.0, 20.0), (3600.0, 22.0)], schedule=None)
    for align in Align:
        one = held(usual, cold, align)
        if align is not Align.PEAK:
            assert one.laid is None
            assert sentences(one, CELSIUS)[0] == "A and B have no temperatures in common."


def test_fahrenheit_has_no_celsius_and_the_same_figures(usual: Subject) -> None:
    other = subject(fired(plan("100 600", "150 1090", "60 1230 30")), schedule=None)
    one = held(usual, other)
    in_f, in_c = (" ".join(sentences(one, Words(unit))) for unit in (Unit.F, Unit.C))
    assert "°C" not in in_f
    assert "B stood 25 °C hotter at the peak" in in_c
    assert "B stood 45 °F hotter at the peak" in in_f
    written = document([one], Words(Unit.F))
    [compared_] = written["compared"]
    [peak] = [d for d in compared_["differences"] if d["what"] == "peak"]
    assert peak["by"] == pytest.approx(25.0, abs=1.0)
    assert (written["align"], written["reference"]["name"]) == ("time", "A")


@pytest.mark.parametrize("every_s", [30.0, 120.0, 300.0])
def test_the_noise_of_a_slow_log_is_its_noise_and_not_its_climb(every_s: float) -> None:
    points = fired()
    trace = Trace(("kiln",))
    dice = np.random.default_rng(5)
    for n in range(int(points[-1][0] // every_s)):
        trace.add(n * every_s, at(points, n * every_s) + float(dice.normal(0.0, 1.0)), [None])
    # Half minutes are resampled to whole minutes; the rest is as it stands.
    assert noise_c(trace) == pytest.approx(1.0, rel=0.2)


def going_on(points: Points, until_s: float) -> Subject:
    return replace(subject(cut(points, until_s)), goes_on=True)


@pytest.mark.parametrize("align", Align)
def test_of_one_that_still_climbs_nothing_is_said_of_a_peak(usual: Subject, align: Align) -> None:
    late = interrupted(fired(), reached_s(fired(), 500.0), 40 * MINUTE_S)
    climbing = going_on(late, reached_s(late, 905.0))
    said = " ".join(sentences(held(usual, climbing, align), CELSIUS))
    for word in ("at the peak", "held", "cooled", "opened", "heat-work", "cone", "Alike"):
        assert word not in said, word
    assert held(usual, climbing, align).differences == ()
    assert "B first came to 904 °C 40 minutes later than A." in said
    assert "B is not past its peak yet, so nothing is said of peak, hold and cooling." in said
    has_peak = "So there is no peak yet from which they could be laid over each other." not in said
    assert has_peak is (align is not Align.PEAK)
    # A firing that ended there is over, and had that peak.
    over = replace(climbing, goes_on=False)
    assert "cooler at the peak" in " ".join(sentences(held(usual, over, align), CELSIUS))


def test_one_that_goes_on_is_held_against_where_the_other_was_at_the_same_hour(
    usual: Subject,
) -> None:
    late = interrupted(fired(), reached_s(fired(), 500.0), 40 * MINUTE_S)
    until_s = reached_s(late, 905.0)
    (now,) = held(usual, going_on(late, until_s)).so_far
    assert (now.name, now.against, now.has_peaked) == ("B", "A", False)
    assert now.temp_c == pytest.approx(905.0, abs=2.0)
    # Both began at the same second, and 40 minutes later is 100 °C hotter at 150 °C an hour.
    assert now.against_c == pytest.approx(905.0 + 40 / 60 * 150, abs=3.0)
    assert now.later_s == pytest.approx(40 * MINUTE_S, abs=90.0)
    document_of_it = document([held(usual, going_on(late, until_s))], CELSIUS)
    (compared_to_it,) = document_of_it["compared"]
    assert (compared_to_it["goes_on"], compared_to_it["peak"]) == (True, None)
    # By its plan as well, and the other way round.
    (planned,) = held(planned_subject(PLAN), going_on(late, until_s)).so_far
    assert planned.against == "the plan"
    (turned,) = held(going_on(late, until_s), usual).so_far
    assert turned == replace(now, against=usual.name)
    # A log that ended earlier has no such hour; a kiln that is cold has not begun.
    short = subject(cut(fired(), reached_s(fired(), 300.0)), "A")
    assert "so long A did not last" in sentences(held(short, going_on(late, until_s)), CELSIUS)[0]
    cold = replace(subject([(0.0, 20.0), (HOUR_S, 21.0)]), goes_on=True)
    said = sentences(held(usual, cold), CELSIUS)
    assert said[0] == "B still goes on, and has not begun to climb."


def test_one_that_cools_has_its_peak_behind_it(usual: Subject) -> None:
    points = fired()
    top_s = reached_s(points, 1204.0)
    # Its plan's hold is half an hour.
    for after_s, has_peaked in ((10 * MINUTE_S, False), (2 * HOUR_S, True)):
        one = held(usual, going_on(points, top_s + after_s))
        (now,) = one.so_far
        assert now.has_peaked is has_peaked
        assert ("hold" in {d.what for d in one.differences}) is has_peaked
    said = " ".join(sentences(one, CELSIUS))
    assert "The peak of B is behind it; its cooling is told as far as it has gone." in said
    # Without a plan a dip is told from the end by how deep it is.
    bare = Reviewer(("kiln",))
    for reading in seen(cut(points, top_s + 2 * HOUR_S), rig=RIG):
        bare.feed(reading)
    unplanned = replace(subject_of("B", "a log", bare, bare.facts()), goes_on=True)
    assert unplanned.has_peaked


def test_what_it_was_not_warned_of_it_may_be_yet(usual: Subject) -> None:
    warned = Trouble(Kind.STALL, Severity.WARNING, None, 600.0, None, 500.0, "stall", {})
    before = replace(usual, facts=replace(usual.facts, troubles=(warned,)))
    now = going_on(fired(), reached_s(fired(), 905.0))
    assert held(before, now).differences == ()
    stalls = replace(now, facts=replace(now.facts, troubles=(warned,)))
    (found,) = held(usual, stalls).differences
    assert (found.what, found.names) == ("warnings", ((), ("stall",)))
