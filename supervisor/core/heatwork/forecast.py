"""How long until a cone is down, if the kiln goes on as said. Knows nothing of plans.

What is to come is given as straight legs; the softening rate is taken as exponential over
pieces of ``_STEP_C`` of them (the logarithmic mean), which the law of softening is to within
a part in a thousand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from supervisor.core.heatwork.cones import Cone, time_share

Leg = tuple[float, float, float]
"""From one temperature to another, in °C, within so many seconds."""

_STEP_C = 5.0
_IDLE_PER_S = 1e-8
"""At this rate a cone gets a thousandth of its work in 28 h: such legs are passed over."""
LONGEST_S = 48 * 3600.0
"""Nobody waits longer for a cone."""


def seconds_until_down(
    cone: Cone,
    work: float,
    legs: Iterable[Leg],
    offset_c: float = 0.0,
    longest_s: float = LONGEST_S,
) -> float | None:
    """Seconds until ``cone`` is down along ``legs``; None if it stands at their end.

    ``work`` is what the cone has had already; ``offset_c`` is added to the legs' temperatures.
    0 when it is down already; None as well when it would take more than ``longest_s``.
    """
    if work >= 1.0:
        return 0.0
    idle_c = cone.temp_at_rate(_IDLE_PER_S) - offset_c
    waited_s = 0.0
    for from_c, to_c, leg_s in legs:
        if waited_s > longest_s:
            return None
        if from_c <= idle_c and to_c <= idle_c:
            waited_s += leg_s
            continue
        count = math.ceil(abs(to_c - from_c) / _STEP_C) or 1
        part_s, part_c = leg_s / count, (to_c - from_c) / count
        start_per_s = cone.rate_per_s(from_c + offset_c)
        for n in range(1, count + 1):
            end_per_s = cone.rate_per_s(from_c + n * part_c + offset_c) if part_c else start_per_s
            gain, growth = _gain(start_per_s, end_per_s, part_s)
            if gain > 0.0 and work + gain >= 1.0:
                found_s = waited_s + time_share((1.0 - work) / gain, growth) * part_s
                return found_s if found_s <= longest_s else None
            work += gain
            waited_s += part_s
            if waited_s > longest_s:
                return None
            start_per_s = end_per_s
    return None


def _gain(start_per_s: float, end_per_s: float, length_s: float) -> tuple[float, float]:
    """The work of one straight piece, and the logarithm by which the rate grows along it."""
    if start_per_s == end_per_s or start_per_s == 0.0:
        return start_per_s * length_s, 0.0
    if end_per_s == 0.0:
        return 0.0, 0.0
    growth = math.log(end_per_s / start_per_s)
    if abs(growth) < 1e-5:
        return start_per_s * length_s, growth
    return (end_per_s - start_per_s) / growth * length_s, growth


def seconds_of_hold(cone: Cone, work: float, temp_c: float) -> float | None:
    """Seconds of a hold at ``temp_c`` that bring ``cone`` down; None where it takes too long."""
    rate_per_s = cone.rate_per_s(temp_c)
    missing = max(1.0 - work, 0.0)
    return missing / rate_per_s if missing <= rate_per_s * LONGEST_S else None
