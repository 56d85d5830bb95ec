"""A plan explained: every figure and sentence once, for terminal, page and picture alike.

Knows what is to be said and in which order; knows nothing of widths, fonts or files.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork import Progress, Wire
from supervisor.core.heatwork.interval import ConeInterval
from supervisor.core.phases.bands import bands_of
from supervisor.core.phases.cautions import ASSUMED, cautions_for
from supervisor.core.phases.heat_lines import (
    WantedHold,
    cones_said,
    how_sure,
    rule_said,
    wanted_said,
    worth_said,
)
from supervisor.core.phases.line import Line, PlanSaying, of_band
from supervisor.core.phases.passage import PlannedPhase, phases_of
from supervisor.core.phases.tempo import (
    HAND_WARM_C,
    HARD_C_PER_H,
    Stretch,
    dawdles_of,
    hurries_of,
    is_assumed,
    last_stretch,
    late_coolings_of,
)
from supervisor.core.phases.worth import (
    HoldWorth,
    heatwork_of,
    hold_worth,
    interval_of,
    one_cone_low_of,
    whole_hold_for,
)
from supervisor.core.schedule.model import Atmosphere, BandName, FiringKind, Schedule, Way
from supervisor.core.schedule.timeline import (
    DEFAULT_START_C,
    NATURAL_CLIMB_C_PER_H,
    NATURAL_COOLING_S,
    PlannedStep,
    Timeline,
    natural_cooling_s,
)
from supervisor.core.watch.wording import Words, show_clock, show_duration

_NEARLY_C = 10.0
_OPENING = "Open when the ware can be held in the hand, and not before the kiln maker allows it."
_MONOXIDE = (
    "Reduction makes carbon monoxide, which nobody smells: air the room, have an alarm for it "
    "there, and go by the kiln maker's instructions and the local codes."
)

CAUTIONS = "Cautions"
"""The heading of the section that a reader must not miss."""

Section = tuple[str, tuple[Line, ...]]


@dataclass(frozen=True, slots=True)
class Explanation:
    """A plan explained. ``sections`` are (heading, lines); the rest is what they are made of.

    A section without a line is left out. Lines are whole sentences, but for those of steps
    and phases, which begin with their times on the plan's clock.
    """

    name: str
    summary: str
    progress: Progress
    phases: tuple[PlannedPhase, ...]
    interval: ConeInterval | None
    holds: tuple[HoldWorth, ...]
    hurries: tuple[Line, ...]
    dawdles: tuple[Line, ...]
    cautions: tuple[Line, ...]
    wanted: WantedHold | None
    sections: tuple[Section, ...]


def explain(
    schedule: Schedule,
    timeline: Timeline,
    words: Words,
    *,
    limit_c: float | None = None,
    hold_for_cone: str | None = None,
) -> Explanation:
    """Everything there is to say of ``schedule``, in the reader's scale.

    ``limit_c`` is what the kiln's maker allows, in °C; ``hold_for_cone`` a known cone whose
    hold is asked for.
    """
    progress = heatwork_of(timeline)
    phases = tuple(phases_of(schedule, timeline))
    holds = tuple(hold_worth(schedule, timeline, progress))
    hurries = (
        *(_hurry(stretch, schedule, words) for stretch in hurries_of(schedule, timeline)),
        *(_late(step, below_c, words) for step, below_c in late_coolings_of(timeline)),
    )
    dawdles = tuple(_dawdle(s, schedule, words) for s in dawdles_of(schedule, timeline))
    cautions = tuple(cautions_for(schedule, timeline, words, limit_c))
    wanted = None
    if hold_for_cone is not None:
        wanted = WantedHold(
            hold_for_cone,
            whole_hold_for(hold_for_cone, schedule, timeline),
            None if limit_c is None or schedule.peak_c <= limit_c else limit_c,
        )
    heat = [cones_said(progress, schedule, timeline)]
    interval = interval_of(timeline, Wire())
    if interval is not None:
        heat.append(how_sure(interval, words))
    heat += [worth_said(hold, words) for hold in holds]
    rule = one_cone_low_of(schedule, timeline)
    if rule is not None and holds and (limit_c is None or rule.temp_c <= limit_c):
        heat.append(rule_said(rule, words))
    if wanted is not None:
        heat.append(wanted_said(wanted, schedule, words))
    sections: list[Section] = [
        ("The plan", (*_steps(timeline, words), *_length(schedule, timeline, words))),
        ("Heat-work", tuple(heat)),
        ("What the ware goes through", _phases(schedule, timeline, phases, words)),
        ("Pace", (*_end_of_climb(schedule, timeline, words), *hurries, *dawdles)),
        ("When the plan is over", _afterwards(schedule, timeline, words)),
        ("Safety", _safety(schedule)),
        (CAUTIONS, cautions),
    ]
    return Explanation(
        name=schedule.name,
        summary=_summary(schedule),
        progress=progress,
        phases=phases,
        interval=interval,
        holds=holds,
        hurries=hurries,
        dawdles=dawdles,
        cautions=cautions,
        wanted=wanted,
        sections=tuple(section for section in sections if section[1]),
    )


def _span(start_s: float, end_s: float) -> str:
    return f"{show_clock(start_s)} to {show_clock(end_s)}"


def _summary(schedule: Schedule) -> str:
    target = f", for cone {schedule.target_cone}" if schedule.target_cone else ""
    if schedule.kind is FiringKind.OTHER:
        return f"A firing in {schedule.atmosphere.value}{target}."
    return f"{schedule.kind.value.capitalize()} firing in {schedule.atmosphere.value}{target}."


def _steps(timeline: Timeline, words: Words) -> list[Line]:
    said = []
    for step in timeline.steps:
        noted = step.note.strip().rstrip(".")
        note = f" ({noted})" if noted else ""
        if step.reach_s > step.start_s:
            saying, move = _move(step, words)
            said.append(
                Line(
                    saying,
                    f"{_span(step.start_s, step.reach_s)}  {move}{note}",
                    start_s=step.start_s,
                    end_s=step.reach_s,
                    rate_c_per_h=step.rate_c_per_h,
                    temp_c=step.to_c,
                    note=noted,
                )
            )
            note = noted = ""
        if step.hold_s > 0.0:
            hold = f"hold {show_duration(step.hold_s)} at {words.temp(step.to_c)}"
            said.append(
                Line(
                    PlanSaying.HOLD,
                    f"{_span(step.reach_s, step.end_s)}  {hold}{note}",
                    start_s=step.reach_s,
                    end_s=step.end_s,
                    hold_s=step.hold_s,
                    temp_c=step.to_c,
                    note=noted,
                )
            )
    return said


def _move(step: PlannedStep, words: Words) -> tuple[PlanSaying, str]:
    verb = "cool" if step.cools else "climb"
    rate_c_per_h = step.rate_c_per_h
    if rate_c_per_h is not None:
        how = f"{verb} {words.rate(rate_c_per_h)}"
        saying = PlanSaying.COOL if step.cools else PlanSaying.CLIMB
    else:
        how = "climb at full power" if step.climbs else "cool by itself"
        saying = PlanSaying.FULL_POWER if step.climbs else PlanSaying.COOL_BY_ITSELF
    return saying, f"{how} to {words.temp(step.to_c)}"


def _length(schedule: Schedule, timeline: Timeline, words: Words) -> list[Line]:
    took = show_duration(timeline.total_s)
    peak = words.temp(schedule.peak_c)
    text = f"It takes {took} from {words.temp(timeline.start_c)}; the peak is {peak}."
    said = [
        Line(
            PlanSaying.LENGTH,
            text,
            took_s=timeline.total_s,
            start_c=timeline.start_c,
            peak_c=schedule.peak_c,
        )
    ]
    if any(step.rate_c_per_h is None for step in schedule.steps):
        text = (
            f"Steps without a rate are estimated: {words.rate(NATURAL_CLIMB_C_PER_H)} up, and "
            f"cooling with a time constant of {NATURAL_COOLING_S / 3600.0:.0f} h."
        )
        figures = {"rate_c_per_h": NATURAL_CLIMB_C_PER_H, "constant_s": NATURAL_COOLING_S}
        said.append(Line(PlanSaying.ESTIMATED, text, **figures))
    return said


def _is_steady(phase: PlannedPhase, timeline: Timeline) -> bool:
    step = timeline.step_at(phase.start_s)
    return step.rate_c_per_h is not None and phase.end_s <= step.reach_s + 1.0


def _phases(
    schedule: Schedule, timeline: Timeline, phases: tuple[PlannedPhase, ...], words: Words
) -> tuple[Line, ...]:
    said = []
    for phase in phases:
        band = phase.band
        pace = ""
        if band.way is not Way.HOLDING:
            pace = f" at {words.rate(phase.rate_c_per_h)}"
            if not _is_steady(phase, timeline):
                pace += " on average"
            if band.fastest_c_per_h is not None:
                pace += f" (up to {words.rate(band.fastest_c_per_h)} is advisable)"
        text = (
            f"{_span(phase.start_s, phase.end_s)}  {band.name}, {band.limits(words)}{pace}: "
            f"{band.reason(words)}."
        )
        said.append(
            Line(
                PlanSaying.PHASE,
                text,
                **of_band(band),
                start_s=phase.start_s,
                end_s=phase.end_s,
                rate_c_per_h=phase.rate_c_per_h,
                is_steady=_is_steady(phase, timeline),
                fastest_c_per_h=band.fastest_c_per_h,
            )
        )
    if schedule.kind is FiringKind.OTHER:
        text = (
            'The schedule does not say what is fired (kind = "bisque" or "glaze"), so no rate is '
            "looked after."
        )
        said.append(Line(PlanSaying.KIND_UNSAID, text))
    return tuple(said)


def _end_of_climb(schedule: Schedule, timeline: Timeline, words: Words) -> list[Line]:
    last = last_stretch(schedule, timeline)
    if last is None:
        return []
    width, took = words.difference(last.to_c - last.from_c), show_duration(last.spent_s)
    assumed = is_assumed(last, schedule, timeline)
    rate = words.rate(last.rate_c_per_h) + (ASSUMED if assumed else "")
    line = Line(
        PlanSaying.LAST_STRETCH,
        f"The last {width} to the peak take {took}, {rate}.",
        width_c=last.to_c - last.from_c,
        took_s=last.spent_s,
        rate_c_per_h=last.rate_c_per_h,
        is_assumed=assumed,
    )
    return [line]


def _hurry(stretch: Stretch, schedule: Schedule, words: Words) -> Line:
    where = f"between {words.temp(stretch.from_c)} and {words.temp(stretch.to_c)}"
    if stretch.rate_c_per_h > HARD_C_PER_H:
        hurts = "hard"
        what = "few studio kilns can follow, and top and bottom drift apart"
    elif schedule.kind is FiringKind.GLAZE:
        hurts = "glaze"
        what = "top and bottom drift apart, and the glaze has little time to heal"
    else:
        hurts = "apart"
        what = "top and bottom drift apart"
    return Line(
        PlanSaying.HURRY,
        f"It hurries {where} at {words.rate(stretch.rate_c_per_h)}: {what}.",
        from_c=stretch.from_c,
        to_c=stretch.to_c,
        rate_c_per_h=stretch.rate_c_per_h,
        hurts=hurts,
    )


def _late(step: PlannedStep, below_c: float, words: Words) -> Line:
    rate = words.rate(step.rate_c_per_h or 0.0)
    text = (
        f"It asks for {rate} down to {words.temp(step.to_c)}, but below about "
        f"{words.temp(below_c)} a shut brick kiln cools slower than that: it will be late there, "
        f"and that is no fault."
    )
    return Line(
        PlanSaying.LATE,
        text,
        rate_c_per_h=step.rate_c_per_h or 0.0,
        to_c=step.to_c,
        below_c=round(below_c, 1),
    )


def _dawdle(stretch: Stretch, schedule: Schedule, words: Words) -> Line:
    easy_c_per_h = (stretch.to_c - stretch.from_c) / (stretch.could_s or stretch.spent_s) * 3600.0
    said = (
        f"It spends {show_duration(stretch.spent_s)} between {words.temp(stretch.from_c)} and "
        f"{words.temp(stretch.to_c)}, where nothing needs it; at {words.rate(easy_c_per_h)} it "
        f"would take {show_duration(stretch.could_s or stretch.spent_s)}"
    )
    is_raw = _is_raw(schedule)
    return Line(
        PlanSaying.DAWDLE,
        f"{said} (very thick ware may be a reason)." if is_raw else f"{said}.",
        spent_s=stretch.spent_s,
        from_c=stretch.from_c,
        to_c=stretch.to_c,
        rate_c_per_h=easy_c_per_h,
        could_s=stretch.could_s or stretch.spent_s,
        is_raw=is_raw,
    )


def _is_raw(schedule: Schedule) -> bool:
    return schedule.kind is FiringKind.BISQUE


def _afterwards(schedule: Schedule, timeline: Timeline, words: Words) -> tuple[Line, ...]:
    last = timeline.steps[-1]
    if last.to_c <= DEFAULT_START_C:
        return ()
    opening = Line(PlanSaying.OPENING, _OPENING)
    if last.to_c <= HAND_WARM_C + _NEARLY_C:
        return (opening,)
    ends = "It ends" if last.cools else "The plan has no cooling: it ends"
    said = f"{ends} at {words.temp(last.to_c)}, and the kiln cools by itself, shut: a brick kiln"
    quartz_c: float | None = None
    quartz_h: int | None = None
    quartz = next((b for b in bands_of(schedule) if b.name == BandName.QUARTZ_TURNS_BACK), None)
    if quartz is not None and last.to_c > quartz.from_c + HAND_WARM_C:
        quartz_c, quartz_h = quartz.from_c, _hours_to_cool(last.to_c, quartz.from_c)
        hours = _hours(quartz_h)
        said += (
            f" comes to {words.temp(quartz.from_c)}, where quartz turns back,"
            f" about {hours} later, and"
        )
    warm_h = _hours_to_cool(last.to_c, HAND_WARM_C)
    said += f" is below {words.temp(HAND_WARM_C)} about {_hours(warm_h)} later."
    line = Line(
        PlanSaying.ENDS,
        said,
        is_cooled=last.cools,
        end_c=last.to_c,
        quartz_c=quartz_c,
        quartz_h=quartz_h,
        warm_c=HAND_WARM_C,
        warm_h=warm_h,
    )
    return line, opening


def _hours_to_cool(from_c: float, to_c: float) -> int:
    return max(1, round(natural_cooling_s(from_c, to_c, DEFAULT_START_C) / 3600.0))


def _hours(hours: int) -> str:
    return "1 hour" if hours == 1 else f"{hours} hours"


def _safety(schedule: Schedule) -> tuple[Line, ...]:
    return (
        (Line(PlanSaying.MONOXIDE, _MONOXIDE),)
        if schedule.atmosphere is Atmosphere.REDUCTION
        else ()
    )
