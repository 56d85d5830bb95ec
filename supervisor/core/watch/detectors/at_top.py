"""Whether a kiln that stands may be at the top of its step by its own thermocouple, short by ours.

Knows one instant and for how long the kiln has stood. The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import FIRES
from supervisor.core.watch.step_end import MOST_APART_C, SHORT_OF_C

_AT_TOP_S, AT_TOP_C = 660.0, SHORT_OF_C + 2.0
"""So near the top of a step, where the plan stops, a kiln that stands is probably there by its own
thermocouple: the follower is given time to see that. Where it climbs on, the kiln is on its way
there with the pace of that, which is no standing."""
SETTLES_S, SLOWER = 480.0, 0.8
"""But where it climbs on by less than this part of its pace, it may settle there for so long."""
_AT_HOLD_S, AT_HOLD_C = 840.0, MOST_APART_C + 1.0
"""And so near a hold it may stand there farther below by ours, which takes longer to see."""
AT_PEAK_S, _AT_PEAK_C = 1200.0, 11.0
"""Who creeps up to the top as the last power runs out has no more than so far to go for so long;
and so long may whoever fires with gas or wood, whose hold sags, hold as near as any may."""


def may_be_at_its_top(moment: Moment, lasted_s: float) -> bool:
    """Whether the kiln, which has stood for ``lasted_s``, may be where its plan stops."""
    plan, temp_c = moment.plan, moment.temp_c
    step = plan.step
    if step is None or temp_c is None:
        return False
    short_c, least_s = step.to_c - temp_c, 0.0
    # A climb "as fast as it goes" has the top of its step for its goal from the beginning.
    if (plan.stops_next or step.rate_c_per_h is None) and short_c < AT_TOP_C:
        least_s = AT_PEAK_S if short_c < _AT_PEAK_C else _AT_TOP_S
    if short_c < AT_TOP_C and _is_slower_next(moment, step):
        least_s = max(least_s, SETTLES_S)
    if step.hold_s and short_c < AT_HOLD_C:
        least_s = max(least_s, AT_PEAK_S if moment.kiln_kind in FIRES else _AT_HOLD_S)
    return lasted_s < least_s


def _is_slower_next(moment: Moment, step: PlannedStep) -> bool:
    following, pace_c_per_h = moment.plan.timeline.after(step), step.rate_c_per_h
    if following is None or not following.climbs or pace_c_per_h is None:
        return False
    return following.rate_c_per_h is not None and following.rate_c_per_h < SLOWER * pace_c_per_h
