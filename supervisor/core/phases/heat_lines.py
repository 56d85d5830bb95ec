"""What is said of a plan's heat-work: its cones, how sure they are, what holds are worth."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.events import Value
from supervisor.core.heatwork import Progress
from supervisor.core.heatwork.hold import OneConeLow
from supervisor.core.heatwork.interval import ConeInterval
from supervisor.core.phases.line import Line, PlanSaying
from supervisor.core.phases.worth import HoldWorth, cooling_counts
from supervisor.core.schedule.model import Schedule
from supervisor.core.schedule.timeline import Timeline
from supervisor.core.watch.wording import (
    WITNESS,
    Words,
    percent_of,
    show_clock,
    show_duration,
    show_share,
)

_LEAST_CONES = 0.1


@dataclass(frozen=True, slots=True)
class WantedHold:
    """The answer to "how long must the peak be held for this cone?"; None: over 48 h.

    Whole minutes, never too few. ``limit_c`` is the kiln's limit where the peak is above it.
    """

    cone: str
    hold_min: int | None
    limit_c: float | None = None


def cones_said(progress: Progress, schedule: Schedule, timeline: Timeline) -> Line:
    """Which cone goes down and when, and how far the next comes."""
    if progress.cone is None:
        return Line(PlanSaying.NO_CONE, f"By calculation no cone goes down; {WITNESS}.")
    down_s = progress.down_at_s[progress.cone]
    cooling = cooling_counts(schedule, timeline)
    when = "planned"
    said = f"By calculation cone {progress.cone} goes down at {show_clock(down_s)}"
    if down_s > timeline.total_s:
        said += ", after the plan's end, in the first of the kiln's own cooling"
        cooling, when = False, "after"
    elif down_s > timeline.steps[schedule.peak_step].end_s:
        said, when = f"{said}, while it cools", "cooling"
    if progress.next_cone is not None:
        share = show_share(progress.toward_next)
        said += f", and cone {progress.next_cone} gets {share} of what it needs"
        said += ", with the first of the kiln's own cooling" if cooling else ""
    return Line(
        PlanSaying.CONE_DOWN,
        f"{said}; {WITNESS}.",
        cone=progress.cone,
        at_s=down_s,
        when=when,
        next_cone=progress.next_cone,
        percent=percent_of(progress.toward_next),
        with_cooling=cooling,
    )


def how_sure(interval: ConeInterval, words: Words) -> Line:
    """Between which cones four firings of five end."""
    coolest = "none" if interval.coolest is None else interval.coolest
    between = (
        f"it is cone {coolest} all the same"
        if interval.coolest == interval.hottest
        else f"it is cone {coolest} to {interval.hottest}"
    )
    text = (
        f"In four firings of five {between}: a controller's thermocouple of standard type K, its "
        f"place, the cones and the calculation itself may together be "
        f"{words.difference(interval.off_c)} off."
    )
    return Line(
        PlanSaying.HOW_SURE,
        text,
        coolest=interval.coolest,
        hottest=interval.hottest,
        off_c=round(interval.off_c, 1),
    )


def rule_said(found: OneConeLow, words: Words) -> Line:
    """How far the rule of one cone low and 25 minutes is true of this plan's last climb."""
    share = f"{found.share * 100.0:.0f}%"
    needs = "" if found.hold_s is None else f", and {show_duration(found.hold_s)} bring it down"
    text = (
        f"A rule of the trade says: fire one cone low and hold 25 minutes. After a climb of "
        f"{words.rate(found.rate_c_per_h)}, a hold as cone {found.low} goes down, at "
        f"{words.temp(found.temp_c)}, gives cone {found.cone} {share} of its heat-work in 25 "
        f"minutes{needs}."
    )
    return Line(
        PlanSaying.ONE_CONE_LOW,
        text,
        rate_c_per_h=found.rate_c_per_h,
        low=found.low,
        temp_c=round(found.temp_c, 1),
        cone=found.cone,
        percent=round(found.share * 100.0),
        needs_s=found.hold_s,
    )


def worth_said(hold: HoldWorth, words: Words) -> Line:
    """What a hold gives the cone that it is for."""
    share = "all" if hold.share >= 1.0 else show_share(hold.share)
    worth = "gives"
    if hold.cones is not None and hold.cones >= _LEAST_CONES:
        cones = f"{hold.cones:.1f}"
        count = f"{cones} cones" if hold.cones >= 1.05 else f"{cones} of a cone"
        worth = f"is worth {'1 cone' if cones == '1.0' else count}: it gives"
    text = (
        f"The hold of {show_duration(hold.hold_s)} at {words.temp(hold.to_c)} {worth} cone "
        f"{hold.cone} {share} of the heat-work that it needs."
    )
    is_worth = hold.cones is not None and hold.cones >= _LEAST_CONES
    return Line(
        PlanSaying.HOLD_WORTH,
        text,
        hold_s=hold.hold_s,
        temp_c=hold.to_c,
        cone=hold.cone,
        percent=percent_of(hold.share),
        cones=round(hold.cones, 1) if is_worth and hold.cones is not None else None,
    )


def wanted_said(wanted: WantedHold, schedule: Schedule, words: Words) -> Line:
    """How long the peak is to be held for the cone that was asked for."""
    where = f"at {words.temp(schedule.peak_c)}"
    figures: dict[str, Value] = {"cone": wanted.cone, "temp_c": schedule.peak_c}
    if wanted.limit_c is not None:
        text = (
            f"No hold {where} is proposed for cone {wanted.cone}: that is above the kiln's limit "
            f"of {words.temp(wanted.limit_c)}."
        )
        return Line(PlanSaying.HOLD_OVER_LIMIT, text, **figures, limit_c=wanted.limit_c)
    if wanted.hold_min is None:
        text = f"No hold of less than 48 h {where} brings cone {wanted.cone} down."
        return Line(PlanSaying.HOLD_TOO_LONG, text, **figures)
    if wanted.hold_min == 0:
        text = f"Cone {wanted.cone} goes down without any hold {where}."
        return Line(PlanSaying.HOLD_NEEDLESS, text, **figures)
    hold_s = wanted.hold_min * 60.0
    text = (
        f"A hold of {show_duration(hold_s)} {where}, in place of the plan's own, "
        f"brings cone {wanted.cone} down."
    )
    return Line(PlanSaying.HOLD_FOR, text, **figures, hold_s=hold_s)
