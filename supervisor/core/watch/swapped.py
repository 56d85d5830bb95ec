"""Whether the leads of a thermocouple are swapped, told from its fall. Knows that fall only.

Swapped leads make the value mirror the kiln's climb downwards from the shed's temperature, below
frost and faster than a night cools a shed. No kiln falls so fast even at 20 °C unless it freezes
hard, and a mere probe has come to rest after a quarter of an hour (common practice, no source).
"""

from __future__ import annotations

from supervisor.core.watch.filter import TemperatureFilter

SWAPPED_BELOW_C, SWAPPED_BACK_C = 20.0, 2.0
"""What reads more than the first has not fallen far enough to tell; what is back to so much below
where it began is not swapped any more."""
MIRRORED_C = 150.0
"""Nothing that has shown as much is a mirror of the kiln: its leads are right, and what it falls to
when the firing is over is the shed (common practice, no source)."""
_FROST_C, _C_PER_S = 0.0, -20.0 / 3600.0
_LEAST_C, _DEEP_C = 10.0, 20.0
_AT_REST_S = 900.0


def is_swapped(
    value_c: float, known: TemperatureFilter, first_c: float, since_first_s: float
) -> bool:
    """Whether a channel that reads less than ``SWAPPED_BELOW_C``, and began at ``first_c`` so long
    ago, falls on and shows two of three signs: that it reads less than frost, has fallen deep, and
    has surely fallen for long."""
    fell_c = first_c - known.temp_c
    if fell_c <= _LEAST_C or known.rate_c_per_s >= _C_PER_S:
        return False
    is_cold, is_deep = value_c < _FROST_C, fell_c > _DEEP_C
    if is_cold and is_deep:
        return True
    return (is_cold or is_deep) and _falls_surely(known, fell_c, since_first_s)


def falls_below_frost(known: TemperatureFilter) -> bool:
    """Whether it shows, and goes on falling to, what no kiln and hardly a shed is."""
    return known.temp_c < _FROST_C and known.rate_c_per_s < _C_PER_S


def _falls_surely(known: TemperatureFilter, fell_c: float, since_first_s: float) -> bool:
    if since_first_s < _AT_REST_S:
        return False
    rate_c_per_s, sigma_c_per_s = known.rate_c_per_s, known.rate_sigma_c_per_s
    if rate_c_per_s + 2.0 * sigma_c_per_s < _C_PER_S:
        return True
    # What a rough rig leaves in doubt of now, it shows over the whole of its fall.
    has_fallen = -fell_c < _C_PER_S * since_first_s
    return has_fallen and rate_c_per_s + sigma_c_per_s < 0.5 * _C_PER_S
