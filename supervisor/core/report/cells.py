"""How one figure stands in a cell: briefly, in the reader's scale, a dash for what is unknown."""

from __future__ import annotations

from supervisor.core.units import Unit, difference_from_c, from_c
from supervisor.core.watch.wording import show_clock

UNKNOWN = "–"
MINUS = "−"
_SLOW = 10.0


def degrees(temp_c: float | None, unit: Unit) -> str:
    """A temperature to the degree, without its unit.

    >>> degrees(1222.4, Unit.F), degrees(None, Unit.C)
    ('2,232', '–')
    """
    if temp_c is None:
        return UNKNOWN
    return f"{from_c(temp_c, unit):,.0f}".replace("-", MINUS)


def signed(value: float, digits: int = 0) -> str:
    """A difference with its sign; none where it rounds to nothing.

    >>> signed(4.4), signed(-12.0), signed(-0.3), signed(0.62, 1)
    ('+4', '−12', '0', '+0.6')
    """
    figure = f"{abs(value):,.{digits}f}"
    if float(figure.replace(",", "")) == 0.0:
        return "0"
    return f"{'+' if value > 0.0 else MINUS}{figure}"


def off(difference_c: float | None, unit: Unit) -> str:
    """A difference of temperatures or rates with its sign, without its unit."""
    return UNKNOWN if difference_c is None else signed(difference_from_c(difference_c, unit))


def rate(rate_c_per_h: float | None, unit: Unit) -> str:
    """A rate in degrees an hour, without its unit.

    >>> rate(100.0, Unit.F), rate(4.25, Unit.C), rate(None, Unit.C)
    ('180', '4.2', '–')
    """
    if rate_c_per_h is None:
        return UNKNOWN
    figure = difference_from_c(rate_c_per_h, unit)
    return f"{figure:,.0f}" if abs(figure) >= _SLOW else f"{figure:.1f}".removesuffix(".0")


def minutes(seconds: float | None) -> str:
    """A length of time as hours and minutes.

    >>> minutes(90.0), minutes(5400.0), minutes(None)
    ('0:02', '1:30', '–')
    """
    return UNKNOWN if seconds is None else show_clock(seconds)


def late(seconds: float | None) -> str:
    """A difference of times with its sign.

    >>> late(-1500.0), late(10.0), late(7260.0)
    ('−0:25', '0', '+2:01')
    """
    if seconds is None:
        return UNKNOWN
    if abs(seconds) < 30.0:
        return "0"
    return f"{'+' if seconds > 0.0 else MINUS}{show_clock(abs(seconds))}"
