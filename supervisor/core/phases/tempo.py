"""Where a plan hurries without need and where it dawdles without gain.

Nothing here hurts by the rule of ``pace``: it is what a technician says of a plan over coffee.
Bands that want care are no place to save time. Figures are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.phases.bands import CONE_012_C, MELTING_C, bands_of
from supervisor.core.schedule.model import Atmosphere, BandName, FiringKind, Schedule, Way
from supervisor.core.schedule.timeline import (
    NATURAL_COOLING_S,
    PlannedStep,
    Timeline,
    natural_cooling_s,
)

EASY_C_PER_H = 150.0
"""Ware and kiln that need no care take this without thinking."""
_DRY_C = 200.0
"""Raw clay gives off the last of its pore water up to here (Rhodes, from memory)."""
_LEAST_WIDTH_C = 80.0
_LEAST_SAVED_S, _LEAST_TIMES = 45 * 60.0, 1.4
_HASTY_END_C_PER_H = 180.0
"""Cone charts end at 150 °C/h; much faster, thermocouple and ware part company."""
_HOT_C, HARD_C_PER_H = 1000.0, 300.0
"""Few studio kilns climb faster when they are hot."""
_LEAST_LATE_S = 3600.0
HAND_WARM_C = 65.0
"""Ware below this can be held in the hand (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the climb: ``spent_s`` from the first limit to the second, holds included.

    ``could_s`` is what an easy pace takes there, None where the point is that it is fast.
    """

    from_c: float
    to_c: float
    spent_s: float
    could_s: float | None = None

    @property
    def rate_c_per_h(self) -> float:
        return (self.to_c - self.from_c) / self.spent_s * 3600.0


def climb_s(schedule: Schedule, timeline: Timeline, from_c: float, to_c: float) -> float:
    """Seconds from last leaving ``from_c`` to first being at ``to_c``, on the way to the peak.

    Both lie between the start and the peak. A hold at ``from_c`` does not count, one at a
    temperature between does.
    """
    climbs = [step for step in timeline.steps[: schedule.peak_step + 1] if step.climbs]
    passed = [step for step in climbs if step.from_c <= to_c <= step.to_c]
    if not passed:
        return 0.0
    end_s = passed[0].time_at(to_c, timeline.shed_c)
    starts_s = [
        step.time_at(from_c, timeline.shed_c)
        for step in climbs
        if step.from_c <= from_c < step.to_c and step.start_s < end_s
    ]
    return end_s - (starts_s[-1] if starts_s else 0.0)


def last_stretch(schedule: Schedule, timeline: Timeline) -> Stretch | None:
    """The last 100 °C up to the peak; None for a plan that is not so hot."""
    from_c = schedule.peak_c - MELTING_C
    if from_c <= timeline.start_c:
        return None
    spent_s = climb_s(schedule, timeline, from_c, schedule.peak_c)
    return Stretch(from_c, schedule.peak_c, spent_s) if spent_s > 0.0 else None


def hurries_of(schedule: Schedule, timeline: Timeline) -> list[Stretch]:
    """Stretches that are fast for cones and kiln, where no guarded band is concerned.

    A step without a rate goes as fast as the kiln can, and nobody knows how fast that is.
    """
    found = []
    for step in timeline.steps[: schedule.peak_step + 1]:
        from_c = max(step.from_c, _HOT_C)
        rate_c_per_h = step.rate_c_per_h or 0.0
        if step.to_c - from_c >= _LEAST_WIDTH_C and rate_c_per_h > HARD_C_PER_H:
            spent_s = (step.to_c - from_c) / rate_c_per_h * 3600.0
            found.append(Stretch(from_c, step.to_c, spent_s))
    last = last_stretch(schedule, timeline)
    if last is None or found or is_assumed(last, schedule, timeline):
        return found
    return [last] if last.rate_c_per_h > _HASTY_END_C_PER_H else []


def is_assumed(stretch: Stretch, schedule: Schedule, timeline: Timeline) -> bool:
    """Whether part of the stretch has no rate of its own, so that its length is an estimate."""
    return any(
        step.climbs
        and step.rate_c_per_h is None
        and min(step.to_c, stretch.to_c) > max(step.from_c, stretch.from_c)
        for step in timeline.steps[: schedule.peak_step + 1]
    )


def late_coolings_of(timeline: Timeline) -> list[tuple[PlannedStep, float]]:
    """Cooling steps that a shut kiln can't keep, with the temperature below which it can't.

    Natural cooling is the timeline's: told where it makes the kiln an hour late or more. Nobody
    waits for a kiln to get colder than hand-warm.
    """
    found = []
    for step in timeline.steps:
        rate_c_per_h = step.rate_c_per_h
        if rate_c_per_h is None or not step.cools:
            continue
        floor_c = min(timeline.shed_c, step.to_c - 5.0)
        below_c = min(floor_c + rate_c_per_h * NATURAL_COOLING_S / 3600.0, step.from_c)
        if below_c <= max(step.to_c, HAND_WARM_C):
            continue
        natural_s = natural_cooling_s(below_c, step.to_c, timeline.shed_c)
        if natural_s - (below_c - step.to_c) / rate_c_per_h * 3600.0 >= _LEAST_LATE_S:
            found.append((step, below_c))
    return found


def dawdles_of(schedule: Schedule, timeline: Timeline) -> list[Stretch]:
    """Stretches of the climb that take much longer than an easy pace where nothing needs it."""
    found = []
    for from_c, to_c in _free(schedule, timeline):
        spent_s = climb_s(schedule, timeline, from_c, to_c)
        could_s = (to_c - from_c) / EASY_C_PER_H * 3600.0
        least_s = max(could_s + _LEAST_SAVED_S, could_s * _LEAST_TIMES)
        if to_c - from_c >= _LEAST_WIDTH_C and spent_s >= least_s:
            found.append(Stretch(from_c, to_c, spent_s, could_s))
    return found


def _free(schedule: Schedule, timeline: Timeline) -> list[tuple[float, float]]:
    """What of the climb lies in no band that wants care, from cold to hot."""
    cared = []
    for band in bands_of(schedule):
        if band.way is Way.HEATING:
            is_raw = band.name == BandName.DRYING and schedule.kind is not FiringKind.GLAZE
            cared.append((band.from_c, max(band.to_c, _DRY_C) if is_raw else band.to_c))
    end_c = schedule.peak_c - MELTING_C
    if schedule.atmosphere is Atmosphere.REDUCTION:
        # Once there is smoke, the flame sets the pace.
        end_c = min(end_c, CONE_012_C)
    free = []
    at_c = timeline.start_c
    for low_c, high_c in (*sorted(cared), (end_c, end_c)):
        if low_c > at_c:
            free.append((at_c, min(low_c, end_c)))
        at_c = max(at_c, high_c)
        if at_c >= end_c:
            break
    return free
