"""What a plan is worth in heat-work: the cone to expect, the hold a cone needs, what holds do.

Calculated from the plan as if the kiln kept it to the minute; the witness cone decides. A plan
that ends hot is not over for the cones: the first of the kiln's own cooling counts with it, as
the timeline reckons natural cooling, so that a plan which leaves its cooling out is worth the
same as one which names it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from supervisor.core.heatwork import (
    CONES,
    WHOLE_CONE_NAMES,
    HeatWork,
    Progress,
    Wire,
    seconds_of_hold,
)
from supervisor.core.heatwork.hold import OneConeLow, cones_between, one_cone_low
from supervisor.core.heatwork.interval import ConeInterval, cone_interval
from supervisor.core.phases.bands import MELTING_C
from supervisor.core.schedule.model import Schedule
from supervisor.core.schedule.timeline import COLD_C, Timeline

SAMPLE_S = 60.0
"""A plan is looked at this often when its heat-work is added up."""
_WORTH_NAMING = 0.01
"""A hold that gives a cone less of its heat-work is not there for the cones."""


def heatwork_of(timeline: Timeline) -> Progress:
    """The heat-work of the plan, kept to the minute, and of the kiln's own cooling after it.

    So a cone's ``down_at_s`` may lie beyond ``timeline.total_s``.
    """
    return _whole(timeline).progress()


def _whole(timeline: Timeline) -> HeatWork:
    work = _fired(timeline, timeline.total_s)
    for at_s, temp_c in timeline.cooling(SAMPLE_S):
        work.add(at_s, temp_c)
    return work


def cooling_counts(schedule: Schedule, timeline: Timeline) -> bool:
    """Whether the kiln's own cooling after the plan gives its cones anything worth naming."""
    return timeline.steps[-1].to_c > max(COLD_C, schedule.peak_c - MELTING_C)


def _fired(timeline: Timeline, end_s: float) -> HeatWork:
    work = HeatWork()
    for at_s in _times(timeline, end_s):
        work.add(at_s, timeline.at(at_s))
    return work


def _times(timeline: Timeline, end_s: float) -> list[float]:
    count = int(end_s // SAMPLE_S)
    corners = {at_s for step in timeline.steps for at_s in (step.reach_s, step.end_s)}
    inside = {at_s for at_s in corners if at_s < end_s}
    return [*sorted({n * SAMPLE_S for n in range(count + 1)} | inside), end_s]


def interval_of(timeline: Timeline, wire: Wire) -> ConeInterval | None:
    """How sure the expected cone is, for a kiln whose controller reads ``wire``.

    The kiln's own cooling after the plan counts, as in ``heatwork_of``.
    """
    return cone_interval(_whole(timeline), wire)


def one_cone_low_of(schedule: Schedule, timeline: Timeline) -> OneConeLow | None:
    """The rule of one cone low and 25 minutes, tried on the target after the plan's last climb.

    None without a whole target cone, or where that climb has no rate of its own.
    """
    target, rate = schedule.target_cone, timeline.steps[schedule.peak_step].rate_c_per_h
    if target not in WHOLE_CONE_NAMES or rate is None:
        return None
    return one_cone_low(target, rate)


def hold_for(cone: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """Minutes to hold at the plan's peak that bring ``cone`` down, in place of its own hold there.

    The rest of the plan and the kiln's own cooling do their part. 0 where they do it without
    any hold; None where it would take more than 48 h.
    """
    unheld = laid_like(timeline, _held(schedule, 0.0))
    hold_s = seconds_of_hold(CONES[cone], heatwork_of(unheld).work[cone], schedule.peak_c)
    return None if hold_s is None else hold_s / 60.0


def whole_hold_for(cone: str, schedule: Schedule, timeline: Timeline) -> int | None:
    """``hold_for`` as people are told it: whole minutes, and never one too few."""
    hold_min = hold_for(cone, schedule, timeline)
    if hold_min is None:
        return None
    minutes = math.ceil(hold_min)
    # The last digits of a sum and of a quotient differ.
    while heatwork_of(laid_like(timeline, _held(schedule, minutes * 60.0))).work[cone] < 1.0:
        minutes += 1
    return minutes


def _held(schedule: Schedule, hold_s: float) -> Schedule:
    """The same plan with so long a hold at its peak in all."""
    steps = [replace(s, hold_s=0.0) if s.to_c == schedule.peak_c else s for s in schedule.steps]
    steps[schedule.peak_step] = replace(steps[schedule.peak_step], hold_s=hold_s)
    return replace(schedule, steps=tuple(steps))


def laid_like(timeline: Timeline, schedule: Schedule) -> Timeline:
    """``schedule`` on the clock from the same kiln in the same shed as ``timeline``."""
    return Timeline(schedule, timeline.start_c, timeline.shed_c)


@dataclass(frozen=True, slots=True)
class HoldWorth:
    """What one hold of the plan is worth.

    ``cones`` is how many cones farther the firing is after it, None while not even the softest
    is down before; ``share`` is what it gives ``cone`` of the heat-work that that cone needs.
    """

    step: int
    to_c: float
    hold_s: float
    cone: str
    share: float
    cones: float | None


def hold_worth(schedule: Schedule, timeline: Timeline, progress: Progress) -> list[HoldWorth]:
    """What each hold is worth, and to the target cone (without one: to the next to come).

    ``progress`` is that of ``heatwork_of``. Holds that are too cool to matter are left out.
    """
    cone = schedule.target_cone or progress.next_cone or progress.cone
    if cone is None:
        return []
    found = []
    for step in timeline.steps:
        share = step.hold_s * CONES[cone].rate_per_s(step.to_c)
        if step.hold_s > 0.0 and share >= _WORTH_NAMING:
            before = _fired(timeline, step.reach_s).progress()
            after = _fired(timeline, step.end_s).progress()
            cones = cones_between(before, after)
            found.append(HoldWorth(step.index, step.to_c, step.hold_s, cone, share, cones))
    return found
