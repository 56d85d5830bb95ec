"""What a plan is worth in heat-work: the cone to expect, the hold a cone needs, what holds do.

Calculated from the plan as if the kiln kept it to the minute; the witness cone decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork import (
    CONES,
    WHOLE_CONE_NAMES,
    HeatWork,
    Progress,
    Wire,
    offset_sigma_c,
)
from supervisor.core.heatwork.hold import OneConeLow, one_cone_low
from supervisor.core.heatwork.hold import hold_worth as cones_between
from supervisor.core.heatwork.uncertainty import QUANTILE
from supervisor.core.schedule.model import Schedule
from supervisor.core.schedule.timeline import Timeline

SAMPLE_S = 60.0
"""A plan is looked at this often when its heat-work is added up."""
LONGEST_HOLD_S = 48 * 3600.0
"""Nobody holds a peak for longer; a cone that needs more is not brought down by holding."""
_WORTH_NAMING = 0.01
"""A hold that gives a cone less of its heat-work is not there for the cones."""


def heatwork_of(timeline: Timeline, offset_c: float = 0.0) -> Progress:
    """The heat-work that the plan is worth if it is kept to the minute, ``offset_c`` hotter."""
    return _fired(timeline, timeline.total_s, offset_c).progress()


def _fired(timeline: Timeline, end_s: float, offset_c: float = 0.0) -> HeatWork:
    work = HeatWork(offset_c)
    for at_s in _times(timeline, end_s):
        work.add(at_s, timeline.at(at_s))
    return work


def _times(timeline: Timeline, end_s: float) -> list[float]:
    count = int(end_s // SAMPLE_S)
    corners = {at_s for step in timeline.steps for at_s in (step.reach_s, step.end_s)}
    inside = {at_s for at_s in corners if at_s < end_s}
    return [*sorted({n * SAMPLE_S for n in range(count + 1)} | inside), end_s]


@dataclass(frozen=True, slots=True)
class ConeInterval:
    """The hardest cones down, in four firings of five, if the plan is kept to the minute.

    ``coolest`` is None where not even the softest may be down. ``off_c`` is the offset on either
    side, in °C: that of new thermocouple wire, of cones and of the law.
    """

    coolest: str | None
    hottest: str | None
    off_c: float


def cone_interval(timeline: Timeline, progress: Progress, wire: Wire) -> ConeInterval | None:
    """How sure the expected cone is, for a kiln whose controller reads ``wire``."""
    cone = progress.cone
    if cone is None:
        return None
    peak_c = max(step.to_c for step in timeline.steps)
    off_c = QUANTILE * offset_sigma_c(CONES[cone], peak_c, wire)
    return ConeInterval(
        heatwork_of(timeline, -off_c).cone, heatwork_of(timeline, off_c).cone, off_c
    )


def one_cone_low_of(schedule: Schedule, timeline: Timeline) -> OneConeLow | None:
    """The rule of one cone low and 25 minutes, tried on the target after the plan's last climb.

    None without a whole target cone, or where that climb has no rate of its own.
    """
    target, rate = schedule.target_cone, timeline.steps[schedule.peak_step].rate_c_per_h
    if target not in WHOLE_CONE_NAMES or rate is None:
        return None
    return one_cone_low(target, rate)


def hold_for(cone: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """Minutes to hold at the plan's peak that bring ``cone`` down, in place of its own hold.

    0 where the climb alone does it; None where it would take more than 48 h.
    """
    peak = timeline.steps[schedule.peak_step]
    missing = 1.0 - _fired(timeline, peak.reach_s).progress().work[cone]
    if missing <= 0.0:
        return 0.0
    rate_per_s = CONES[cone].rate_per_s(peak.to_c)
    # A cold peak softens nothing, to the last digit.
    return missing / rate_per_s / 60.0 if missing <= rate_per_s * LONGEST_HOLD_S else None


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

    ``progress`` is that of the whole plan. Holds that are too cool to matter are left out.
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
