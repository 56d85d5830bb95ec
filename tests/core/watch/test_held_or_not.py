"""What a hold is told by: where a kept kiln ends its climb, and the level that it has stood at."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind, State
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.step_end import StepEnd
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    cooled,
    cut,
    plan,
    raised,
    seen,
    since,
    told,
)

FIVE_MINUTES_S = 300.0


def lost(schedule: Schedule, points: Points, kind: str | None = "electric") -> list[Event]:
    events = told(schedule, seen(points), settings=WatchSettings(kiln_kind=kind))
    return raised(events, Kind.HEAT_LOST)


@pytest.mark.parametrize(("held_min", "count"), [(5, 1), (16, 0)])
def test_a_kept_kiln_holds_from_when_its_climb_ends_whatever_ours_reads_beside_its_own(
    held_min: int, count: int
) -> None:
    """At 80 °C an hour the last 18 °C take 13 minutes, which are no part of a hold of 20."""
    schedule = plan("150 900", "80 1055 20")
    points = as_planned(schedule)
    onset_s = points[-1][0] - 60.0 * (20 - held_min)
    fired = cooled(cut(points, onset_s), HOUR_S, constant_s=3 * HOUR_S)
    said = lost(schedule, since(fired, onset_s - 6 * HOUR_S))
    assert [e.elapsed_s - onset_s <= FIVE_MINUTES_S for e in said] == [True] * count


@pytest.mark.parametrize(("is_kept", "is_over"), [(True, False), (False, True)])
def test_one_that_nobody_keeps_may_have_held_since_it_was_near(
    is_kept: bool, *, is_over: bool
) -> None:
    (step,) = Timeline(plan("80 1055 20")).steps
    end = StepEnd(step, turns_next=True)
    for minute in range(20):
        end.look(60.0 * minute, min(1037.0 + 80.0 / 60.0 * minute, 1053.0), 40.0)
    assert end.climb_may_be_over(is_kept=is_kept) is is_over


@pytest.mark.parametrize(("falls_c_per_h", "count"), [(14.0, 1), (3.0, 0)])
def test_a_cold_kiln_that_leaves_the_level_at_which_it_was_kept_has_lost_its_heat(
    falls_c_per_h: float, count: int
) -> None:
    """A kiln at 85 °C loses by some 15 °C an hour: a time constant of 4 h."""
    schedule = plan("65 85 180", "55 280")
    points = cut(as_planned(schedule), 2.6 * HOUR_S)
    points.append((3.2 * HOUR_S, 85.0 - 0.6 * falls_c_per_h))
    left_s = 2.6 * HOUR_S + 3.0 / falls_c_per_h * HOUR_S
    assert [e.elapsed_s - left_s <= FIVE_MINUTES_S for e in lost(schedule, points)] == [
        True
    ] * count


@pytest.mark.parametrize("under_c", [22.0, 28.0])
def test_a_kiln_that_falls_through_its_hold_and_is_caught_has_lost_no_heat(under_c: float) -> None:
    """A controller has given no heat while the kiln came down, and takes minutes to catch it. Its
    own thermocouple reads more than ours, too."""
    schedule = plan("150 1100 10", "215 945 30", "40 800")
    planned = as_planned(plan("150 1100 10", "215 945"))
    foot_s = planned[-1][0]
    # It comes down at 215 °C an hour and turns, its rate dying away in minutes.
    slows_s = under_c / 215.0 * HOUR_S
    caught = [
        (foot_s + s, 945.0 - under_c * -math.expm1(-s / slows_s)) for s in range(20, 2400, 20)
    ]
    assert lost(schedule, [*planned, *caught], None) == []


@pytest.mark.parametrize(("drop_c", "drops_s"), [(30.0, 100.0), (40.0, 150.0), (50.0, 100.0)])
def test_a_kiln_that_slows_down_and_falls_on_far_below_its_hold_is_not_caught(
    drop_c: float, drops_s: float
) -> None:
    """A damper is opened on the way down: the chamber drops, and falls on by 120 °C an hour."""
    schedule = plan("150 1100 10", "160 945 30", "40 800")
    planned = as_planned(plan("150 1100 10"))
    top_s, top_c = planned[-1]
    opened_s, opened_c = top_s + (top_c - 960.0) / 160.0 * HOUR_S, 960.0
    opened = [
        (opened_s + s, opened_c + drop_c * math.expm1(-s / drops_s) - 120.0 * s / HOUR_S)
        for s in range(10, 2400, 10)
    ]
    (said,) = lost(schedule, [*planned, (opened_s, opened_c), *opened])
    assert said.elapsed_s - opened_s <= 2 * FIVE_MINUTES_S


def test_a_rig_that_is_rough_says_no_more_of_a_cold_hold() -> None:
    schedule = plan("65 85 180", "55 280")
    readings = seen(as_planned(schedule), rig=Rig(every_s=30.0, noise_c=1.5, resolution_c=1.0))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="electric"))
    assert raised(events, Kind.HEAT_LOST) == []


def test_a_plug_that_is_out_in_a_cold_hold_is_no_lost_heat() -> None:
    schedule = plan("65 85 180", "55 280")
    points = cut(as_planned(schedule), 2.8 * HOUR_S)
    out_s = 2.5 * HOUR_S
    chilled = [*cut(points, out_s), (out_s + 100.0, 80.0), (out_s + 160.0, 84.5)]
    chilled += [p for p in points if p[0] > out_s + 200.0]
    assert lost(schedule, chilled) == []


@pytest.mark.parametrize(("leaves_after_min", "count"), [(30, 0), (15, 1)])
def test_a_kiln_that_came_late_to_a_hold_on_its_way_down_may_leave_it_by_the_controllers_clock(
    leaves_after_min: int, count: int
) -> None:
    """It can cool by 120 °C an hour, where 340 were planned, and comes 18 minutes late to an hour
    that a controller which waits for nobody has counted all the while."""
    schedule = plan("150 1145 5", "340 1090 60", "230 960 60")
    planned = as_planned(plan("150 1145 5"))
    top_s, top_c = planned[-1]
    foot_s = top_s + (top_c - 1090.0) / 120.0 * HOUR_S
    leaves_s = foot_s + 60.0 * leaves_after_min
    points = [*planned, (foot_s, 1090.0), (leaves_s, 1090.0), (leaves_s + HOUR_S, 980.0)]
    said = lost(schedule, points)
    assert [e.elapsed_s - leaves_s <= 2 * FIVE_MINUTES_S for e in said] == [True] * count


@pytest.mark.parametrize(("held_min", "is_over"), [(28, True), (16, False)])
def test_the_clock_of_a_hold_goes_on_while_a_kiln_comes_back_from_an_open_door(
    held_min: int, *, is_over: bool
) -> None:
    """A door lets the chamber fall by 50 °C ten minutes into a hold of thirty; it climbs back by
    180 °C an hour and is let go before it is up again."""
    schedule = plan("150 1090", "70 1200 30", "- 1030")
    planned = as_planned(plan("150 1090", "70 1200"))
    top_s = planned[-1][0]
    shut_s, end_s = top_s + 720.0, top_s + 60.0 * held_min
    up_c = 1150.0 + (end_s - shut_s) * 180.0 / HOUR_S
    points = [*planned, (top_s + 600.0, 1200.0), (shut_s, 1150.0), (end_s, up_c)]
    points.append((end_s + 900.0, up_c - 180.0))
    events = told(schedule, seen(points), settings=WatchSettings(kiln_kind="electric"))
    said = {e.kind for e in events if e.elapsed_s > end_s}
    assert (Kind.STEP_BEGUN in said, Kind.HEAT_LOST in said) == (is_over, False)
    heat_lost = [e.state for e in events if e.kind is Kind.HEAT_LOST]
    assert heat_lost[-1] is (State.CLEARED if is_over else State.RAISED)


def test_a_hold_for_drying_that_creeps_is_left_when_its_time_is_over_and_not_before() -> None:
    """Candled with more heat than it takes, a kiln creeps up by 8 °C an hour for six hours, and is
    left to itself for 40 minutes more."""
    schedule = plan("40 95 360", "75 600")
    points = as_planned(plan("40 95"))
    foot_s = points[-1][0]
    end_s = foot_s + 6 * HOUR_S
    points += [(end_s + 2400.0, 95.0 + 8.0 * 6.67), (end_s + 2400.0 + HOUR_S, 223.0)]
    events = told(schedule, seen(points), settings=WatchSettings(kiln_kind="gas"))
    begun_s = [e.elapsed_s for e in raised(events, Kind.STEP_BEGUN)]
    assert abs(begun_s[1] - end_s) < 1200.0
    assert raised(events, Kind.STALL) == []


@pytest.mark.parametrize("stands_c", [124.0, 148.0])
def test_a_kiln_that_swings_out_of_its_hold_for_drying_dries_until_the_hold_would_be_over(
    stands_c: float,
) -> None:
    """Switches carry it 50 °C too far, where it stands or from where it sinks."""
    schedule = plan("65 90 180", "80 640")
    points = as_planned(plan("65 90"))
    top_s = points[-1][0]
    points += [(top_s + 2400.0, 148.0), (top_s + 4800.0, stands_c), (top_s + 3 * HOUR_S, stands_c)]
    settings = WatchSettings(kiln_kind="electric")
    assert raised(told(schedule, seen(points), settings=settings), Kind.STALL) == []


def test_a_warm_kiln_that_is_joined_at_its_hold_for_drying_may_swing_out_of_it() -> None:
    """The watch begins with a kiln at 73 °C, still warm; the switches carry it to 114 °C."""
    schedule = plan("20 90 600", "45 240")
    points = [(0.0, 73.0), (600.0, 73.0), (3000.0, 98.0), (4400.0, 114.0), (6000.0, 107.0)]
    points += [(9000.0, 103.0), (14000.0, 97.0), (4.5 * HOUR_S, 96.0)]
    settings = WatchSettings(kiln_kind="electric")
    assert raised(told(schedule, seen(points), settings=settings), Kind.STALL) == []


def test_a_hold_that_sags_is_left_by_the_controllers_clock() -> None:
    """It has come down by 14 °C when its half an hour is over, and is climbed out of in a hurry."""
    schedule = plan("50 290 30", "60 600")
    points = as_planned(plan("50 290"))
    top_s = points[-1][0]
    points += [(top_s + 900.0, 276.0), (top_s + 1920.0, 276.0), (top_s + 3360.0, 340.0)]
    events = told(schedule, seen(points))
    assert raised(events, Kind.HEAT_STUCK_ON) == []
    assert len(raised(events, Kind.STEP_BEGUN)) == 2


@pytest.mark.parametrize(("stands_min", "count"), [(20, 0), (50, 1)])
def test_who_has_left_a_hot_hold_too_soon_may_wait_until_the_plan_has_come_up(
    stands_min: int, count: int
) -> None:
    """Out of the hold after 20 minutes of two hours, 45 °C up in its next climb, and there."""
    schedule = plan("150 600 120", "100 1000 10")
    points = as_planned(plan("150 600"))
    for after_s, temp_c in ((1200.0, 600.0), (1620.0, 645.0), (60.0 * stands_min, 645.0)):
        points.append((points[-1][0] + after_s, temp_c))
    settings = WatchSettings(kiln_kind="electric")
    assert len(raised(told(schedule, seen(points), settings=settings), Kind.STALL)) == count
