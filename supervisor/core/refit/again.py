"""A firing's plan made again: what it is called, and what is said at its head."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from dataclasses import replace

from supervisor.core.heatwork.cones import CONES
from supervisor.core.refit.course import Course, LeftOut, course_of
from supervisor.core.refit.plan import About, Refit, refit
from supervisor.core.review import FiringFacts, Trace
from supervisor.core.review.cones import name_of_place, place_of_cone
from supervisor.core.schedule.model import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words, show_clock, show_duration

_AS_GOOD_AS = 0.05
"""So near a cone that it is called reached."""
ON_ITS_CONE = 0.15
"""So many cones from its target a firing was what its plan wanted: common practice, no source."""
_NAMED_APART_C = 2.0


def again(
    name: str,
    facts: FiringFacts,
    trace: Trace,
    schedule: Schedule | None,
    unit: Unit,
    within_c: float | None = None,
) -> tuple[Course, Refit] | None:
    """What can be repeated of the firing ``name``, and the plan that does; None for a cold kiln.

    ``schedule`` is the plan that was fired, ``within_c`` as in ``refit``.
    """
    course = course_of(trace, facts)
    if course is None:
        return None
    offset_c = facts.cones[0].offset_c if facts.cones else 0.0
    head = about(name, facts, schedule, unit)
    fitted = refit(course, head, within_c=within_c, offset_c=offset_c, notes=notes_of(facts))
    return course, fitted


def about(name: str, facts: FiringFacts, schedule: Schedule | None, unit: Unit) -> About:
    """The plan's head: what was fired, and the cone that it reached."""
    place, by = reached(facts)
    cone = "" if place is None else f", cone {name_of_place(place)}{by}"
    title = f"As firing {name}{cone}"
    target = None if place is None else cone_reached(place)
    if schedule is None:
        return About(title, unit, target_cone=target)
    meant = schedule.target_cone
    if place is not None and meant is not None and abs(place - place_of_cone(meant)) < ON_ITS_CONE:
        # It was on its cone, and so is the firing that repeats it.
        target = meant
    return About(
        title, unit, schedule.kind, schedule.atmosphere, target_cone=target, bands=schedule.bands
    )


def named(fitted: Refit, head: About) -> Refit:
    """The plan with another name and cone at its head: what notes and looks at cones change."""
    schedule = replace(fitted.schedule, name=head.name, target_cone=head.target_cone)
    return replace(fitted, schedule=schedule)


def reached(facts: FiringFacts) -> tuple[float | None, str]:
    """The heat-work that a firing reached, and by what that is said: real cones go first."""
    seen = _seen_place(facts)
    if seen is not None:
        return seen, " by the real cones"
    lead = facts.lead_cones
    return (None, "") if lead is None else (lead.place, " by calculation")


def seen_cone(facts: FiringFacts) -> str | None:
    """What the real cones make of the firing, as "5.4"; None where they leave it open."""
    place = _seen_place(facts)
    return None if place is None else name_of_place(place)


def _seen_place(facts: FiringFacts) -> float | None:
    for cones in facts.cones:
        low, high = cones.seen_place_low, cones.seen_place_high
        if low is not None and high is not None:
            return (low + high) / 2.0
    return None


def cone_reached(place: float) -> str | None:
    """The hardest cone, halves among them, that is down at ``place``.

    >>> cone_reached(27.0), cone_reached(26.97), cone_reached(26.6), cone_reached(-0.5)
    ('6', '6', '5.5', None)
    """
    down = [name for name in CONES if place_of_cone(name) <= place + _AS_GOOD_AS]
    return max(down, key=place_of_cone, default=None)


def notes_of(facts: FiringFacts) -> list[tuple[float, str]]:
    """The notes of the plan that was fired, with when their steps ended."""
    return [
        (step.actual.end_s, step.note)
        for step in facts.steps
        if step.note and step.actual is not None
    ]


def comments(
    name: str, facts: FiringFacts, course: Course, fitted: Refit, words: Words
) -> Iterator[str]:
    """What stands at the head of the file, a line each."""
    cones = facts.lead_cones
    lead = facts.channels[0] if cones is None else cones.channel
    yield f"Made from firing {name}, as its thermocouple {lead} saw it."
    yield from checked(fitted, words)
    for one in fitted.left_out:
        yield left_out(one, words, course.up.at_s[0])
    apart_c = _apart_c(facts)
    if apart_c is not None and abs(apart_c) >= _NAMED_APART_C:
        how = "below" if apart_c < 0.0 else "above"
        yield (
            f"It read {words.difference(abs(apart_c))} {how} the tops of the plan that was fired: "
            f"a controller with a thermocouple of its own wants its own figures."
        )
    if course.down:
        yield "Where it was let go on the way down there is no rate: as fast as the kiln cools."
    else:
        yield "It cooled by itself, which needs no step."
    yield "The kiln maker's limits come first, and the witness cones decide."


def checked(fitted: Refit, words: Words) -> Iterator[str]:
    """How well the plan repeats the firing, a sentence each."""
    at = show_clock(fitted.off_at_s)
    yield (
        f"Up to the end of its peak it follows the record within {words.difference(fitted.off_c)} "
        f"(farthest off at {at} h)."
    )
    if fitted.swing_c > fitted.within_c:
        yield f"It passes over dips and swings of up to {words.difference(fitted.swing_c)}."
    apart = fitted.cones_apart
    if apart is None or fitted.fired_place is None or fitted.place is None:
        yield "The firing brought no cone down, so there is no heat-work to compare."
        return
    agrees = "within" if fitted.agrees else "NOT within"
    yield (
        f"Heat-work up to there: firing cone {name_of_place(fitted.fired_place)}, plan cone "
        f"{name_of_place(fitted.place)}; {abs(apart):.2f} of a cone apart, {agrees} a tenth."
    )


def left_out(one: LeftOut, words: Words, begun_s: float) -> str:
    """What the plan does not repeat, as a sentence."""
    since = show_clock(max(one.from_s - begun_s, 0.0))
    return (
        f"Left out: {one.what} at {words.temp(one.temp_c)}, {since} h after the beginning, for "
        f"{show_duration(one.lasted_s)}."
    )


def _apart_c(facts: FiringFacts) -> float | None:
    """How much more our thermocouple read than the plan's tops, None where nothing tells."""
    offs = [step.top_off_c for step in facts.steps if step.top_off_c is not None]
    return statistics.median(offs) if len(offs) > 1 else None
