"""The steps of a plan beside what the kiln made of them."""

from __future__ import annotations

import pytest

from supervisor.core.review import StepFacts
from tests.core.firings import HOUR_S, Points, as_planned, cooled, cut, interrupted, plan, reached_s
from tests.core.review.logs import GLAZE, fired, looked_back

MINUTE_S = 60.0


def whole(steps: tuple[StepFacts, ...]) -> list[int]:
    return [step.number for step in steps if step.is_complete]


def test_a_firing_that_keeps_its_plan_shows_no_difference() -> None:
    facts = looked_back(fired(wait_s=1800.0))
    assert facts.plan is not None
    assert facts.plan.begun_s == pytest.approx(1800.0, abs=5 * MINUTE_S)
    assert facts.plan.lasted_s == pytest.approx(facts.plan.planned_s, abs=6 * MINUTE_S)
    assert whole(facts.steps) == [1, 2, 3]
    for step, rate_c_per_h, hold_min in zip(
        facts.steps, (80.0, 150.0, 60.0), (20.0, 0.0, 30.0), strict=True
    ):
        assert step.actual is not None
        assert step.actual.rate_c_per_h == pytest.approx(rate_c_per_h, rel=0.04)
        assert step.actual.hold_s == pytest.approx(hold_min * MINUTE_S, abs=5 * MINUTE_S)
        assert step.late_s == pytest.approx(0.0, abs=6 * MINUTE_S)
        assert step.rate_off_c_per_h == pytest.approx(0.0, abs=0.04 * rate_c_per_h)
        assert step.top_off_c == pytest.approx(0.0, abs=3.0)


def test_an_hour_lost_on_the_way_is_late_from_that_step_on() -> None:
    points = fired()
    facts = looked_back(interrupted(points, reached_s(points, 700.0), HOUR_S))
    first, second, third = facts.steps
    assert first.late_s == pytest.approx(0.0, abs=5 * MINUTE_S)
    assert second.late_s == pytest.approx(HOUR_S, abs=6 * MINUTE_S)
    assert third.late_s == pytest.approx(HOUR_S, abs=6 * MINUTE_S)
    assert second.rate_off_c_per_h == pytest.approx(970.0 / (970.0 / 150.0 + 1.0) - 150.0, abs=3.0)
    assert third.rate_off_c_per_h == pytest.approx(0.0, abs=3.0)


def test_a_hold_made_longer_by_hand_is_told_with_how_much() -> None:
    schedule = plan("150 1000 15", "60 1205 50")
    longer = plan("150 1000 15", "60 1205 80")
    facts = looked_back(cooled(as_planned(longer), 10 * HOUR_S), schedule)
    last = facts.steps[-1]
    assert last.actual is not None
    assert last.actual.hold_s == pytest.approx(80 * MINUTE_S, abs=4 * MINUTE_S)
    assert last.hold_off_s == pytest.approx(30 * MINUTE_S, abs=4 * MINUTE_S)


def test_a_kiln_that_holds_below_its_top_says_by_how_much() -> None:
    points: Points = [(s, c - 9.0 * (c > 600.0)) for s, c in fired()]
    facts = looked_back(points)
    assert facts.steps[-1].top_off_c == pytest.approx(-9.0, abs=1.5)


def test_a_firing_broken_off_has_a_step_that_is_not_complete_and_none_after_it() -> None:
    points = fired()
    off_s = reached_s(points, 900.0)
    facts = looked_back(cooled(cut(points, off_s), 8 * HOUR_S))
    assert whole(facts.steps) == [1]
    broken, never = facts.steps[1], facts.steps[2]
    assert broken.actual is not None
    assert broken.actual.end_s == pytest.approx(off_s, abs=5 * MINUTE_S)
    assert broken.actual.to_c == pytest.approx(900.0, abs=4.0)
    assert broken.actual.hold_s == 0.0
    assert (broken.late_s, broken.top_off_c, never.actual) == (None, None, None)
    assert facts.plan is not None
    assert facts.plan.finished_s is None


def test_a_kiln_that_begins_warm_never_was_in_the_step_below() -> None:
    schedule = plan("80 120", "150 1000 30")
    reach_s = 1800.0 + 700.0 / 150.0 * HOUR_S
    climb = [(0.0, 300.0), (1800.0, 300.0), (reach_s, 1000.0), (reach_s + 1800.0, 1000.0)]
    points = cooled(climb, 5 * HOUR_S)
    facts = looked_back(points, schedule)
    assert facts.steps[0].actual is None
    second = facts.steps[1].actual
    assert second is not None
    assert second.from_c == pytest.approx(300.0, abs=5.0)
    assert second.start_s == pytest.approx(1800.0, abs=6 * MINUTE_S)


def test_a_slow_cooling_by_the_plan_is_told_step_by_step() -> None:
    schedule = plan("150 1200 20", "- 1030 25", "70 780")
    facts = looked_back(cooled(as_planned(schedule), 6 * HOUR_S), schedule)
    assert whole(facts.steps) == [1, 2, 3]
    down, slow = facts.steps[1].actual, facts.steps[2].actual
    assert down is not None
    assert slow is not None
    assert down.hold_s == pytest.approx(25 * MINUTE_S, abs=5 * MINUTE_S)
    assert slow.rate_c_per_h == pytest.approx(70.0, rel=0.05)
    assert facts.steps[1].planned.rate_c_per_h is None
    assert facts.steps[1].rate_off_c_per_h is None
    assert facts.cooling is not None
    (dwell,) = facts.cooling.dwells
    assert dwell.to_c == pytest.approx(1030.0, abs=3.0)


def test_a_kiln_that_never_climbed_has_no_step_and_no_firing() -> None:
    facts = looked_back([(0.0, 20.0), (4 * HOUR_S, 22.0)])
    assert [step.actual for step in facts.steps] == [None] * len(GLAZE.steps)
    assert facts.plan is not None
    assert facts.plan.begun_s is None
    assert not facts.is_whole
    assert (facts.cooling, facts.evenness, facts.bands, facts.above) == (None, None, (), ())
