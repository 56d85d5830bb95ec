"""By whom a kiln is heated: its controller, a hand, or the next step of its plan.

As far as that can be told from outside. Knows how the kiln has kept its plan, and not whether it
should be heated.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.drying import DRYING_C
from supervisor.core.watch.moves import FINISHED
from supervisor.core.watch.step_end import MOST_APART_C

BY_HAND = 0.95
"""A kiln that wanders as widely as that is worked by a person, who may have turned it down too far
and up again, or stokes on: what heats it is a hand, until it is above the top (common practice, no
source). No controller keeps its plan so badly that does not swing about it all the time."""
WORKED = 0.3
"""One that wanders more is worked by a person now and then; of a kind that nobody told, it may have
a damper."""
_BACK_UP_C, _HURRIES = 50.0, 2.0
"""So far below its top nobody turns a kiln up again that was done: none with elements, and no other
at more than so many times its fastest pace (common practice, no source)."""
_TURNS_UP = 1.5
"""Near the foot of a cooling from which the plan climbs on, a kiln that climbs no faster than so
many times the next step's pace has begun it."""


def is_kept(moment: Moment) -> bool:
    """Whether it is a controller and no fire or hand that heats it, each zone perhaps by itself."""
    kind, is_close = moment.kiln_kind, moment.habits.looseness < WORKED
    return is_close and (kind is None or kind == "electric")


def may_dry_by_hand(moment: Moment) -> bool:
    """Whether ware may be drying in a kiln that a person turns up and down until it is dry, with or
    without a hold for that in the plan (common practice, no source)."""
    temp_c = moment.temp_c
    return temp_c is not None and temp_c < DRYING_C and moment.habits.looseness > WORKED


def may_be_by_hand(moment: Moment, fell_c: float) -> bool:
    """Whether a hand may have heated the kiln, which has fallen by ``fell_c`` where it should, once
    more, or stoked on."""
    if moment.kiln_kind == "wood":
        # A fire has no relay and no valve: whatever heats it was put on it.
        return True
    if moment.habits.looseness <= BY_HAND:
        return False
    plan, step = moment.plan, moment.plan.step
    is_over, is_far_down = plan.activity is FINISHED, fell_c > _BACK_UP_C
    if is_over and moment.kiln_kind == "electric":
        # Where it has come down with its plan, there are no embers: nobody turns it up again.
        return not (is_far_down or (step is not None and step.cools))
    if not is_over or not is_far_down:
        return True
    paces_c_per_h = [step.rate_c_per_h or 0.0 for step in plan.timeline.steps if step.climbs]
    own_c_per_h = moment.habits.fastest_c_per_h or 0.0
    return moment.rate_c_per_h < _HURRIES * max([own_c_per_h, *paces_c_per_h])


def turns_up(moment: Moment, lowest_c: float) -> bool:
    """Whether the kiln, which has turned at ``lowest_c``, was at the foot of its cooling there, and
    climbs on as its plan does."""
    plan, step = moment.plan, moment.plan.step
    if step is None or not step.cools or lowest_c > step.to_c + MOST_APART_C:
        return False
    following = plan.timeline.after(step)
    if following is None or not following.climbs:
        return False
    planned_c_per_h = following.rate_c_per_h
    return planned_c_per_h is None or moment.rate_c_per_h < _TURNS_UP * planned_c_per_h
