"""Where the kiln's own thermocouple may be: somewhere between our coldest zone and our hottest.

Zones of a cold kiln stand far apart, for radiation hardly evens them out, and nobody has told by
which of them it is fired. Knows where a corner of the plan may be passed, not what is a fault.
"""

from __future__ import annotations

from itertools import pairwise

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.drying import DRYING_C
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H, NEAR_C

_COLD_C = 300.0
"""Where the coldest is above this, the zones of a kiln even out (common practice, no source)."""
_DUE_S = 600.0
"""A kiln needs so long to get going again after its hold (common practice, no source)."""


def may_hold_for_s(moment: Moment) -> float:
    """For how long a kiln that stands may be in a hold of its plan that lies between its zones,
    and that the one that leads has passed by, or has not come to; or in one for drying that it has
    swung out of. 0 where there is none."""
    zones_c, plan = moment.zones_c, moment.plan
    step, hold_s = plan.step, plan.passed_by_s
    passed = plan.timeline.steps[step.index - 1] if step and step.index and hold_s > 0.0 else None
    if passed is not None and passed.to_c < DRYING_C and (moment.temp_c or 0.0) < _COLD_C:
        return hold_s + _DUE_S
    if zones_c is None or step is None or zones_c[0] > _COLD_C:
        return 0.0
    if passed is not None and _is_between(passed, zones_c):
        return hold_s + _DUE_S
    if step.hold_s > 0.0 and _is_between(step, zones_c):
        return step.hold_s + _DUE_S
    return 0.0


def may_be_at_a_corner(moment: Moment) -> bool:
    """Whether a hold, or a slower climb, may begin between the coldest zone and the hottest."""
    zones_c, plan = moment.zones_c, moment.plan
    if zones_c is None or plan.step is None or zones_c[0] > _COLD_C:
        return False
    steps = plan.timeline.steps
    for step, following in pairwise(steps[: plan.step.index + 2]):
        if not _is_between(step, zones_c):
            continue
        following_c_per_h = following.rate_c_per_h or NATURAL_LEAST_C_PER_H
        is_slower = step.rate_c_per_h is None or following_c_per_h < step.rate_c_per_h
        if step.hold_s > 0.0 or is_slower:
            return True
    return False


def _is_between(step: PlannedStep, zones_c: tuple[float, float]) -> bool:
    return step.climbs and zones_c[0] - NEAR_C < step.to_c < zones_c[1] + NEAR_C
