"""A schedule laid on the clock: where it should be when, and back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.heatwork import CONES
from supervisor.core.schedule import Schedule, Step, Timeline, starter, starter_names
from supervisor.core.schedule.timeline import (
    COLD_C,
    NATURAL_CLIMB_C_PER_H,
    NATURAL_COOLING_S,
    natural_cooling,
)
from tests.core.firings import plan

STEPS = st.lists(
    st.builds(
        Step,
        to_c=st.floats(0.0, 1500.0),
        rate_c_per_h=st.none() | st.floats(1.0, 2000.0),
        hold_s=st.just(0.0) | st.floats(0.0, 36_000.0),
    ),
    min_size=1,
    max_size=8,
)
STARTS_C = st.floats(-10.0, 1200.0)


def test_the_plan_has_a_temperature_at_any_time() -> None:
    timeline = Timeline(plan("100 620 10", "50 720", "200 520 30"))
    assert timeline.total_s == pytest.approx((6 + 10 / 60 + 2 + 1 + 0.5) * 3600)
    for hours, temp_c in [
        (-1.0, 20.0),
        (0.0, 20.0),
        (3.0, 320.0),
        (6.0, 620.0),
        (6.1, 620.0),
        (6 + 1 / 6 + 1.0, 670.0),
        (8 + 1 / 6, 720.0),
        (8 + 1 / 6 + 0.5, 620.0),
        (9.5, 520.0),
        (100.0, 520.0),
    ]:
        assert timeline.at(hours * 3600.0) == pytest.approx(temp_c), hours


@pytest.mark.parametrize("shed_c", [-10.0, 20.0, 35.0])
def test_a_kiln_left_to_itself_falls_as_a_natural_step_does(shed_c: float) -> None:
    held = Timeline(plan("100 1222 10"), shed_c=shed_c)
    named = Timeline(plan("100 1222 10", "- 500"), shed_c=shed_c)
    points = list(held.cooling(300.0))
    assert points[0][0] == held.total_s + 300.0
    assert points[-1][0] == pytest.approx(named.total_s)
    assert points[-1][1] == COLD_C
    for at_s, temp_c in points:
        assert temp_c == pytest.approx(named.at(at_s))
    assert [s for s, _ in points] == sorted({s for s, _ in points})
    since = [(held.total_s + s, c) for s, c in natural_cooling(1222.0, shed_c, 300.0)]
    assert since == points


def test_a_kiln_that_is_cold_has_no_cooling_to_speak_of() -> None:
    assert list(Timeline(plan("100 500")).cooling()) == []
    assert list(Timeline(plan("100 1000", "- 90")).cooling()) == []
    [only] = Timeline(plan("100 501")).cooling(3600.0)
    assert only[1] == COLD_C


def test_no_cone_gets_anything_from_a_day_at_the_end_of_the_cooling() -> None:
    for cone in CONES.values():
        assert cone.rate_per_s(COLD_C) * 86_400.0 < 0.01


def test_steps_know_when_they_begin_reach_their_top_and_end() -> None:
    first, second = Timeline(plan("100 620 10", "50 720")).steps
    assert (first.start_s, first.reach_s, first.end_s) == (0.0, 21_600.0, 22_200.0)
    assert first.hold_s == 600.0
    assert (second.start_s, second.from_c, second.to_c) == (22_200.0, 620.0, 720.0)
    assert second.climbs
    assert not second.cools


def test_a_plan_from_a_warm_kiln_begins_where_the_kiln_is() -> None:
    timeline = Timeline(plan("100 620"), start_c=320.0)
    assert timeline.at(0.0) == 320.0
    assert timeline.total_s == pytest.approx(3 * 3600.0)


def test_a_natural_climb_is_taken_at_the_rate_stated() -> None:
    timeline = Timeline(plan("- 620"))
    assert timeline.total_s == pytest.approx(600.0 / NATURAL_CLIMB_C_PER_H * 3600.0)
    assert timeline.steps[0].rate_c_per_h is None


def test_a_natural_cooling_follows_newton() -> None:
    # Newton's law of cooling towards the shed at 20 °C, worked by hand.
    timeline = Timeline(plan("100 1020", "- 120"))
    peak_s = 10 * 3600.0
    for hours in (1.0, 5.0, 10.0):
        expected_c = 20.0 + 1000.0 * math.exp(-hours * 3600.0 / NATURAL_COOLING_S)
        assert timeline.at(peak_s + hours * 3600.0) == pytest.approx(expected_c)
    assert timeline.total_s == pytest.approx(peak_s + NATURAL_COOLING_S * math.log(10.0))


def test_a_natural_cooling_to_below_the_shed_still_ends() -> None:
    timeline = Timeline(plan("100 1000", "- 0"))
    assert math.isfinite(timeline.total_s)
    assert timeline.at(timeline.total_s) == pytest.approx(0.0)


def test_a_step_that_goes_nowhere_takes_only_its_hold() -> None:
    timeline = Timeline(plan("100 620", "100 620 30"))
    assert timeline.steps[1].reach_s == timeline.steps[1].start_s
    assert timeline.total_s == pytest.approx(6.5 * 3600.0)
    assert not timeline.steps[1].climbs
    assert not timeline.steps[1].cools


@given(STEPS, STARTS_C)
def test_the_plan_never_jumps(steps: list[Step], start_c: float) -> None:
    timeline = Timeline(Schedule("x", tuple(steps)), start_c=start_c)
    assert timeline.at(0.0) == start_c
    from_c = start_c
    for step in timeline.steps:
        assert timeline.at(step.end_s) == pytest.approx(step.to_c, abs=1e-6)
        if step.reach_s > step.start_s:
            assert step.temp_at(step.start_s, timeline.shed_c) == pytest.approx(from_c, abs=1e-6)
            nearly_s = step.reach_s - 1e-9 * step.reach_s
            assert step.temp_at(nearly_s, timeline.shed_c) == pytest.approx(step.to_c, abs=0.1)
        from_c = step.to_c
    assert timeline.at(timeline.total_s) == pytest.approx(steps[-1].to_c, abs=1e-6)


@given(STEPS, STARTS_C, st.floats(0.0, 1.0))
def test_time_and_temperature_undo_each_other(
    steps: list[Step], start_c: float, part: float
) -> None:
    timeline = Timeline(Schedule("x", tuple(steps)), start_c=start_c)
    for step in timeline.steps:
        low, high = sorted((step.from_c, step.to_c))
        temp_c = low + part * (high - low)
        at_s = step.time_at(temp_c, timeline.shed_c)
        assert step.start_s <= at_s <= step.reach_s * (1 + 1e-12) + 1e-6
        if high - low > 1e-3:
            assert step.temp_at(at_s, timeline.shed_c) == pytest.approx(temp_c, abs=1e-3)


@given(STEPS, STARTS_C, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_within_a_step_the_plan_only_goes_its_way(
    steps: list[Step], start_c: float, one: float, other: float
) -> None:
    timeline = Timeline(Schedule("x", tuple(steps)), start_c=start_c)
    for step in timeline.steps:
        length_s = step.end_s - step.start_s
        early_s, late_s = sorted((step.start_s + one * length_s, step.start_s + other * length_s))
        change_c = step.temp_at(late_s, timeline.shed_c) - step.temp_at(early_s, timeline.shed_c)
        assert change_c * (1.0 if step.climbs else -1.0) >= -1e-6


@pytest.mark.parametrize("name", starter_names())
def test_the_drawn_points_lie_on_the_plan(name: str) -> None:
    timeline = Timeline(starter(name))
    points = timeline.points()
    assert [at_s for at_s, _ in points] == sorted(at_s for at_s, _ in points)
    assert points[0] == (0.0, timeline.start_c)
    assert points[-1][0] == pytest.approx(timeline.total_s)
    for at_s, temp_c in points:
        assert timeline.at(at_s) == pytest.approx(temp_c, abs=1e-6)
