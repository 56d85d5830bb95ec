"""What the thermocouple is expected to show from now on, and how sure that is.

The same course by which the cones are awaited, as temperatures at times. Knows one instant,
keeps nothing, knows nothing of cones.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from supervisor.core.heatwork import Leg
from supervisor.core.heatwork.uncertainty import QUANTILE, wire_sigma_c
from supervisor.core.watch.cone_forecast import CONTROLLER, Outlook, likely_course

_MOST_POINTS = 90
_LEAST_STEP_S = 60.0


@dataclass(frozen=True, slots=True)
class Ahead:
    """Expected temperatures in °C, ``in_s`` seconds from now; four of five lie between low and
    high."""

    in_s: tuple[float, ...]
    temp_c: tuple[float, ...]
    low_c: tuple[float, ...]
    high_c: tuple[float, ...]


def expected_ahead(outlook: Outlook, until_s: float) -> Ahead:
    """The likeliest course for ``until_s`` seconds from now, or as far as it goes.

    Off may be the rate of the present climb, and the tops and holds to come, which the kiln's
    own thermocouple decides and not ours: each by itself, squared up.
    """
    step_s = max(until_s / _MOST_POINTS, _LEAST_STEP_S)
    times = [step_s * n for n in range(int(until_s / step_s) + 1)]
    likely = temps_at(likely_course(outlook), times, outlook.temp_c)
    top_c = max(likely)
    tops_c = QUANTILE * math.hypot(
        wire_sigma_c(CONTROLLER, top_c), wire_sigma_c(outlook.lead.wire, top_c)
    )

    def side(sign: float) -> list[float]:
        faster = temps_at(likely_course(outlook, sigmas=sign * QUANTILE), times, outlook.temp_c)
        hotter = temps_at(likely_course(outlook, tops_c=sign * tops_c), times, outlook.temp_c)
        return [
            at_c + sign * math.hypot(max(sign * (a - at_c), 0.0), max(sign * (b - at_c), 0.0))
            for at_c, a, b in zip(likely, faster, hotter, strict=False)
        ]

    low, high = side(-1.0), side(1.0)
    count = min(len(likely), len(low), len(high))
    return Ahead(
        tuple(times[:count]), tuple(likely[:count]), tuple(low[:count]), tuple(high[:count])
    )


def temps_at(legs: Iterable[Leg], times: Sequence[float], now_c: float) -> list[float]:
    """The temperature at each of the rising ``times``, as far as ``legs`` go; at least at 0.

    >>> temps_at([(100.0, 200.0, 10.0), (200.0, 200.0, 5.0)], [0.0, 5.0, 12.0, 99.0], 100.0)
    [100.0, 150.0, 200.0]
    """
    found = [now_c]
    wanted = iter(times[1:])
    at_s = next(wanted, None)
    passed_s = 0.0
    for from_c, to_c, leg_s in legs:
        while at_s is not None and at_s <= passed_s + leg_s:
            share = (at_s - passed_s) / leg_s if leg_s > 0.0 else 1.0
            found.append(from_c + (to_c - from_c) * share)
            at_s = next(wanted, None)
        if at_s is None:
            break
        passed_s += leg_s
    return found
