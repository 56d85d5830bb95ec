"""Moves and holds that follow a firing, as the steps of a plan. Judges none of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.refit.figures import rounded_rate, rounded_temp
from supervisor.core.schedule.model import Step
from supervisor.core.units import Unit, difference_from_c, difference_to_c

_CAREFUL_C_PER_H = 60.0
"""To a first hold that the kiln was at from the beginning the next, cold one is led with care
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A move to ``to_c`` that ends at ``reach_s``, and a hold to ``end_s``; ``is_natural``: left
    to itself."""

    to_c: float
    reach_s: float
    end_s: float
    is_natural: bool = False


def steps_of(legs: Sequence[Leg], start_c: float, begun_s: float, units: Unit) -> list[Step]:
    """The legs with figures that people set; what rounding costs one step the next makes good."""
    steps: list[Step] = []
    now_s, now_c = begun_s, start_c
    for leg in legs:
        is_given = not steps and leg.reach_s <= begun_s
        step, now_s = step_of(leg, now_s, now_c, units, is_given=is_given)
        steps.append(step)
        now_c = step.to_c
    return steps


def step_of(
    leg: Leg, now_s: float, now_c: float, units: Unit, *, is_given: bool = False
) -> tuple[Step, float]:
    """The step from ``now_c`` at ``now_s`` that makes the leg, and when it ends.

    ``is_given``: the kiln was there from the beginning.
    """
    to_temp_c = rounded_temp(leg.to_c, units)
    if leg.is_natural:
        now_s, rate = leg.reach_s, None
    elif is_given:
        rate = difference_to_c(float(round(difference_from_c(_CAREFUL_C_PER_H, units))), units)
    else:
        move_s = max(leg.reach_s - now_s, 1.0)
        rate = rounded_rate(abs(to_temp_c - now_c) / move_s * 3600.0, units)
        now_s += abs(to_temp_c - now_c) / rate * 3600.0
    hold_min = max(round((leg.end_s - now_s) / 60.0), 0) if leg.end_s > leg.reach_s else 0
    return Step(to_temp_c, rate, hold_min * 60.0), now_s + hold_min * 60.0
