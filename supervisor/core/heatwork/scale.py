"""Heat-work as one figure on the series of whole cones. Knows nothing of firings.

Work is compared by its logarithm: half-way between two cones is where the softer has had as
many times its work as the harder lacks. That is how far apart cones lie on the kiln's own
scale of time; it is our reckoning, no published one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES

_LEAST_WORK = 1e-6


def place_on_scale(work: Mapping[str, float]) -> float | None:
    """Where ``work`` by cone stands: 0 is cone 022 just down, 1 is 021, and so on.

    None below cone 022; at most that of cone 14.

    >>> place_on_scale({name: 0.0 for name in WHOLE_CONE_NAMES}) is None
    True
    """
    down = [i for i, name in enumerate(WHOLE_CONE_NAMES) if work[name] >= 1.0]
    if not down:
        return None
    place = down[-1]
    if place + 1 == len(WHOLE_CONE_NAMES):
        return float(place)
    over = math.log(work[WHOLE_CONE_NAMES[place]])
    short = -math.log(max(work[WHOLE_CONE_NAMES[place + 1]], _LEAST_WORK))
    return place + over / (over + short)


def cone_at(place: float) -> str:
    """The whole cone that is down at ``place``; the softest for less.

    >>> cone_at(0.0), cone_at(27.9), cone_at(-1.0)
    ('022', '6', '022')
    """
    return WHOLE_CONE_NAMES[max(min(int(place), len(WHOLE_CONE_NAMES) - 1), 0)]
