"""Figures as people set them on a controller. Knows no firing and no plan."""

from __future__ import annotations

from supervisor.core.units import Unit, difference_from_c, difference_to_c, from_c, to_c

_MOST_RATE_C_PER_H, _LEAST_RATE_C_PER_H = 2000.0, 1.0


def rounded_temp(temp_c: float, units: Unit) -> float:
    """To a degree of the plan's scale."""
    return to_c(float(round(from_c(temp_c, units))), units)


def rounded_rate(rate_c_per_h: float, units: Unit) -> float:
    """To a degree an hour; slow ones to a tenth."""
    rate = difference_from_c(min(max(rate_c_per_h, _LEAST_RATE_C_PER_H), _MOST_RATE_C_PER_H), units)
    return difference_to_c(round(rate, 1) if rate < 30.0 else float(round(rate)), units)
