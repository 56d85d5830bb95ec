"""A kiln that is kept warm overnight, before its plan or in the midst of its first steps."""

from __future__ import annotations

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import HOUR_S, Points, Rig, alarms, cleared, plan, raised, seen, told

BISQUE = plan("65 95 30", "85 600", "95 1000 10")
DRYING = ((0.0, 10.0), (0.2, 60.0), (0.5, 88.0), (1.2, 94.0), (2.6, 106.0), (8.9, 118.0))
"""From a hold of half an hour at 95 °C to 118 °C, in eight hours; in hours and °C."""
GLAZE = plan("105 120", "140 600", "155 1220 10")


def hours(*points: tuple[float, float]) -> Points:
    """Points with their time in hours."""
    return [(HOUR_S * at_h, temp_c) for at_h, temp_c in points]


def told_of(schedule: Schedule, points: Points, kind: str = "gas") -> list[Event]:
    readings = seen(points, rig=Rig(every_s=15.0, noise_c=0.6))
    return told(schedule, readings, settings=WatchSettings(kiln_kind=kind))


@pytest.mark.parametrize("kind", ["gas", "electric"])
def test_who_creeps_past_candling_and_then_climbs_is_told_of_a_stall(kind: str) -> None:
    points = hours((0.0, 20.0), (0.5, 60.0), (5.5, 156.0), (7.0, 300.0), (9.0, 301.0))
    events = told_of(plan("100 600", "150 1000 10"), points, kind)
    stalls = raised(events, Kind.STALL)
    assert len(stalls) == 1
    assert 7.0 * HOUR_S < stalls[0].elapsed_s <= 7.25 * HOUR_S


def test_a_small_flame_that_takes_drying_ware_up_with_it_overnight_has_not_stalled() -> None:
    events = told_of(BISQUE, hours(*DRYING, (9.4, 145.0), (12.0, 400.0)))
    assert alarms(events) == []
    assert cleared(events, Kind.LAGGING)


def test_a_climb_that_begins_after_such_a_night_may_stall() -> None:
    events = told_of(BISQUE, hours(*DRYING, (11.0, 300.0), (13.0, 301.0)))
    stalls = raised(events, Kind.STALL)
    assert len(stalls) == 1
    assert 11.0 * HOUR_S < stalls[0].elapsed_s <= 11.25 * HOUR_S


@pytest.mark.parametrize("night_h", [3.0, 10.0])
def test_a_plan_without_a_drying_hold_may_be_candled_past_its_first_corner(night_h: float) -> None:
    quick = [(0.0, 11.0), (0.1, 12.0), (0.5, 108.0), (1.0, 119.0), (1.5, 127.0)]
    slow = [(0.0, 11.0), (0.1, 12.0), (0.5, 36.0), (1.5, 74.0), (2.0, 101.0), (2.5, 113.0)]
    for begins in (quick, slow):
        from_h, from_c = begins[-1]
        night = [(from_h + night_h, min(from_c + 8.0 * night_h, 150.0))]
        day_h, day_c = night[0]
        day = [(day_h + 1.0, day_c + 130.0), (day_h + 4.0, day_c + 560.0)]
        assert alarms(told_of(GLAZE, hours(*begins, *night, *day))) == []


@pytest.mark.parametrize("kind", ["gas", "wood"])
def test_a_small_fire_may_creep_on_to_two_hundred_degrees_overnight(kind: str) -> None:
    night = [(0.0, 20.0), (1.5, 110.0), (4.0, 134.0), (5.7, 160.0), (7.8, 181.0), (11.0, 201.0)]
    day = [(12.5, 330.0), (14.5, 560.0)]
    assert alarms(told_of(plan("86 129 15", "125 574", "175 946"), hours(*night, *day), kind)) == []
