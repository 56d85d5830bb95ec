"""Where in its plan a kiln is, without a word from whoever works it."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.schedule import Schedule, starter
from supervisor.core.watch import Activity, Watch
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
