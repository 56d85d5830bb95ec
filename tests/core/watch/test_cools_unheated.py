"""A kiln that has lost its heat for good cools as after a firing, and is watched as it does."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Kind
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    cleared,
    cooled_to,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

GLAZE = plan("115 120", "135 600", "155 1100", "80 1212 60")
ELECTRIC = WatchSettings(kiln_kind="electric")
SHED_C = 20.0


def lost_at(temp_c: float) -> Points:
    """Fired to ``temp_c``, or for ten minutes into its hold, and left without heat there."""
    fired = as_planned(GLAZE)
    return cut(fired, reached_s(fired, temp_c) + (600.0 if temp_c > 1200.0 else 0.0))


@pytest.mark.parametrize("at_c", [1000.0, 1211.9])
def test_a_kiln_that_was_left_without_heat_and_is_opened_hot_is_told_in_10_minutes(
    at_c: float,
) -> None:
    shut = cooled_to(lost_at(at_c), 620.0, 8.0 * HOUR_S)
    opened_s = shut[-1][0]
    events = told(
        GLAZE, seen(cooled_to(shut, 200.0, 2.0 * HOUR_S), rig=Rig(every_s=15.0)), settings=ELECTRIC
    )
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert cleared(events, Kind.HEAT_LOST) == []
    (fast,) = raised(events, Kind.FAST_COOLING)
    assert 0.0 < fast.elapsed_s - opened_s <= 600.0


@pytest.mark.parametrize("constant_h", [4.0, 8.0, 13.0])
@pytest.mark.parametrize("at_c", [900.0, 1211.9])
def test_a_kiln_that_is_left_shut_cools_no_faster_than_it_may(
    at_c: float, constant_h: float
) -> None:
    cooled = cooled_to(lost_at(at_c), 150.0, constant_h * HOUR_S)
    events = told(GLAZE, seen(cooled, rig=Rig(every_s=30.0)), settings=ELECTRIC)
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert raised(events, Kind.FAST_COOLING) == []


@pytest.mark.parametrize("after_h", [0.5, 1.5, 3.0])
def test_heat_that_comes_back_after_hours_is_back_and_the_climb_goes_on(after_h: float) -> None:
    at_c, constant_h = 1000.0, 8.0
    low_c = SHED_C + (at_c - SHED_C) * math.exp(-after_h / constant_h)
    cold = cooled_to(lost_at(at_c), low_c, constant_h * HOUR_S)
    fired = as_planned(GLAZE)
    late_s = cold[-1][0] - reached_s(fired, low_c)
    later = [(s + late_s, c) for s, c in fired if s > reached_s(fired, low_c)]
    readings = seen([*cold, *later], rig=Rig(every_s=15.0))
    events = told(GLAZE, readings, settings=ELECTRIC)
    (back,) = cleared(events, Kind.HEAT_LOST)
    assert 0.0 < back.elapsed_s - cold[-1][0] <= 1200.0
    assert raised(events, Kind.FAST_COOLING) == raised(events, Kind.HEAT_STUCK_ON) == []
    assert raised(events, Kind.FIRING_FINISHED)
