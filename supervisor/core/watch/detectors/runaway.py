"""A climb out of a hold on the way, too early and too fast for its plan. Knows one instant."""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import FIRES
from supervisor.core.watch.moves import HOLDING

RAN_C = 18.0
RUNS_AWAY, STILL_RUNS = 2.0, 1.5
_KEPT_CLOSELY = 0.5
"""No controller leaves a hold on the way before its time, and so many times as fast as the plan
climbs before and after it; a person may (common practice, no source)."""


def runs_away(moment: Moment, times: float) -> bool:
    """Whether a kiln that keeps its plan closely, at a hold on the way or just out of it, climbs so
    many times as fast as the plan does before the hold and after it."""
    plan, step = moment.plan, moment.plan.step
    # Who fires with gas or wood ends a hold on the way by the ware, and climbs on.
    is_kept = moment.habits.looseness <= _KEPT_CLOSELY and moment.kiln_kind not in FIRES
    if step is None or step.cools or not is_kept:
        return False
    steps = plan.timeline.steps
    if plan.activity is HOLDING:
        if plan.hold_complete_s is not None or step.index + 1 == len(steps):
            return False
        beside = (step, steps[step.index + 1])
    else:
        beside = (steps[max(step.index - 1, 0)], step)
    rates_c_per_h = [near.rate_c_per_h for near in beside]
    fastest_c_per_h = max((rate for rate in rates_c_per_h if rate is not None), default=0.0)
    if None in rates_c_per_h or not all(near.climbs for near in beside):
        return False
    return moment.rate_c_per_h > times * fastest_c_per_h
