"""Degrees Celsius and Fahrenheit: converted at the edge, once; inside it is always Celsius."""

from __future__ import annotations

from enum import StrEnum


class Unit(StrEnum):
    """A temperature scale that people read."""

    C = "C"
    F = "F"


F_PER_C = 1.8
"""Size of a degree Celsius in degrees Fahrenheit (definition)."""
ICE_POINT_F = 32.0
"""0 °C in °F (definition)."""


def c_from_f(temp_f: float) -> float:
    """Temperature in °C of a temperature in °F.

    >>> c_from_f(212.0)
    100.0
    """
    return (temp_f - ICE_POINT_F) / F_PER_C


def f_from_c(temp_c: float) -> float:
    """Temperature in °F of a temperature in °C.

    >>> f_from_c(100.0)
    212.0
    """
    return temp_c * F_PER_C + ICE_POINT_F


def to_c(temp: float, unit: Unit) -> float:
    """A temperature given in ``unit``, in °C."""
    return temp if unit is Unit.C else c_from_f(temp)


def from_c(temp_c: float, unit: Unit) -> float:
    """A temperature in °C, in ``unit``."""
    return temp_c if unit is Unit.C else f_from_c(temp_c)


def difference_to_c(difference: float, unit: Unit) -> float:
    """A difference or a rate given in degrees of ``unit``, in degrees Celsius.

    >>> difference_to_c(108.0, Unit.F)
    60.0
    """
    return difference if unit is Unit.C else difference / F_PER_C


def difference_from_c(difference_c: float, unit: Unit) -> float:
    """A difference or a rate in degrees Celsius, in degrees of ``unit``."""
    return difference_c if unit is Unit.C else difference_c * F_PER_C


def show_temp(temp_c: float, unit: Unit) -> str:
    """A temperature as people read it, to the degree.

    >>> show_temp(1222.4, Unit.C), show_temp(1222.4, Unit.F)
    ('1,222 °C', '2,232 °F')
    """
    return f"{from_c(temp_c, unit):,.0f} °{unit.value}"


def show_difference(difference_c: float, unit: Unit) -> str:
    """A difference of temperatures as people read it, to the degree."""
    return f"{difference_from_c(difference_c, unit):,.0f} °{unit.value}"


def show_rate(rate_c_per_h: float, unit: Unit) -> str:
    """A rate as people read it, to the degree an hour.

    >>> show_rate(60.0, Unit.F)
    '108 °F an hour'
    """
    return f"{difference_from_c(rate_c_per_h, unit):,.0f} °{unit.value} an hour"
