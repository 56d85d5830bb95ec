"""Why a value can't be a kiln's temperature, and what is told of the channel that gives it."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.watch.impossible import Impossible
from tests.core.firings import Rig, as_planned, cut, plan, raised, seen, told

WARM_C = 75.0
"""A kiln that was fired the day before."""
SHED_C = 20.0


def causes(*values: float) -> list[FaultCause]:
    impossible = Impossible()
    return [impossible.why(value) for value in values]


@pytest.mark.parametrize("none", [-127.0, -200.0, -999.0, 1372.0 + 1000.0, math.nan, -math.inf])
def test_a_number_that_stands_for_no_value_is_the_same_each_time(none: float) -> None:
    assert causes(none, none, none) == [FaultCause.OPEN] * 3


def test_what_is_colder_than_any_shed_and_moves_comes_from_swapped_leads() -> None:
    assert causes(-54.25, -54.5, -54.5) == [
        FaultCause.OPEN,
        FaultCause.REVERSED,
        FaultCause.REVERSED,
    ]


def test_no_thermocouple_is_as_cold_as_that() -> None:
    assert causes(-300.0, -301.0) == [FaultCause.OPEN] * 2


def test_each_stretch_is_told_by_its_own_values() -> None:
    impossible = Impossible()
    impossible.why(-54.0)
    impossible.why(-55.0)
    impossible.forget()
    assert impossible.why(-127.0) is FaultCause.OPEN


@pytest.mark.parametrize("begins_well", [False, True])
@pytest.mark.parametrize("every_s", [1.0, 10.0, 30.0])
def test_swapped_leads_in_a_warm_kiln_are_called_so_within_the_minute(
    every_s: float, *, begins_well: bool
) -> None:
    """Terminals at 20 °C, and a kiln at 75 °C: the converter shows about 55 °C below them."""
    points = cut(as_planned(plan("100 1000"), start_c=WARM_C), 1800.0)
    readings = [
        Reading(r.elapsed_s, {"kiln": 2.0 * SHED_C - (r.temps_c["kiln"] or 0.0) - 20.0})
        for r in seen(points, rig=Rig(every_s=every_s))
    ]
    if begins_well:
        readings[0] = Reading(readings[0].elapsed_s, {"kiln": WARM_C})
    (fault,) = raised(told(plan("100 1000"), readings), Kind.SENSOR_FAULT)
    assert fault.elapsed_s <= max(60.0, 3.0 * every_s)
    assert called(fault) is FaultCause.REVERSED


def called(fault: Event) -> FaultCause:
    return FaultCause(str(fault.data["cause"]))
