"""Plans made from firings that are known to the minute: the same plan comes out again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from supervisor.core.heatwork import HeatWork, place_on_scale
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.refit import (
    About,
    Course,
    Refit,
    course_of,
    refit,
)
from supervisor.core.refit.again import about, comments, notes_of
from supervisor.core.review import FiringFacts, Reviewer
from supervisor.core.schedule import Schedule, Timeline, parse_schedule
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit, from_c
from supervisor.core.watch import Watch
from supervisor.core.watch.wording import Words
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
    swinging,
)
from tests.core.review.logs import GLAZE, RIG, fired, made

AGAIN = About("again", Unit.C)
MINUTE_S = 60.0


def followed(
    points: Points, schedule: Schedule | None = GLAZE, looks: Sequence[Observation] = ()
) -> tuple[Course, FiringFacts, list[Reading]]:
    readings = seen(points, rig=RIG)
    reviewer = Reviewer(("kiln",), schedule)
    watch = None if schedule is None else Watch(schedule, ("kiln",))
    events = []
    for reading in readings:
        reviewer.feed(reading)
        events += [] if watch is None else watch.feed(reading)
    facts = reviewer.facts(events, looks=looks)
    course = course_of(reviewer.trace, facts)
    assert course is not None
    return course, facts, readings


def steps_of(found: Refit) -> list[tuple[float | None, float, float]]:
    return [(s.rate_c_per_h, s.to_c, s.hold_s / MINUTE_S) for s in found.schedule.steps]


def same(found: Refit, schedule: Schedule) -> None:
    """Assert that the steps are the plan's, to what a probe with a lag and noise can show."""
    assert len(found.schedule.steps) == len(schedule.steps), steps_of(found)
    for step, wanted in zip(found.schedule.steps, schedule.steps, strict=True):
        assert step.to_c == pytest.approx(wanted.to_c, abs=4.0)
        assert step.hold_s == pytest.approx(wanted.hold_s, abs=5 * MINUTE_S)
        if wanted.rate_c_per_h is None:
            assert step.rate_c_per_h is None
        else:
            assert step.rate_c_per_h == pytest.approx(wanted.rate_c_per_h, rel=0.04)


def test_a_firing_that_kept_its_plan_gives_that_plan_again() -> None:
    course, _, _ = followed(fired(cools_s=6 * HOUR_S))
    same(refit(course, AGAIN), GLAZE)


def test_holds_on_the_way_and_a_cooling_with_heat_are_found_and_free_falls_are_left_free() -> None:
    schedule = plan("60 110 60", "120 900 30", "80 1200 20", "- 1030 30", "70 780")
    course, _, _ = followed(cooled(as_planned(schedule), 8 * HOUR_S), schedule)
    found = refit(course, AGAIN)
    same(found, schedule)
    assert [step.rate_c_per_h is None for step in found.schedule.steps] == [
        False,
        False,
        False,
        True,
        False,
    ]


def test_natural_cooling_needs_no_step_however_the_kiln_cools() -> None:
    for constant_h in (2.0, 5.0, 12.0):
        points = cooled(
            as_planned(GLAZE), 3.0 * constant_h * HOUR_S, constant_s=constant_h * HOUR_S
        )
        course, _, _ = followed(points, None)
        assert course.down == ()
        assert len(refit(course, AGAIN).schedule.steps) == 3


@pytest.mark.parametrize("within_c", [2.0, 5.0, 12.0])
def test_the_timeline_is_within_the_tolerance_of_the_record(within_c: float) -> None:
    points = cooled(as_planned(plan("70 200", "110 650", "170 1000", "50 1180 25")), 4 * HOUR_S)
    course, _, readings = followed(points, None)
    found = refit(course, AGAIN, within_c=within_c)
    timeline = Timeline(found.schedule, found.start_c)
    begun_s = course.up.at_s[0]
    off = [
        abs(timeline.at(reading.elapsed_s - begun_s) - (reading.temps_c["kiln"] or 0.0))
        for reading in readings
        if 0.0 < reading.elapsed_s - begun_s < timeline.total_s
    ]
    # The readings have noise of 0.3 °C, of which the fit knows nothing.
    assert max(off) < within_c + 1.6
    assert found.off_c <= within_c


def test_tighter_takes_more_steps() -> None:
    bent: Points = [(60.0 * n, 20.0 + 0.004 * n * n) for n in range(541)]
    course, _, _ = followed(cooled(bent, 3 * HOUR_S), None)
    counts = [
        len(refit(course, AGAIN, within_c=within_c).schedule.steps) for within_c in (3.0, 8.0, 25.0)
    ]
    assert counts[0] > counts[1] > counts[2]


@pytest.mark.parametrize("hold_min", [0, 20, 90])
def test_the_plans_heat_work_is_the_firings_own(hold_min: int) -> None:
    schedule = plan("100 600", "150 1050", f"70 1190 {hold_min}")
    course, _, readings = followed(cooled(as_planned(schedule), 3 * HOUR_S), schedule)
    found = refit(course, AGAIN, within_c=10.0)
    end_s = course.fired.at_s[-1]
    record, planned = HeatWork(), HeatWork()
    for reading in readings:
        if reading.elapsed_s <= end_s:
            record.add(reading.elapsed_s, reading.temps_c["kiln"] or 0.0)
    for at_s, temp_c in Timeline(found.schedule, found.start_c).points():
        planned.add(at_s, temp_c)
    apart = (place_on_scale(planned.progress().work) or 0.0) - (
        place_on_scale(record.progress().work) or 0.0
    )
    assert abs(apart) < 0.1
    assert found.agrees
    assert found.cones_apart == pytest.approx(apart, abs=0.03)


def test_in_fahrenheit_the_figures_are_whole_there() -> None:
    course, _, _ = followed(fired(cools_s=4 * HOUR_S))
    found = refit(course, About("again", Unit.F))
    for step in found.schedule.steps:
        assert from_c(step.to_c, Unit.F) == pytest.approx(round(from_c(step.to_c, Unit.F)))
    assert found.agrees


def test_what_went_wrong_is_not_done_again() -> None:
    points = fired(cools_s=4 * HOUR_S)
    at_s = reached_s(points, 700.0)
    stalled, _, _ = followed(interrupted(points, at_s, 1.5 * HOUR_S))
    lost, _, _ = followed(
        interrupted(points, at_s, HOUR_S, rate_c_per_h=-150.0, back_s=1.2 * HOUR_S)
    )
    for course, what in ((stalled, "stalled"), (lost, "lost")):
        (one,) = course.left_out
        assert what in one.what
        assert one.temp_c == pytest.approx(700.0, abs=5.0)
        assert one.lasted_s > 1.2 * HOUR_S
        same(refit(course, AGAIN), GLAZE)


def test_a_fire_that_swings_is_followed_without_its_swings() -> None:
    swung = cooled(swinging(as_planned(GLAZE), 9.0, 1500.0), 3 * HOUR_S)
    course, _, _ = followed(swung)
    assert course.swing_c > 6.0
    found = refit(course, AGAIN)
    assert len(found.schedule.steps) <= 8
    climbs = [found.start_c, *(step.to_c for step in found.schedule.steps)]
    assert all(after >= before for before, after in pairwise(climbs))
    assert found.agrees


def test_a_wider_tolerance_is_taken_only_where_none_was_asked_for() -> None:
    wild: Points = [
        (60.0 * n, 20.0 + 2.0 * n + 30.0 * ((n // 30) % 2) * ((n % 30) / 30.0)) for n in range(560)
    ]
    course, _, _ = followed(cooled(wild, 3 * HOUR_S), None)
    assert refit(course, AGAIN, within_c=3.0).within_c == 3.0
    assert len(refit(course, AGAIN).schedule.steps) <= 12


def test_a_firing_that_was_broken_off_is_repeated_as_far_as_it_came() -> None:
    points = fired()
    course, _, _ = followed(cooled(cut(points, reached_s(points, 900.0)), 6 * HOUR_S))
    found = refit(course, AGAIN)
    assert found.schedule.steps[-1].to_c == pytest.approx(900.0, abs=4.0)
    assert found.schedule.steps[-1].hold_s == 0.0


def test_what_never_was_hot_is_no_firing() -> None:
    reviewer = Reviewer(("kiln",), GLAZE)
    for reading in seen([(0.0, 20.0), (3 * HOUR_S, 60.0)], rig=RIG):
        reviewer.feed(reading)
    assert course_of(reviewer.trace, reviewer.facts()) is None


def test_name_target_bands_and_notes_are_those_of_the_firing() -> None:
    schedule = made(
        'name = "red"\nkind = "glaze"\natmosphere = "reduction"\ntarget_cone = "6"\n'
        '[[step]]\nrate = 150\nto = 1090\nnote = "open the damper"\n'
        "[[step]]\nrate = 60\nto = 1205\nhold_min = 35\n"
        '[[band]]\nname = "quartz turns"\nfastest = 200\n'
    )
    course, facts, _ = followed(cooled(as_planned(schedule), 5 * HOUR_S), schedule)
    found = refit(course, about("2026-x", facts, schedule, Unit.C), notes=notes_of(facts))
    again = found.schedule
    assert again.name.startswith("As firing 2026-x, cone 6")
    assert (again.target_cone, again.kind, again.atmosphere) == (
        "6",
        schedule.kind,
        schedule.atmosphere,
    )
    assert again.bands == schedule.bands
    assert again.steps[0].note == "open the damper"
    head = list(comments("2026-x", facts, course, found, Words(Unit.C)))
    text = schedule_toml(again, head)
    assert text.startswith("# Made from firing 2026-x")
    assert parse_schedule(text) == again
    assert any("within a tenth" in line for line in head)


def test_real_cones_name_the_plan() -> None:
    points = fired(cools_s=3 * HOUR_S)
    end_s = points[-1][0]
    looks = [Observation(end_s, "6", "3"), Observation(end_s, "5", "touching")]
    _, facts, _ = followed(points, looks=looks)
    named = about("x", facts, GLAZE, Unit.C)
    assert "by the real cones" in named.name
    # Half bent it was on its cone, and the plan is for the same one; hardly bent it was not.
    assert named.target_cone == GLAZE.target_cone == "6"
    looks = [Observation(end_s, "6", "1"), Observation(end_s, "5", "touching")]
    short = about("x", followed(points, looks=looks)[1], GLAZE, Unit.C)
    assert short.target_cone == "5"
    plain = replace(
        facts,
        looks=(),
        cones=tuple(replace(one, seen_place_low=None, seen_place_high=None) for one in facts.cones),
    )
    assert "by calculation" in about("x", plain, GLAZE, Unit.C).name
