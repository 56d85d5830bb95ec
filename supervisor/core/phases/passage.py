"""When a plan passes through which band, and how fast. Knows plans, not kilns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.phases.bands import Band, bands_of
from supervisor.core.phases.pace import BandPace, Paces
from supervisor.core.schedule.model import Schedule, Way
from supervisor.core.schedule.timeline import PlannedStep, Timeline

_LEAST_PART = 0.5
"""A plan that turns within a band passes through it if it sees this part of it."""
_CURVE_S = 60.0
"""Natural cooling is a curve: it is fed to the paces in pieces of this length."""


@dataclass(frozen=True, slots=True)
class PlannedPhase:
    """A band as a plan passes through it; ``rate_c_per_h`` is the mean there, positive.

    It is 0 in a hold.
    """

    band: Band
    start_s: float
    end_s: float
    rate_c_per_h: float


def phases_of(schedule: Schedule, timeline: Timeline) -> list[PlannedPhase]:
    """The bands that the plan passes through, in order of time.

    Heating bands are looked for up to the end of the peak, cooling bands after it.
    """
    found = []
    for band in bands_of(schedule):
        phase = _passage(band, schedule, timeline)
        if phase is not None:
            found.append(phase)
    return sorted(found, key=lambda phase: phase.start_s)


def _passage(band: Band, schedule: Schedule, timeline: Timeline) -> PlannedPhase | None:
    peak = timeline.steps[schedule.peak_step]
    if band.way is Way.HOLDING:
        if peak.hold_s <= 0.0:
            return None
        return PlannedPhase(band, peak.reach_s, peak.end_s, 0.0)
    if band.way is Way.HEATING:
        steps = [step for step in timeline.steps[: schedule.peak_step + 1] if step.climbs]
        from_c, to_c = max(band.from_c, timeline.start_c), min(band.to_c, schedule.peak_c)
        width_c = to_c - from_c
    else:
        steps = [step for step in timeline.steps[schedule.peak_step + 1 :] if step.cools]
        lowest_c = min((step.to_c for step in steps), default=schedule.peak_c)
        from_c, to_c = min(band.from_c, schedule.peak_c), max(band.to_c, lowest_c)
        width_c = from_c - to_c
    if width_c <= 0.0 or width_c < _LEAST_PART * band.width_c:
        return None
    end_s = _first_time(steps, to_c, timeline)
    start_s = None if end_s is None else _last_time(steps, from_c, end_s, timeline)
    if start_s is None or end_s is None or end_s <= start_s:
        return None
    return PlannedPhase(band, start_s, end_s, width_c / (end_s - start_s) * 3600.0)


def _first_time(steps: Sequence[PlannedStep], temp_c: float, timeline: Timeline) -> float | None:
    for step in steps:
        low_c, high_c = sorted((step.from_c, step.to_c))
        if low_c <= temp_c <= high_c:
            return step.time_at(temp_c, timeline.shed_c)
    return None


def _last_time(
    steps: Sequence[PlannedStep], temp_c: float, until_s: float, timeline: Timeline
) -> float | None:
    found = None
    for step in steps:
        low_c, high_c = sorted((step.from_c, step.to_c))
        if step.start_s < until_s and low_c <= temp_c <= high_c:
            at_s = step.time_at(temp_c, timeline.shed_c)
            if at_s < until_s:
                found = at_s
    return found


def paces_of(schedule: Schedule, timeline: Timeline) -> tuple[BandPace, ...]:
    """How fast a kiln that keeps the plan to the second crosses each guarded band."""
    paces = Paces(bands_of(schedule))
    for at_s, temp_c in timeline.points(every_s=_CURVE_S):
        paces.feed(at_s, temp_c)
    return paces.of
