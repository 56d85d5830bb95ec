"""Where in its plan a kiln is, without a word from whoever works it."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.schedule import Schedule, starter
from supervisor.core.watch import Activity, Watch, WatchSettings
from supervisor.core.watch.follower import PlanFollower
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    at,
    cooled,
    cut,
    interrupted,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

GLAZE = starter("midfire-glaze")


def steps(events: list[Event]) -> list[object]:
    return [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)]


def after(first: Points, then: Points) -> Points:
    """``first`` and then ``then``, from where it comes up to the temperature reached."""
    end_s, end_c = first[-1]
    from_s = reached_s(then, end_c)
    return first + [(end_s + s - from_s, c) for s, c in then if s > from_s]


def candled(schedule: Schedule, hours: float, to_c: float = 85.0) -> Points:
    """A small flame overnight: the kiln creeps towards ``to_c``; then the plan begins."""
    night = [
        (60.0 * n, to_c - (to_c - 20.0) * math.exp(-n / 80.0)) for n in range(int(hours * 60.0))
    ]
    return after(night, as_planned(schedule))


@pytest.mark.parametrize("hours", [3.0, 10.0])
def test_a_night_of_candling_is_no_stall_and_the_plan_begins_after_it(hours: float) -> None:
    points = candled(GLAZE, hours)
    events = told(GLAZE, seen(cooled(points, HOUR_S), rig=Rig(every_s=10.0)))
    once_each(events)
    assert alarms(events) == []
    assert raised(events, Kind.LAGGING) == []
    assert steps(events) == [1, 2, 3, 4]


def test_a_small_fire_that_candles_may_swing_by_ten_degrees_and_is_not_stalled() -> None:
    schedule = plan("45 150", "75 600", "90 1000")
    lit = [(0.0, 12.0), (2 * HOUR_S, 66.0)]
    night = [
        (7200.0 + 60.0 * n, 70.0 + 0.08 * n - 5.0 * math.cos(math.tau * n / 35.0))
        for n in range(1, 300)
    ]
    points = after([*lit, *night], as_planned(schedule, start_c=12.0))
    readings = seen(cut(points, night[-1][0] + 3 * HOUR_S), rig=Rig(every_s=10.0))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="wood"))
    assert raised(events, Kind.STALL) == []
    assert steps(events)[-1] == 2


def test_after_candling_the_kiln_is_not_hours_late() -> None:
    points = candled(GLAZE, 8.0)
    watch = Watch(GLAZE, ("kiln",))
    for reading in seen(cut(points, reached_s(points, 500.0)), rig=Rig(every_s=10.0)):
        watch.feed(reading)
    late_s = watch.status().plan.late_s
    assert late_s is not None
    assert abs(late_s) < 900.0


def test_a_late_start_is_not_late() -> None:
    watch = Watch(GLAZE, ("kiln",))
    points = as_planned(GLAZE, wait_s=7 * HOUR_S)
    for reading in seen(cut(points, reached_s(points, 400.0)), rig=Rig(every_s=10.0)):
        watch.feed(reading)
    late_s = watch.status().plan.late_s
    assert late_s is not None
    assert abs(late_s) < 600.0


def test_a_firing_broken_off_and_taken_up_again_hours_later_goes_on_where_it_was() -> None:
    points = as_planned(GLAZE)
    stopped = cooled(cut(points, reached_s(points, 700.0)), 3 * HOUR_S)
    events = told(GLAZE, seen(after(stopped, points), rig=Rig(every_s=10.0)))
    once_each(events)
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert steps(events) == [1, 2, 3, 4]
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_pause_of_an_hour_is_told_once_and_the_plan_goes_on() -> None:
    points = as_planned(GLAZE)
    points = interrupted(points, reached_s(points, 700.0), HOUR_S)
    events = told(GLAZE, seen(points, rig=Rig(every_s=10.0)))
    once_each(events)
    assert len(raised(events, Kind.STALL)) == 1
    assert steps(events) == [1, 2, 3, 4]


def test_a_hold_that_is_left_out_is_passed_by() -> None:
    fired = plan("80 120", "130 600", "160 1090", "60 1205 35")
    events = told(GLAZE, seen(cooled(as_planned(fired), HOUR_S), rig=Rig(every_s=10.0)))
    assert steps(events) == [1, 2, 3, 4]
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_hold_on_the_way_down_that_is_left_out_is_passed_by() -> None:
    schedule = plan("150 1205 10", "- 1000 40", "70 780")
    points = cooled(as_planned(plan("150 1205 10")), 6 * HOUR_S, constant_s=5 * HOUR_S)
    events = told(schedule, seen(points, rig=Rig(every_s=10.0)))
    once_each(events)
    assert steps(events) == [1, 2, 3]


def test_a_kiln_that_turns_some_degrees_above_the_foot_is_in_the_climb_that_follows() -> None:
    """Ours may read more than the kiln's own, and the controller turns by its clock."""
    schedule = plan("120 940", "180 620", "58 715 15")
    points = [(0.0, 20.0), (28000.0, 940.0), (34000.0, 640.0), (36400.0, 627.0)]
    points += [(points[-1][0] + 1.6 * HOUR_S, 718.0), (points[-1][0] + 1.9 * HOUR_S, 718.0)]
    events = told(schedule, seen(cooled(points, 2 * HOUR_S), rig=Rig(every_s=10.0)))
    assert alarms(events) == []
    assert steps(events) == [1, 2, 3]
    turned_s = raised(events, Kind.STEP_BEGUN)[-1].elapsed_s
    assert 0.0 < turned_s - 36400.0 < 1200.0
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_kiln_above_its_last_top_is_waited_for() -> None:
    # It overshot a cold hold by 12 °C and stands there until the plan comes up to it.
    schedule = plan("80 120 20", "60 600")
    rise_s = 100.0 / 80.0 * HOUR_S
    stands_s = rise_s + 1200.0 + 12.0 / 60.0 * HOUR_S
    points = [(0.0, 20.0), (rise_s, 120.0), (rise_s + 300.0, 130.0), (stands_s, 131.0)]
    points.append((stands_s + 3 * HOUR_S, 131.0 + 180.0))
    assert raised(told(schedule, seen(points)), Kind.STALL) == []


def test_a_person_at_switches_is_followed_through_the_plan() -> None:
    # Half an hour too fast, half an hour too slow, all the way.
    planned = as_planned(GLAZE)
    top_s = reached_s(planned, 1204.9)
    times = [60.0 * n for n in range(int(top_s // 60.0))]
    swing = [
        (s, c + 14.0 * math.sin(2 * math.pi * s / HOUR_S) * min((c - 120.0) / 300.0, 1.0))
        for s, c in ((s, at(planned, s)) for s in times)
        if 150.0 < c < 1180.0
    ]
    low = [p for p in planned if p[1] <= 150.0]
    high = [p for p in planned if p[1] >= 1185.0]
    events = told(GLAZE, seen(cooled(low + swing + high, HOUR_S), rig=Rig(every_s=10.0)))
    once_each(events)
    assert steps(events) == [1, 2, 3, 4]
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_plan_that_the_kiln_cant_keep_is_followed_all_the_same() -> None:
    schedule = plan("200 600", "200 1000 10")
    watch = Watch(schedule, ("kiln",))
    for reading in seen(as_planned(plan("90 600", "70 1000 5")), rig=Rig(every_s=10.0)):
        watch.feed(reading)
    assert watch.status().plan.activity in (Activity.HOLDING, Activity.FINISHED)


def test_noise_on_a_cold_kiln_begins_no_plan() -> None:
    rig = Rig(every_s=60.0, noise_c=2.0)
    for seed in range(15, 25):
        events = told(GLAZE, seen([(0.0, 18.0), (10 * HOUR_S, 18.0)], rig=rig, seed=seed))
        assert events == [], seed


LONG_HOLD = plan("100 600 240", "100 1000")
HOLD_FROM_S = reached_s(as_planned(LONG_HOLD), 600.0)
LEAVES_S, OVER_S = HOLD_FROM_S + 0.85 * 4 * HOUR_S, HOLD_FROM_S + 4 * HOUR_S


def test_a_kiln_that_climbs_out_of_most_of_its_hold_has_begun_the_next_step() -> None:
    points = [*cut(as_planned(LONG_HOLD), LEAVES_S), (LEAVES_S + 3 * HOUR_S, 900.0)]
    events = told(LONG_HOLD, seen(points))
    _, begun = raised(events, Kind.STEP_BEGUN)
    assert begun.data["step"] == 2
    assert 0.0 < begun.elapsed_s - LEAVES_S <= 600.0
    assert alarms(events) == []


def test_a_kiln_that_climbs_out_of_half_of_its_hold_has_not() -> None:
    leaves_s = HOLD_FROM_S + 2 * HOUR_S
    points = [*cut(as_planned(LONG_HOLD), leaves_s), (leaves_s + 700.0, 600.0 + 19.4)]
    assert steps(told(LONG_HOLD, seen(points))) == [1]


def test_a_swing_late_in_a_hold_is_no_stall_before_the_hold_would_have_been_over() -> None:
    points = [
        *cut(as_planned(LONG_HOLD), LEAVES_S),
        (LEAVES_S + 420.0, 611.7),
        (OVER_S, 611.7),
        (OVER_S + 3 * HOUR_S, 911.7),
    ]
    events = told(LONG_HOLD, seen(points))
    assert steps(events) == [1, 2]
    assert raised(events, Kind.STEP_BEGUN)[1].elapsed_s < OVER_S - 1500.0
    assert raised(events, Kind.STALL) == []


def test_one_that_stands_on_after_that_is() -> None:
    points = [
        *cut(as_planned(LONG_HOLD), LEAVES_S),
        (LEAVES_S + 420.0, 611.7),
        (OVER_S + HOUR_S, 611.7),
    ]
    (stall,) = raised(told(LONG_HOLD, seen(points)), Kind.STALL)
    assert 0.0 < stall.elapsed_s - OVER_S <= 1800.0


def test_a_warm_kiln_that_stands_near_a_cold_hold_joins_nothing() -> None:
    schedule = plan("80 149 60", "100 600")
    assert told(schedule, seen([(0.0, 145.0), (3 * HOUR_S, 145.0)])) == []
    (joined,) = steps(told(plan("80 349 90", "100 600"), seen([(0.0, 345.0), (HOUR_S, 345.0)])))
    assert joined == 1


def climbing(rate_c_per_h: float) -> tuple[PlanFollower, float, float]:
    """A follower of a step of 100 °C/h after an hour of ``rate_c_per_h``; time, temperature."""
    follower = PlanFollower(plan("100 600", "- 1000"))
    elapsed_s, temp_c = 0.0, 20.0
    for n in range(361):
        elapsed_s, temp_c = 10.0 * n, 20.0 + rate_c_per_h * n / 360.0
        follower.update(elapsed_s, temp_c, rate_c_per_h, 0.1)
    return follower, elapsed_s, temp_c


def test_a_kiln_that_climbs_faster_than_its_step_is_ahead() -> None:
    follower, elapsed_s, temp_c = climbing(110.0)
    assert follower.is_ahead(elapsed_s, temp_c)
    assert follower.is_ahead(elapsed_s + 240.0, temp_c)
    assert not follower.is_ahead(elapsed_s + 360.0, temp_c)
    follower, elapsed_s, temp_c = climbing(100.0)
    assert not follower.is_ahead(elapsed_s, temp_c)


def test_nobody_is_ahead_while_waiting_or_where_the_plan_names_no_pace() -> None:
    follower = PlanFollower(plan("- 600"))
    assert not follower.is_ahead(0.0, 500.0)
    for n in range(100):
        follower.update(10.0 * n, 20.0 + n, 360.0, 0.1)
    assert follower.step is not None
    assert not follower.is_ahead(1000.0, 500.0)


@pytest.mark.parametrize("blind_min", [20.0, 40.0, 80.0])
@pytest.mark.parametrize("from_min", [30.0, 50.0, 70.0])
def test_a_hold_that_nobody_saw_is_not_waited_for(from_min: float, blind_min: float) -> None:
    """The machine was without power while the kiln held at 120 °C, and climbed on."""
    from_s, to_s = from_min * 60.0, (from_min + blind_min) * 60.0
    readings = [
        one
        for one in seen(cut(as_planned(GLAZE), 5 * HOUR_S), rig=Rig(every_s=10.0))
        if not from_s <= one.elapsed_s < to_s
    ]
    events = told(GLAZE, readings)
    assert steps(events) == [1, 2]
    assert [one for one in alarms(events) if "no_readings" not in one] == []
