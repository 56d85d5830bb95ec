"""What in a plan is likely to hurt ware, kiln or person, each in one sentence.

A good plan has none. Nothing that is advised here is hotter than the kiln's limit, where that is
told. Figures without a source are common practice.
"""

from __future__ import annotations

from dataclasses import replace

from supervisor.core.events import Value
from supervisor.core.heatwork import Progress
from supervisor.core.heatwork.integral import WORK_CAP
from supervisor.core.phases.bands import Band
from supervisor.core.phases.line import Line, PlanSaying, of_band
from supervisor.core.phases.pace import BandPace
from supervisor.core.phases.passage import paces_of
from supervisor.core.phases.worth import cooling_counts, heatwork_of, laid_like, whole_hold_for
from supervisor.core.schedule.model import FiringKind, Schedule
from supervisor.core.schedule.parse import HIGHEST_C
from supervisor.core.schedule.timeline import NATURAL_CLIMB_C_PER_H, Timeline
from supervisor.core.watch.wording import Words, percent_of, show_duration, show_share

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
ASSUMED = " (assumed where a step has no rate)"
"""Said behind a rate that is the timeline's guess and not the plan's word."""


def cautions_for(
    schedule: Schedule, timeline: Timeline, words: Words, limit_c: float | None = None
) -> list[Line]:
    """Sentences on what in the plan is likely to hurt the ware or the kiln.

    ``limit_c`` is the temperature that the kiln's maker allows, in °C, where it is told.
    """
    said: list[Line] = []
    if limit_c is not None and schedule.peak_c > limit_c:
        text = (
            f"The peak of {words.temp(schedule.peak_c)} is above the kiln's limit of "
            f"{words.temp(limit_c)}: do not fire it in this kiln; its maker's word counts."
        )
        figures = {"peak_c": schedule.peak_c, "limit_c": limit_c}
        said.append(Line(PlanSaying.OVER_LIMIT, text, **figures))
    hasty = [pace for pace in paces_of(schedule, timeline) if pace.worst > 1.0]
    said += [_too_fast(pace, timeline, words) for pace in hasty]
    said += _unsaid_kind(schedule, timeline, words)
    said += cone_cautions(schedule, timeline, words, limit_c)
    said += _hold_cautions(schedule, timeline, words)
    return said


def _too_fast(pace: BandPace, timeline: Timeline, words: Words) -> Line:
    band = pace.band
    does = "falls" if band.cooling else "climbs"
    is_assumed = _is_assumed(band, timeline)
    assumed = ASSUMED if is_assumed else ""
    text = (
        f"The plan {does} {words.rate(pace.worst_c_per_h)}{assumed} through “{band.name}” "
        f"({band.limits(words)}), where up to {words.rate(pace.fastest_c_per_h)} is advisable: "
        f"{band.reason(words)}."
    )
    return Line(
        PlanSaying.TOO_FAST,
        text,
        **of_band(band),
        rate_c_per_h=round(pace.worst_c_per_h, 1),
        fastest_c_per_h=round(pace.fastest_c_per_h, 1),
        is_assumed=is_assumed,
    )


def _is_assumed(band: Band, timeline: Timeline) -> bool:
    """Whether the plan goes through part of ``band`` at no rate of its own."""
    low_c, high_c = sorted((band.from_c, band.to_c))
    for step in timeline.steps:
        same_way = step.cools if band.cooling else step.climbs
        if same_way and step.rate_c_per_h is None:
            cold_c, hot_c = sorted((step.from_c, step.to_c))
            if min(high_c, hot_c) > max(low_c, cold_c):
                return True
    return False


def _unsaid_kind(schedule: Schedule, timeline: Timeline, words: Words) -> list[Line]:
    """Of what is in the kiln nothing is known: a plan that would burst raw ware says so."""
    if schedule.kind is not FiringKind.OTHER:
        return []
    raw = replace(schedule, kind=FiringKind.BISQUE)
    paces = [pace.band for pace in paces_of(raw, timeline) if pace.worst > 1.0]
    hasty = [band for band in paces if not band.cooling]
    if not hasty:
        return []
    names = [f"“{band.name}”" for band in hasty]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    is_assumed = any(_is_assumed(band, timeline) for band in hasty)
    if is_assumed:
        rate = words.rate(NATURAL_CLIMB_C_PER_H)
        listed += f" (a step without a rate is assumed to climb {rate})"
    message = (
        f"The schedule does not say what is fired: for raw clay it is too fast in {listed}; "
        f'write kind = "bisque" or kind = "glaze", and the right rates are looked after.'
    )
    return [
        Line(
            PlanSaying.TOO_FAST_RAW,
            message,
            bands=", ".join(band.name for band in hasty),
            assumed_c_per_h=NATURAL_CLIMB_C_PER_H if is_assumed else None,
        )
    ]


def cone_cautions(
    schedule: Schedule, timeline: Timeline, words: Words, limit_c: float | None
) -> list[Line]:
    """Those of ``cautions_for`` that go by the calculated cones, which real ones may contradict."""
    target = schedule.target_cone
    if target is None:
        if schedule.kind is not FiringKind.GLAZE:
            return []
        message = (
            "The plan names no target_cone, so nobody can tell whether it suits the glaze: add "
            "the cone that the glaze is made for."
        )
        return [Line(PlanSaying.NO_TARGET, message)]
    progress = heatwork_of(timeline)
    work = progress.work[target]
    if work < 1.0:
        return [_underfired(schedule, timeline, words, progress, limit_c)]
    if work > _OVERFIRED:
        return [_overfired(schedule, timeline, progress)]
    return []


def _overfired(schedule: Schedule, timeline: Timeline, progress: Progress) -> Line:
    target = schedule.target_cone
    assert target is not None  # noqa: S101 - the caller has seen to it
    work = progress.work[target]
    times = f"{work:.0f}" if work < WORK_CAP else f"more than {WORK_CAP:.0f}"
    early_s = timeline.steps[schedule.peak_step].end_s - progress.down_at_s[target]
    down = f"is down {show_duration(early_s)} before the peak is over, and "
    text = (
        f"By calculation cone {target} {down if early_s > 0.0 else ''}has {times} times the "
        f"heat-work it needs: expect an overfired load, or name the cone that is meant "
        f"({progress.cone} by calculation)."
    )
    return Line(
        PlanSaying.OVERFIRED,
        text,
        cone=target,
        times=round(min(work, WORK_CAP), 1),
        is_capped=work >= WORK_CAP,
        early_s=round(early_s) if early_s > 0.0 else None,
        reached=progress.cone,
    )


def _underfired(
    schedule: Schedule,
    timeline: Timeline,
    words: Words,
    progress: Progress,
    limit_c: float | None,
) -> Line:
    target = schedule.target_cone
    assert target is not None  # noqa: S101 - the caller has seen to it
    work = progress.work[target]
    share = show_share(work) if work >= _TRACE else "a trace"
    counts = cooling_counts(schedule, timeline)
    cooling = ", with the first of the kiln's own cooling," if counts else ""
    message = (
        f"By calculation the plan{cooling} reaches only {share} of the heat-work of cone {target}"
    )
    if progress.cone is not None:
        message += f" (it brings down cone {progress.cone})"
    figures: dict[str, Value] = {
        "cone": target,
        "percent": percent_of(work) if work >= _TRACE else None,
        "cooling": counts,
        "reached": progress.cone,
        "limit_c": limit_c or schedule.peak_c,
    }
    ways = _ways(target, schedule, timeline, words, limit_c)
    if ways is None:
        text = (
            f"{message}: this kiln can't bring that cone down at or below its maker's limit of "
            f"{words.temp(limit_c or schedule.peak_c)} with a hold that anybody would keep, so "
            f"choose a lower cone, and glazes made for it."
        )
        return Line(PlanSaying.OUT_OF_REACH, text, **figures)
    said = ", or ".join(ways) or "that is far off, so look at its temperatures"
    for way in ways:
        figures |= way.figures
    return Line(PlanSaying.UNDERFIRED, f"{message}: {said}.", **figures)


def _ways(
    target: str, schedule: Schedule, timeline: Timeline, words: Words, limit_c: float | None
) -> list[Line] | None:
    """What brings ``target`` down after all; None where the kiln's limit is in the way."""
    ways: list[Line] = []
    if limit_c is None or schedule.peak_c <= limit_c:
        hold_s = _bearable_s(target, schedule, timeline)
        if hold_s is not None:
            text = f"hold {show_duration(hold_s)} in all at {words.temp(schedule.peak_c)}"
            figures = {"hold_s": hold_s, "hold_at_c": schedule.peak_c}
            ways.append(Line(PlanSaying.UNDERFIRED, text, **figures))
    peak_c = _peak_for(target, schedule, timeline)
    if limit_c is None or (peak_c is not None and peak_c <= limit_c):
        if peak_c is None:
            return ways
        text = f"fire to about {words.temp(peak_c)}"
        return [*ways, Line(PlanSaying.UNDERFIRED, text, fire_to_c=peak_c)]
    if peak_c is None and schedule.peak_c <= limit_c:
        return ways
    if limit_c != schedule.peak_c:
        hold_s = _bearable_s(target, _with_peak(schedule, limit_c), timeline)
        if hold_s is not None:
            hold = f" and hold {show_duration(hold_s)} in all" if hold_s > 0.0 else ""
            text = f"fire to the kiln's limit of {words.temp(limit_c)}{hold}"
            ways.append(Line(PlanSaying.UNDERFIRED, text, hold_at_limit_s=hold_s))
    return ways or None


def _bearable_s(target: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """The hold at the peak that brings ``target`` down, if anybody would hold for so long."""
    hold_min = whole_hold_for(target, schedule, timeline)
    return None if hold_min is None or hold_min > _BEARABLE_HOLD_MIN else hold_min * 60.0


def _peak_for(target: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """The peak, to some degrees, at which the plan brings ``target`` down; None if far off."""
    low_c, high_c = schedule.peak_c, min(schedule.peak_c + _MOST_SHORT_C, HIGHEST_C)
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
    changed = laid_like(timeline, _with_peak(schedule, peak_c))
    return heatwork_of(changed).work[target]


def _with_peak(schedule: Schedule, peak_c: float) -> Schedule:
    """The same plan to another peak: no step of it is hotter."""
    old_c = schedule.peak_c
    steps = (
        replace(step, to_c=peak_c if step.to_c == old_c else min(step.to_c, peak_c))
        for step in schedule.steps
    )
    return replace(schedule, steps=tuple(steps))


def _hold_cautions(schedule: Schedule, timeline: Timeline, words: Words) -> list[Line]:
    said = []
    for step in timeline.steps:
        at_peak = step.to_c == schedule.peak_c and schedule.kind is not FiringKind.OTHER
        longest_s = _LONG_PEAK_HOLD_S if at_peak else _LONG_HOLD_S
        if step.hold_s <= longest_s or step.to_c < _DRY_BELOW_C:
            continue
        what = "a glaze runs and a body slumps in it" if at_peak else "look whether it is meant"
        text = (
            f"The hold of {show_duration(step.hold_s)} at {words.temp(step.to_c)} is very long: "
            f"{what}."
        )
        saying = PlanSaying.LONG_PEAK_HOLD if at_peak else PlanSaying.LONG_HOLD
        said.append(Line(saying, text, hold_s=step.hold_s, temp_c=step.to_c))
    return said
