"""Peak, bands, cooling, cones and troubles of firings that are known to the minute."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import pytest

from simulator.firing import SimulatedFiring
from simulator.scenario import load_scenario
from simulator.source import SimulatedSource
from supervisor.core.events import Kind
from supervisor.core.heatwork import HeatWork, place_on_scale
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.review import FiringFacts, Remark, Reviewer, document_of
from supervisor.core.schedule.model import Way
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    as_planned,
    cooled,
    cut,
    interrupted,
    plan,
    reached_s,
    seen,
)
from tests.core.review.logs import GLAZE, RIG, fired, looked_back, looked_back_on, made

MINUTE_S = 60.0


@pytest.fixture(scope="module")
def good() -> FiringFacts:
    """A firing that goes well, by its plan."""
    return looked_back(fired())


def test_the_peak_is_where_and_as_long_as_it_was(good: FiringFacts) -> None:
    peak = good.peak
    assert peak is not None
    assert peak.level_c == pytest.approx(1205.0, abs=1.0)
    assert peak.hold_s == pytest.approx(30 * MINUTE_S, abs=5 * MINUTE_S)
    assert peak.rate_c_per_h == pytest.approx(60.0, rel=0.03)
    assert peak.channels_c == {"kiln": pytest.approx(1205.5, abs=1.0)}


def test_a_climb_that_turns_at_once_has_hardly_stood() -> None:
    facts = looked_back(cooled(as_planned(plan("150 1100")), 8 * HOUR_S), plan("150 1100"))
    assert facts.peak is not None
    assert facts.peak.hold_s < 4 * MINUTE_S


def test_time_above_is_that_of_the_line(good: FiringFacts) -> None:
    up_s = (1090.0 - 1000.0) / 150.0 * HOUR_S + (1205.0 - 1090.0) / 60.0 * HOUR_S
    down_s = 18000.0 * math.log(1185.0 / 980.0)
    expected_s = up_s + 30 * MINUTE_S + down_s
    assert good.time_above_s(1000.0) == pytest.approx(expected_s, abs=3 * MINUTE_S)
    temps_c = [one.temp_c for one in good.above]
    assert temps_c[:2] == [600.0, 700.0]
    assert temps_c == sorted(temps_c)


def test_bands_have_the_rates_of_the_climb_and_of_the_plan(good: FiringFacts) -> None:
    quartz = good.band("quartz turns")
    assert quartz is not None
    assert quartz.passage.mean_c_per_h == pytest.approx(150.0, rel=0.02)
    assert quartz.passage.fastest_c_per_h == pytest.approx(150.0, rel=0.08)
    assert quartz.planned_c_per_h == pytest.approx(150.0)
    assert (quartz.allowed_c_per_h, quartz.way) == (170.0, Way.HEATING)
    assert quartz.too_fast is not None
    assert quartz.too_fast < 1.0
    back = good.band("quartz turns back")
    assert back is not None
    rate_c_per_h = 70.0 / (18000.0 * math.log(580.0 / 510.0)) * HOUR_S
    assert back.passage.mean_c_per_h == pytest.approx(rate_c_per_h, rel=0.03)


def test_what_is_hurried_is_too_fast_by_the_rule_of_the_watch() -> None:
    schedule = plan("300 1000 15")
    facts = looked_back(
        cooled(as_planned(schedule), 3 * HOUR_S), made(_with_kind("300 1000 15", "bisque"))
    )
    quartz = facts.band("quartz turns")
    assert quartz is not None
    assert quartz.too_fast == pytest.approx(300.0 / (1.05 * 170.0), rel=0.05)
    assert {trouble.data["band"] for trouble in facts.troubles_of(Kind.FAST_HEATING)} >= {
        "quartz turns"
    }


def _with_kind(step: str, kind: str) -> str:
    rate, to, hold = step.split()
    return f'name = "x"\nkind = "{kind}"\n[[step]]\nrate = {rate}\nto = {to}\nhold_min = {hold}\n'


def test_cooling_has_the_ranges_that_matter(good: FiringFacts) -> None:
    cooling = good.cooling
    assert cooling is not None
    assert cooling.opened is None
    assert cooling.shut_constant_s == pytest.approx(18000.0, rel=0.05)
    for seen_, (from_c, to_c) in (
        (cooling.crystals, (1100.0, 760.0)),
        (cooling.glaze_sets, (750.0, 600.0)),
        (cooling.quartz, (600.0, 530.0)),
        (cooling.cristobalite, (280.0, 200.0)),
    ):
        assert seen_ is not None
        took_s = 18000.0 * math.log((from_c - 20.0) / (to_c - 20.0))
        assert seen_.time_s == pytest.approx(took_s, rel=0.04)
        assert seen_.fastest_c_per_h is not None
        assert seen_.mean_c_per_h is not None
        assert seen_.fastest_c_per_h >= seen_.mean_c_per_h


@pytest.mark.parametrize("opened_c", [400.0, 150.0, 80.0])
def test_a_lid_that_is_opened_is_found_to_minutes_and_degrees(opened_c: float) -> None:
    shut = fired(cools_s=20 * HOUR_S)
    opened_s = next(s for s, c in shut if s > 12 * HOUR_S and c <= opened_c)
    points = cooled(cut(shut, opened_s), 2 * HOUR_S, constant_s=2400.0)
    facts = looked_back(points)
    assert facts.cooling is not None
    opened = facts.cooling.opened
    assert opened is not None
    assert opened.at_s == pytest.approx(opened_s, abs=6 * MINUTE_S)
    assert opened.temp_c == pytest.approx(opened_c, abs=max(0.05 * opened_c, 6.0))
    assert opened.shut_c_per_h is not None
    assert opened.rate_c_per_h > 3.0 * opened.shut_c_per_h


@pytest.mark.parametrize("constant_h", [1.5, 5.0, 14.0])
def test_a_shut_kiln_is_never_said_to_be_opened(constant_h: float) -> None:
    points = cooled(as_planned(GLAZE), 3.2 * constant_h * HOUR_S, constant_s=constant_h * HOUR_S)
    for seed in (1, 2):
        facts = looked_back(points, None, seed=seed)
        assert facts.cooling is not None
        assert facts.cooling.opened is None


def test_in_a_warm_shed_the_kiln_cools_towards_that() -> None:
    warm = cooled(as_planned(GLAZE), 18 * HOUR_S, shed_c=38.0)
    settings = WatchSettings(ambient_c=38.0)
    told, untold = looked_back(warm, settings=settings).cooling, looked_back(warm).cooling
    assert told is not None
    assert untold is not None
    assert (told.ambient_c, told.opened) == (38.0, None)
    assert told.shut_constant_s == pytest.approx(18000.0, rel=0.01)
    assert untold.shut_constant_s != pytest.approx(18000.0, rel=0.02)


def test_neither_a_look_nor_the_end_of_a_slow_cooling_is_an_opening() -> None:
    schedule = plan("150 1200 20", "70 780")
    points = cooled(as_planned(schedule), 14 * HOUR_S)
    look_s = next(s for s, c in points if s > 16 * HOUR_S and c < 500.0)
    dipped = interrupted(points, look_s, 60.0, rate_c_per_h=-900.0, back_s=120.0)
    facts = looked_back(dipped, schedule)
    assert facts.cooling is not None
    assert facts.cooling.opened is None


def test_the_simulated_lid_is_found_when_the_simulator_opened_it() -> None:
    scenario = load_scenario("opened-hot")
    firing = SimulatedFiring(scenario)
    source = SimulatedSource(firing, 30.0)
    reviewer = Reviewer(source.channels, scenario.schedule)
    onset_s = due_s = None
    due_s = source.due_s(None)
    while due_s is not None:
        reviewer.feed(source.read(due_s))
        if onset_s is None and firing.faults_on:
            onset_s = due_s
        due_s = source.due_s(due_s)
    facts = reviewer.facts()
    assert facts.cooling is not None
    assert facts.cooling.opened is not None
    assert onset_s is not None
    assert facts.cooling.opened.at_s == pytest.approx(onset_s, abs=3 * MINUTE_S)


def test_channels_apart_are_told_with_the_cones_between_them() -> None:
    points = fired(cools_s=4 * HOUR_S)
    low: Points = [(s, c - 12.0) for s, c in points]
    readings = [
        Reading(one.elapsed_s, {"top": one.temps_c["kiln"], "low": other.temps_c["kiln"]})
        for one, other in zip(seen(points, rig=RIG), seen(low, rig=RIG, seed=2), strict=True)
    ]
    facts = looked_back_on(readings, ("top", "low"))
    even = facts.evenness
    assert even is not None
    assert even.mean_c == pytest.approx(12.0, abs=0.5)
    assert even.at_peak_c == {
        "top": pytest.approx(6.0, abs=0.3),
        "low": pytest.approx(-6.0, abs=0.3),
    }
    assert (even.worst.hottest, even.hottest, even.coolest) == ("top", "top", "low")
    works = [HeatWork(), HeatWork(-12.0)]
    for reading in readings:
        for work in works:
            work.add(reading.elapsed_s, reading.temps_c["top"] or 0.0)
    places = [place_on_scale(work.progress().work) or 0.0 for work in works]
    assert even.cones_apart == pytest.approx(places[0] - places[1], abs=0.03)
    assert len(even.over_time) > 10
    assert all(later.at_s - one.at_s >= 900.0 for one, later in pairwise(even.over_time))


def test_real_cones_put_the_firing_where_they_bent() -> None:
    points = fired(cools_s=4 * HOUR_S)
    plain = looked_back(points)
    cones = plain.lead_cones
    assert cones is not None
    assert cones.place is not None
    end_s = plain.peak.hold_to_s if plain.peak else 0.0
    hotter: Points = [(s, c + 8.0 * (c > 500.0)) for s, c in points]
    truth = looked_back(hotter).lead_cones
    assert truth is not None
    assert truth.place is not None
    by_truth = {
        look.cone: look.clock
        for look in looked_back(
            hotter, looks=[Observation(end_s, cone, "upright") for cone in ("5", "6", "7")]
        ).looks
    }
    looks = [Observation(end_s, cone, clock or "") for cone, clock in by_truth.items()]
    facts = looked_back(points, looks=looks)
    seen_ = facts.lead_cones
    assert seen_ is not None
    assert seen_.place == pytest.approx(cones.place, abs=1e-9)
    assert seen_.seen_place_low is not None
    assert seen_.seen_place_high is not None
    assert seen_.seen_place_low - 0.05 <= truth.place <= seen_.seen_place_high + 0.05
    assert cones.place < seen_.seen_place_low
    assert all(look.counts for look in facts.looks)


def test_a_look_that_cannot_be_does_not_count() -> None:
    facts = looked_back(fired(cools_s=HOUR_S), looks=[Observation(2 * HOUR_S, "6", "touching")])
    (look,) = facts.looks
    assert not look.counts
    assert facts.lead_cones is not None
    assert facts.lead_cones.seen_place_low is None


def test_reduction_is_told_from_plan_and_notes() -> None:
    schedule = made(
        'name = "red"\nkind = "glaze"\natmosphere = "reduction"\n[[step]]\nrate = 150\nto = 880\n'
        '[[step]]\nrate = 70\nto = 960\nnote = "body reduction: damper in"\n'
        "[[step]]\nrate = 100\nto = 1200\nhold_min = 10\n"
    )
    points = cooled(as_planned(schedule), 4 * HOUR_S)
    begun_s, ended_s = reached_s(points, 890.0), reached_s(points, 950.0)
    remarks = [
        Remark(600.0, "all well"),
        Remark(begun_s, "Reduction begun, damper half in"),
        Remark(begun_s + 600.0, "reduction steady"),
        Remark(ended_s, "reduction ended, damper out"),
    ]
    told = looked_back(points, schedule, remarks=remarks).reduction
    assert told is not None
    assert told.planned_from_s == pytest.approx(reached_s(points, 880.0), abs=3 * MINUTE_S)
    assert told.planned_to_s == pytest.approx(reached_s(points, 960.0), abs=3 * MINUTE_S)
    assert (told.begun_s, told.ended_s) == (begun_s, ended_s)
    assert told.begun_c == pytest.approx(890.0, abs=3.0)
    assert told.ended_said == "reduction ended, damper out"
    assert looked_back(fired(cools_s=HOUR_S)).reduction is None


def test_reduction_is_told_from_german_notes_too() -> None:
    remarks = [
        Remark(20_000.0, "Scherbenreduktion begonnen"),
        Remark(20_600.0, "reduziert gleichmäßig"),
        Remark(23_000.0, "Scherbenreduktion beendet"),
    ]
    told = looked_back(fired(cools_s=HOUR_S), remarks=remarks).reduction
    assert told is not None
    assert (told.begun_s, told.ended_s) == (20_000.0, 23_000.0)


def test_what_the_watch_told_of_is_paired() -> None:
    points = fired()
    facts = looked_back(interrupted(points, reached_s(points, 700.0), 2 * HOUR_S))
    (stall,) = facts.troubles_of(Kind.STALL)
    assert stall.ended_s is not None
    assert stall.ended_s - stall.began_s > HOUR_S
    assert stall.temp_c == pytest.approx(700.0, abs=6.0)


def test_an_open_probe_counts_for_nothing_and_its_silence_is_a_gap() -> None:
    readings = [
        Reading(one.elapsed_s, {"kiln": None}, {"kiln": FaultCause.OPEN})
        if 4 * HOUR_S < one.elapsed_s < 5 * HOUR_S
        else one
        for one in seen(fired(cools_s=2 * HOUR_S), rig=RIG)
    ]
    facts = looked_back_on(readings, ("kiln",))
    (gap,) = facts.gaps
    assert gap.from_s == pytest.approx(4 * HOUR_S, abs=2 * MINUTE_S)
    assert gap.to_s == pytest.approx(5 * HOUR_S, abs=8 * MINUTE_S)
    assert facts.peak is not None
    assert facts.peak.level_c == pytest.approx(1205.0, abs=1.5)


def test_a_firing_without_a_plan_is_looked_back_on_all_the_same() -> None:
    facts = looked_back(fired(), None)
    assert (facts.plan, facts.steps) == (None, ())
    assert facts.is_whole
    assert facts.lead_cones is not None
    assert facts.lead_cones.cone == "6"
    quartz = facts.band("quartz turns")
    assert quartz is not None
    assert (quartz.allowed_c_per_h, quartz.too_fast) == (None, None)


def test_facts_are_json_with_every_name(good: FiringFacts) -> None:
    document = json.loads(json.dumps(document_of(good), allow_nan=False))
    assert document["plan"]["target_cone"] == "6"
    assert document["steps"][2]["actual"]["rate_c_per_h"] == pytest.approx(60.0, rel=0.05)
    assert document["cooling"]["quartz"]["entered_s"] < document["cooling"]["quartz"]["left_s"]
    assert document["cones"][0]["cone"] == "6"
    assert list(document)[:3] == ["channels", "first_s", "last_s"]


def test_no_readings_are_no_firing() -> None:
    facts = looked_back_on([], ("kiln",))
    assert (facts.readings, facts.peak, facts.is_whole) == (0, None, False)
    assert [cone.cone for cone in facts.cones] == [None]
