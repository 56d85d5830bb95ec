"""Where the marks of an axis stand. Knows numbers, not plans."""

from __future__ import annotations

import math
from dataclasses import dataclass

_NICE_HOURS = (1 / 60, 1 / 12, 1 / 6, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0)
_NICE_TENTHS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Axis:
    """Values from ``low`` to ``high`` laid on a line from ``start`` to ``end``."""

    low: float
    high: float
    start: float
    end: float

    def place(self, value: float) -> float:
        """Where ``value`` lies."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def temp_step(span: float, most: int) -> float:
    """A round distance between marks, so that ``span`` degrees have no more than ``most``.

    >>> temp_step(1300.0, 8), temp_step(2400.0, 8), temp_step(40.0, 8)
    (200.0, 500.0, 5.0)
    """
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * nice for nice in _NICE_TENTHS if power * nice >= rough * (1 - 1e-9))


def hour_step(hours: float, most: int) -> float:
    """A usual length of time between marks, in hours, so that there are no more than ``most``.

    >>> hour_step(13.6, 14), hour_step(60.0, 14), hour_step(0.4, 10), hour_step(9000.0, 10)
    (1.0, 6.0, 0.08333333333333333, 1536.0)
    """
    for nice in _NICE_HOURS:
        if hours <= nice * most:
            return nice
    longer = _NICE_HOURS[-1]
    while hours > longer * most:
        longer *= 2.0
    return longer


def marks(low: float, high: float, step: float) -> list[float]:
    """The multiples of ``step`` from ``low`` to ``high``, both included."""
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def hour_name(hours: float, step: float) -> str:
    """How a mark on the axis of hours is called.

    >>> hour_name(1.5, 0.5), hour_name(0.0, 0.5), hour_name(12.0, 2.0)
    ('1:30', '0', '12')
    """
    if step >= 1.0 or hours == 0.0:
        return f"{hours:,.0f}"
    minutes = round(hours * 60.0)
    return f"{minutes // 60}:{minutes % 60:02d}"
