"""A suggested change made in the plan: it does what it says, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from supervisor.core.defects import DefectKind
from supervisor.core.refit import PlanChange, by_real_cones, changed
from supervisor.core.schedule import Schedule, Timeline, parse_schedule
from supervisor.core.schedule.model import BandName
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit, difference_from_c, from_c
from tests.core.defects import made
from tests.core.firings import HOUR_S
from tests.core.refit.test_suggest import (
    CONE_6,
    base,
    by_cones,
    changes,
    cone_change,
    place,
)


def rates_between(plan: Schedule, start_c: float, low_c: float, high_c: float) -> set[float]:
    """The rates at which the plan climbs or falls somewhere between two temperatures."""
    found = set()
    for (from_s, a_c), (to_s, b_c) in pairwise(Timeline(plan, start_c).points()):
        if a_c != b_c and max(a_c, b_c) > low_c and min(a_c, b_c) < high_c:
            found.add(round(abs(b_c - a_c) / (to_s - from_s) * 3600.0, 1))
    return found


def test_each_way_of_the_cones_brings_the_target_down_in_a_plan_that_is_for_it() -> None:
    fitted, _ = base()
    facts = by_cones(-15.0)
    step = fitted.schedule.steps[fitted.peak]
    after = (facts.cones[0].seen_place_low or 0.0) + 0.1
    after -= place(fitted, -15.0, hold_s=step.hold_s, top_c=step.to_c)
    hold, top = cone_change(facts).ways
    assert (hold.key, top.key) == ("cones-hold", "cones-top")
    for way in (hold, top):
        plan = changed(fitted, way, "better")
        assert (plan.name, plan.target_cone) == ("better", "6")
        peak = plan.steps[fitted.peak]
        reached = place(fitted, -15.0, hold_s=peak.hold_s, top_c=peak.to_c) + after
        assert reached == pytest.approx(CONE_6 + 0.1, abs=0.06)
        said = by_real_cones(plan, fitted, facts)
        assert said is not None
        assert said.startswith("By the real cones of this firing the plan comes to cone 6.1. ")
        others = [n for n in range(len(plan.steps)) if n != fitted.peak]
        assert [plan.steps[n] for n in others] == [fitted.schedule.steps[n] for n in others]
        assert way.said[0].islower()


def test_without_real_cones_nothing_is_said_by_them() -> None:
    fitted, facts = base()
    assert by_real_cones(fitted.schedule, fitted, facts) is None


def test_what_a_person_does_at_the_kiln_is_no_change_of_a_plan() -> None:
    (reduced,) = changes(made.reduced(1100.0), DefectKind.WEAK_REDUCTION)
    assert (reduced.ways, reduced.name) == ((), "reduced-late")


def test_a_slower_climb_is_cut_out_of_the_step_that_crosses_it() -> None:
    fitted, _ = base()
    facts = made.band(BandName.QUARTZ_TURNS, too_fast=1.5)
    found = changes(facts, DefectKind.HEATING_CRACKS)
    (way,) = next(one for one in found if one.name == "quartz-up").ways
    assert way.slower == (550.0, 620.0, 170.0)
    # As it was fired it goes there at 150 an hour; a narrower limit is cut out.
    narrow = replace(way, slower=(550.0, 620.0, 90.0))
    plan, before = changed(fitted, narrow, "slower"), fitted.schedule
    assert rates_between(plan, fitted.start_c, 551.0, 619.0) == {90.0}
    for low_c, high_c in ((30.0, 549.0), (621.0, before.peak_c)):
        assert rates_between(plan, fitted.start_c, low_c, high_c) == rates_between(
            before, fitted.start_c, low_c, high_c
        )
    assert plan.steps[-1] == before.steps[-1]
    longer_s = Timeline(plan, fitted.start_c).total_s - Timeline(before, fitted.start_c).total_s
    (fired,) = rates_between(before, fitted.start_c, 551.0, 619.0)
    assert longer_s == pytest.approx(70.0 * (1 / 90.0 - 1 / fired) * HOUR_S, abs=2.0)
    kept = changed(fitted, replace(way, slower=(550.0, 620.0, 400.0)), "as fast as it was")
    assert kept.steps == before.steps


def test_a_slower_fall_is_added_below_what_was_left_to_itself() -> None:
    fitted, _ = base()
    facts = made.cooling(crystals=made.passed(220.0))
    (change,) = changes(facts, DefectKind.TOO_GLOSSY)
    plan = changed(fitted, change.ways[0], "slow cooling")
    assert plan.steps[: len(fitted.schedule.steps)] == fitted.schedule.steps
    natural, slow = plan.steps[len(fitted.schedule.steps) :]
    assert (natural.to_c, natural.rate_c_per_h) == (1030.0, None)
    assert (slow.to_c, slow.rate_c_per_h) == (780.0, 70.0)
    # Once more, lower: the steps that are there are kept, and none is crossed twice.
    lower = PlanChange("x", "x", "x", slower=(800.0, 700.0, 50.0))
    again = changed(replace(fitted, schedule=plan), lower, "lower")
    assert [(s.to_c, s.rate_c_per_h) for s in again.steps[-3:]] == [
        (800.0, 70.0),
        (780.0, 50.0),
        (700.0, 50.0),
    ]


def test_figures_are_those_that_people_set_in_the_plans_own_scale() -> None:
    fitted, _ = base()
    plan = replace(fitted, schedule=replace(fitted.schedule, units=Unit.F))
    way = PlanChange("x", "x", "x", top_c=1218.3, rate_c_per_h=61.7, slower=(551.3, 619.9, 80.4))
    made_of_it = changed(plan, way, "in Fahrenheit")
    for step in made_of_it.steps:
        if step not in fitted.schedule.steps:
            assert from_c(step.to_c, Unit.F) == pytest.approx(round(from_c(step.to_c, Unit.F)))
            assert step.rate_c_per_h is not None
            rate_f = difference_from_c(step.rate_c_per_h, Unit.F)
            assert rate_f == pytest.approx(round(rate_f, 1))
    assert parse_schedule(schedule_toml(made_of_it)) == made_of_it
