"""What the kiln's temperature is likely to do next, as straight legs. Knows nothing of cones."""

from __future__ import annotations

import math
from collections.abc import Iterator

from supervisor.core.heatwork import Leg
from supervisor.core.schedule import PlannedStep
from supervisor.core.schedule.timeline import COLD_C, NATURAL_CLIMB_C_PER_H, NATURAL_COOLING_S
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import FINISHED, HOLDING

COOLING_C_PER_H, _STILL_C_PER_H = -20.0, 2.0
"""Falling faster, a kiln cools; climbing slower, it holds."""
_GOES_ON_C, _GOES_ON_S = 200.0, 48 * 3600.0
"""A climb or a hold without an end goes on for longer than any forecast of interest."""
_COOLING_LEG_S = 300.0
"""Natural cooling is bent: straight enough over this time."""
_KEPT_SHARE, _KEPT_LEAST_C_PER_H = 0.05, 3.0
"""How well controllers and people keep a planned rate, one sigma (common practice, no source)."""
_BELIEVED_SIGMAS = 3.0
"""A rate that is so much off the plan's is not the plan's with some noise."""


def plan_course(
    plan: PlanFollower, temp_c: float, climb_c_per_h: float | None = None, tops_c: float = 0.0
) -> Iterator[Leg]:
    """The rest of the plan from ``temp_c``, and the kiln's own cooling where it ends hot.

    Nothing before the plan begins or after its end. The present climb goes at
    ``climb_c_per_h``, or as planned where that is None. ``tops_c`` is how much hotter the steps
    to come end than the plan says, as far as the kiln does not stand in one already.
    """
    step = plan.step
    if step is None or plan.activity is FINISHED:
        return
    here_c, hold_s = temp_c, step.hold_s
    if plan.activity is HOLDING:
        hold_s = max(step.hold_s - plan.held_s, 0.0)
    else:
        yield from _way(plan, step, temp_c, step.to_c + tops_c, climb_c_per_h)
        here_c = step.to_c + tops_c
    for following in plan.timeline.steps[step.index + 1 :]:
        if hold_s > 0.0:
            yield here_c, here_c, hold_s
        yield from _way(plan, following, here_c, following.to_c + tops_c, None)
        here_c, hold_s = following.to_c + tops_c, following.hold_s
    if hold_s > 0.0:
        yield here_c, here_c, hold_s
    yield from cooling(here_c, plan.timeline.shed_c)


def cooling(
    from_c: float, shed_c: float, rate_c_per_h: float | None = None, to_c: float = COLD_C
) -> Iterator[Leg]:
    """A kiln that cools by itself from ``from_c`` to ``to_c``, or as far as is of interest.

    It begins with ``rate_c_per_h`` (negative), or with that of a typical brick kiln, and loses
    its heat towards ``shed_c``.
    """
    constant_s = NATURAL_COOLING_S
    if rate_c_per_h is not None:
        constant_s = (from_c - shed_c) / -rate_c_per_h * 3600.0
    here_c, end_c = from_c, max(to_c, COLD_C)
    while here_c > end_c:
        next_c = shed_c + (here_c - shed_c) * math.exp(-_COOLING_LEG_S / constant_s)
        yield here_c, max(next_c, end_c), _COOLING_LEG_S
        here_c = next_c


def _way(
    plan: PlanFollower, step: PlannedStep, from_c: float, to_c: float, rate_c_per_h: float | None
) -> Iterator[Leg]:
    """The way of ``step`` from ``from_c`` to ``to_c``."""
    away_c = from_c - to_c if step.cools else to_c - from_c
    if away_c <= 0.0:
        return
    rate_c_per_h = rate_c_per_h or step.rate_c_per_h
    if rate_c_per_h is None and step.cools:
        yield from cooling(from_c, plan.timeline.shed_c, to_c=to_c)
        return
    yield from_c, to_c, away_c / (rate_c_per_h or NATURAL_CLIMB_C_PER_H) * 3600.0


def rate_course(temp_c: float, rate_c_per_h: float, shed_c: float) -> Iterator[Leg]:
    """The present rate without an end; a kiln that hardly moves holds, one that falls cools."""
    if rate_c_per_h < COOLING_C_PER_H:
        yield from cooling(temp_c, shed_c, rate_c_per_h)
    elif rate_c_per_h < _STILL_C_PER_H:
        yield temp_c, temp_c, _GOES_ON_S
    else:
        yield temp_c, temp_c + _GOES_ON_C, _GOES_ON_C / rate_c_per_h * 3600.0


def likely_climb(
    plan: PlanFollower, rate_c_per_h: float, sigma_c_per_h: float
) -> tuple[float, float]:
    """The rate at which the present climb will go on, and one sigma of it, in °C/h.

    The measured rate and the planned one, each by its weight; the measured alone where they
    can't both be true, and where the plan names none. Never less than a crawl.
    """
    step = plan.step
    planned = None if step is None else step.rate_c_per_h
    if planned is None:
        return max(rate_c_per_h, _STILL_C_PER_H), max(sigma_c_per_h, _KEPT_LEAST_C_PER_H)
    kept = max(_KEPT_SHARE * planned, _KEPT_LEAST_C_PER_H)
    if abs(rate_c_per_h - planned) > _BELIEVED_SIGMAS * math.hypot(kept, sigma_c_per_h):
        return max(rate_c_per_h, _STILL_C_PER_H), max(sigma_c_per_h, kept)
    both = kept**2 + sigma_c_per_h**2
    rate = (planned * sigma_c_per_h**2 + rate_c_per_h * kept**2) / both
    return max(rate, _STILL_C_PER_H), kept


def temp_after(legs: Iterator[Leg], seconds: float) -> float | None:
    """The temperature in °C after so many seconds along ``legs``; their last at their end."""
    temp_c = None
    for from_c, to_c, leg_s in legs:
        if seconds <= leg_s:
            return from_c + (to_c - from_c) * (seconds / leg_s if leg_s > 0.0 else 1.0)
        seconds -= leg_s
        temp_c = to_c
    return temp_c
