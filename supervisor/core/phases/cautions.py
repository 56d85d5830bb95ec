"""What in a plan is likely to hurt ware, kiln or person, each in one sentence.

A good plan has none. Figures without a source are common practice.
"""

from __future__ import annotations

from dataclasses import replace

from supervisor.core.heatwork import Progress
from supervisor.core.phases.pace import BandPace
from supervisor.core.phases.passage import paces_of
from supervisor.core.phases.worth import heatwork_of, hold_for
from supervisor.core.schedule.model import FiringKind, Schedule
from supervisor.core.schedule.timeline import Timeline
from supervisor.core.watch.wording import Words, show_duration, show_share

_OVERFIRED = 3.0
"""A cone with so many times its heat-work is one or two cones too soft for its firing."""
_LONG_HOLD_S, _LONG_PEAK_HOLD_S = 12 * 3600.0, 4 * 3600.0
_DRY_BELOW_C = 130.0
"""Below this nobody holds too long: ware dries in its own time."""
_BEARABLE_HOLD_MIN = 180.0
_MOST_SHORT_C = 400.0
_HALVINGS = 7
"""Halving 400 °C so often settles the peak to 3 °C, and cones are not finer."""
_ROUNDED_C = 5.0
_TRACE = 0.01


def cautions_for(
    schedule: Schedule, timeline: Timeline, words: Words, limit_c: float | None = None
) -> list[str]:
    """Sentences on what in the plan is likely to hurt the ware or the kiln.

    ``limit_c`` is the temperature that the kiln's maker allows, in °C, where it is told.
    """
    said = []
    if limit_c is not None and schedule.peak_c > limit_c:
        said.append(
            f"The peak of {words.temp(schedule.peak_c)} is above the kiln's limit of "
            f"{words.temp(limit_c)}: do not fire it in this kiln; its maker's word counts."
        )
    said += [_too_fast(pace, words) for pace in paces_of(schedule, timeline) if pace.worst > 1.0]
    said += _unsaid_kind(schedule, timeline)
    said += _cone_cautions(schedule, timeline, words)
    said += _hold_cautions(schedule, timeline, words)
    return said


def _too_fast(pace: BandPace, words: Words) -> str:
    band = pace.band
    does = "falls" if band.cooling else "climbs"
    return (
        f"The plan {does} {words.rate(pace.worst_c_per_h)} through “{band.name}” "
        f"({band.limits(words)}), where up to {words.rate(pace.fastest_c_per_h)} is advisable: "
        f"{band.reason(words)}."
    )


def _unsaid_kind(schedule: Schedule, timeline: Timeline) -> list[str]:
    """Of what is in the kiln nothing is known: a plan that would burst raw ware says so."""
    if schedule.kind is not FiringKind.OTHER:
        return []
    raw = replace(schedule, kind=FiringKind.BISQUE)
    hasty = [pace.band for pace in paces_of(raw, timeline) if pace.worst > 1.0]
    names = [f"“{band.name}”" for band in hasty if not band.cooling]
    if not names:
        return []
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    message = (
        f"The schedule does not say what is fired: for raw clay it is too fast in {listed}; "
        f'write kind = "bisque" or kind = "glaze", and the right rates are looked after.'
    )
    return [message]


def _cone_cautions(schedule: Schedule, timeline: Timeline, words: Words) -> list[str]:
    target = schedule.target_cone
    if target is None:
        if schedule.kind is not FiringKind.GLAZE:
            return []
        message = (
            "The plan names no target_cone, so nobody can tell whether it suits the glaze: add "
            "the cone that the glaze is made for."
        )
        return [message]
    progress = heatwork_of(timeline)
    work = progress.work[target]
    if work < 1.0:
        return [_underfired(schedule, timeline, words, progress, target)]
    peak = timeline.steps[schedule.peak_step]
    if work > _OVERFIRED:
        early_s = peak.end_s - progress.down_at_s[target]
        message = (
            f"By calculation cone {target} is down {show_duration(early_s)} before the peak is "
            f"over, and has {work:.0f} times the heat-work it needs: expect an overfired load, "
            f"or name the cone that is meant ({progress.cone} by calculation)."
        )
        return [message]
    return []


def _underfired(
    schedule: Schedule, timeline: Timeline, words: Words, progress: Progress, target: str
) -> str:
    work = progress.work[target]
    share = show_share(work) if work >= _TRACE else "a trace"
    message = f"By calculation the plan reaches only {share} of the heat-work of cone {target}"
    if progress.cone is not None:
        message += f" (it brings down cone {progress.cone})"
    hold_min = hold_for(target, schedule, timeline)
    ways = []
    if hold_min is not None and hold_min <= _BEARABLE_HOLD_MIN:
        at = words.temp(schedule.peak_c)
        ways.append(f"hold {show_duration(hold_min * 60.0)} in all at {at}")
    peak_c = _peak_for(target, schedule, timeline)
    if peak_c is not None:
        ways.append(f"fire to about {words.temp(peak_c)}")
    return f"{message}: {', or '.join(ways) or 'that is far off, so look at its temperatures'}."


def _peak_for(target: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """The peak, to some degrees, at which the plan brings ``target`` down; None if far off."""
    low_c, high_c = schedule.peak_c, min(schedule.peak_c + _MOST_SHORT_C, 1500.0)
    if _work_at(high_c, target, schedule, timeline) < 1.0:
        return None
    for _ in range(_HALVINGS):
        middle_c = (low_c + high_c) / 2.0
        if _work_at(middle_c, target, schedule, timeline) < 1.0:
            low_c = middle_c
        else:
            high_c = middle_c
    return -(-high_c // _ROUNDED_C) * _ROUNDED_C


def _work_at(peak_c: float, target: str, schedule: Schedule, timeline: Timeline) -> float:
    steps = list(schedule.steps[: schedule.peak_step + 1])
    steps[-1] = replace(steps[-1], to_c=peak_c)
    hotter = Timeline(replace(schedule, steps=tuple(steps)), start_c=timeline.start_c)
    return heatwork_of(hotter).work[target]


def _hold_cautions(schedule: Schedule, timeline: Timeline, words: Words) -> list[str]:
    said = []
    for step in timeline.steps:
        at_peak = step.to_c == schedule.peak_c and schedule.kind is not FiringKind.OTHER
        longest_s = _LONG_PEAK_HOLD_S if at_peak else _LONG_HOLD_S
        if step.hold_s <= longest_s or step.to_c < _DRY_BELOW_C:
            continue
        what = "a glaze runs and a body slumps in it" if at_peak else "look whether it is meant"
        said.append(
            f"The hold of {show_duration(step.hold_s)} at {words.temp(step.to_c)} is very long: "
            f"{what}."
        )
    return said
