"""What a hold is worth in cones, and how far a rule of the trade is true of it.

The rule (common practice, no source): firing one cone low and holding about 25 minutes gives
about one cone more. The cone maker's own text says 1 to 2 hours at the cone's own temperature
(hours from memory); by calculation both are right, of different climbs.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork.cones import CONES, WHOLE_CONE_NAMES
from supervisor.core.heatwork.forecast import seconds_of_hold
from supervisor.core.heatwork.integral import HeatWork, Progress, work_along
from supervisor.core.heatwork.scale import place_on_scale

RULE_HOLD_S = 25 * 60.0
_PIECE_C = 2.0
_CLIMB_FROM_C = 300.0
"""A steady climb from here to a cone's fall: what it did colder is nothing to speak of."""


def cones_between(before: Progress, after: Progress) -> float | None:
    """How many cones (whole ones, as a decimal) ``after`` a hold lies past ``before`` it.

    None while not even cone 022 is down before it.
    """
    start, end = place_on_scale(before.work), place_on_scale(after.work)
    return None if start is None or end is None else end - start


@dataclass(frozen=True, slots=True)
class OneConeLow:
    """A climb at one rate that ends as ``low`` goes down, at ``temp_c``, and a hold there.

    ``share`` of the heat-work of ``cone``, the next one, is done after ``RULE_HOLD_S``;
    ``hold_s`` brings it down (None: it takes more than two days).
    """

    low: str
    cone: str
    rate_c_per_h: float
    temp_c: float
    share: float
    hold_s: float | None


def one_cone_low(cone: str, rate_c_per_h: float) -> OneConeLow | None:
    """The rule tried on ``cone``, a whole one, for a climb of ``rate_c_per_h``.

    None for the softest cone, which has none before it.
    """
    place = WHOLE_CONE_NAMES.index(cone)
    if place == 0:
        return None
    low = WHOLE_CONE_NAMES[place - 1]
    rate_c_per_s = rate_c_per_h / 3600.0
    climb = HeatWork()
    elapsed_s, down_s = 0.0, None
    while down_s is None:
        climb.add(elapsed_s, _CLIMB_FROM_C + elapsed_s * rate_c_per_s)
        elapsed_s += _PIECE_C / rate_c_per_s
        down_s = climb.down_at(low)
    temp_c = _CLIMB_FROM_C + down_s * rate_c_per_s
    done = work_along(climb.path, CONES[cone], until_s=down_s)
    return OneConeLow(
        low,
        cone,
        rate_c_per_h,
        temp_c,
        done + RULE_HOLD_S * CONES[cone].rate_per_s(temp_c),
        seconds_of_hold(CONES[cone], done, temp_c),
    )
