"""Holds on the way down: begun when the kiln is there, gone through, left, or heated out of.

The courses are our own; how slowly a big kiln falls is common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    plan,
    raised,
    seen,
    told,
)

ELECTRIC = WatchSettings(kiln_kind="electric")
RIG = Rig(every_s=10.0, noise_c=0.3)


def fired(schedule: Schedule, points: Points, rig: Rig = RIG) -> list[Event]:
    return told(schedule, seen(points, rig=rig), settings=ELECTRIC)


def begun_s(events: list[Event], step: int) -> float:
    """When the step began, the first being 1."""
    steps = [e for e in raised(events, Kind.STEP_BEGUN) if e.data["step"] == step]
    assert len(steps) == 1
    return steps[0].elapsed_s


def falls(from_s: float, from_c: float, to_c: float, constant_s: float) -> Points:
    """A kiln without heat, each minute until it is at ``to_c``."""
    points, at_s, at_c = [], from_s, from_c
    while at_c > to_c:
        at_s += 60.0
        at_c = 20.0 + (from_c - 20.0) * math.exp(-(at_s - from_s) / constant_s)
        points.append((at_s, max(at_c, to_c)))
    return points


@pytest.mark.parametrize("then_c_per_h", [50.0, 70.0])
def test_a_short_hold_that_a_kiln_falls_through_by_its_next_pace_is_no_lost_heat(
    then_c_per_h: float,
) -> None:
    """Its probe may lag by as much as the hold is long."""
    schedule = plan("150 600", "100 1215 20", "- 1000 5", f"{then_c_per_h:.0f} 700")
    points = as_planned(plan("150 600", "100 1215 20"))
    points += falls(*points[-1], 1003.0, 9 * HOUR_S)
    foot_s, foot_c = points[-1]
    points.append((foot_s + (foot_c - 700.0) / then_c_per_h * HOUR_S, 700.0))
    events = fired(schedule, points)
    assert alarms(events) == []
    assert 0.0 < begun_s(events, 4) - foot_s < 900.0


def test_a_kiln_that_falls_through_a_hold_without_heat_has_lost_it() -> None:
    schedule = plan("150 600", "100 1215 20", "- 1000 30", "50 700")
    points = as_planned(plan("150 600", "100 1215 20"))
    foot_s = falls(*points[-1], 1000.0, 9 * HOUR_S)[-1][0]
    points += falls(*points[-1], 850.0, 9 * HOUR_S)
    (lost, *_) = raised(fired(schedule, points), Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - foot_s < 900.0


@pytest.mark.parametrize(("constant_h", "every_s"), [(34.0, 10.0), (28.0, 30.0), (12.0, 10.0)])
def test_a_big_kiln_that_falls_slowly_to_a_hold_does_not_hold_before(
    constant_h: float, every_s: float
) -> None:
    schedule = plan("125 525 10", "150 765 20", "- 515 105", "40 420")
    points = as_planned(plan("125 525 10", "150 765 20"))
    points += falls(*points[-1], 515.0, constant_h * HOUR_S)
    foot_s = points[-1][0]
    end_s = foot_s + 105.0 * 60.0
    points += [(end_s, 515.0), (end_s + 95.0 / 40.0 * HOUR_S, 420.0)]
    events = fired(schedule, points, Rig(every_s=every_s, noise_c=1.5))
    assert alarms(events) == []
    assert abs(begun_s(events, 4) - end_s) < 1500.0


def test_a_climb_of_5_degrees_between_two_holds_is_seen() -> None:
    """Though its controller calls the hold over some minutes before it is by our count."""
    steps = ("150 600", "100 1265 15", "- 1095 30", "120 1110")
    points = as_planned(plan(*steps, "100 1110 54", "100 1115 90"))
    events = fired(plan(*steps[:-1], "120 1110 60", "100 1115 90"), points)
    left_s = as_planned(plan(*steps[:-1], "120 1110 60"))[-1][0]
    assert abs(begun_s(events, 5) - left_s) < 240.0


HELD = plan("150 600", "100 1205 20", "- 900", "60 800 10")


@pytest.mark.parametrize("rate_c_per_h", [40.0, 60.0, 90.0])
def test_a_relay_that_welds_as_a_kept_hold_on_the_way_down_ends_is_told_soon(
    rate_c_per_h: float,
) -> None:
    points = as_planned(HELD)
    onset_s = points[-1][0]
    points = [*points, (onset_s + HOUR_S, 800.0 + rate_c_per_h)]
    (stuck,) = raised(fired(HELD, points), Kind.HEAT_STUCK_ON)
    # Eight degrees, and what the filter takes to be sure of them.
    assert 0.0 < stuck.elapsed_s - onset_s < 10.5 / rate_c_per_h * HOUR_S + 120.0


@pytest.mark.parametrize("more_c", [0.0, 3.0])
def test_a_controller_that_holds_on_after_that_and_swings_is_not_stuck(more_c: float) -> None:
    points = as_planned(HELD)
    end_s = points[-1][0]
    points += [
        (end_s + 30.0 * n, 800.0 + more_c * math.sin(2.0 * math.pi * n / 20.0))
        for n in range(1, 60)
    ]
    points += falls(*points[-1], 700.0, 6 * HOUR_S)
    assert alarms(fired(HELD, points)) == []
