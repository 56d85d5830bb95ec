"""The plan beside the firing: steps, rates, holds; and how hot it was, for how long, how even."""

from __future__ import annotations

from collections.abc import Iterator

from supervisor.core.report.blocks import Block, Column, Lines, Section, Table
from supervisor.core.report.cells import UNKNOWN, degrees, late, minutes, off, rate
from supervisor.core.report.names import STEPS
from supervisor.core.report.papers import Papers
from supervisor.core.review import FiringFacts, StepFacts
from supervisor.core.review.peak import BELOW_PEAK_C
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words, show_clock, show_duration

_NATURAL = "free"
_LEAST_CONES_APART = 0.05
"""What is less is told as none."""


def steps_section(papers: Papers) -> Section | None:
    """Each step planned and fired."""
    facts, unit = papers.facts, papers.unit
    if not facts.steps:
        return None
    degree = f"°{unit.value}"
    table = Table(
        (
            Column("step"),
            Column(f"to {degree}, plan", is_figure=True),
            Column("fired", is_figure=True),
            Column(f"{degree}/h, plan", is_figure=True),
            Column("fired", is_figure=True),
            Column("hold, plan", is_figure=True),
            Column("fired", is_figure=True),
            Column("late", is_figure=True),
        ),
        tuple(_step(step, unit) for step in facts.steps),
    )
    lines = ["Times are hours and minutes; “free” has no planned rate."]
    if any(step.actual is not None and not step.is_complete for step in facts.steps):
        lines.append("A step in brackets was broken off.")
    return Section("steps", STEPS, (table, Lines(tuple(lines), True)))


def _step(step: StepFacts, unit: Unit) -> tuple[str, ...]:
    planned, actual = step.planned, step.actual
    name = f"{step.number}" + (f" {step.note}" if step.note else "")
    wanted = _NATURAL if planned.rate_c_per_h is None else rate(planned.rate_c_per_h, unit)
    if actual is None:
        fired = (UNKNOWN, UNKNOWN, UNKNOWN)
    else:
        cells = (
            degrees(actual.to_c, unit),
            rate(actual.rate_c_per_h, unit),
            minutes(actual.hold_s) if actual.hold_s >= 30.0 or planned.hold_s else "",
        )
        fired = cells if step.is_complete else tuple(f"({c})" if c else c for c in cells)  # type: ignore[assignment]
    return (
        name,
        degrees(planned.to_c, unit),
        fired[0],
        wanted,
        fired[1],
        minutes(planned.hold_s) if planned.hold_s else "",
        fired[2],
        late(step.late_s),
    )


def heat_section(papers: Papers) -> Section | None:
    """Peak of each channel and the time above each temperature."""
    facts, unit, words = papers.facts, papers.unit, Words(papers.unit)
    peak = facts.peak
    if peak is None:
        return None
    lines = [
        f"Hottest after {show_clock(peak.at_s)} h with {words.temp(peak.temp_c)}"
        + (
            f"; it stood within 5 °C of {words.temp(peak.level_c)} for {show_duration(peak.hold_s)}"
            if unit is Unit.C
            else f"; it stood within 9 °F of {words.temp(peak.level_c)} for "
            f"{show_duration(peak.hold_s)}"
        )
        + "."
    ]
    if peak.rate_c_per_h is not None:
        lines.append(
            f"The last {words.difference(100.0)} below the peak were climbed at "
            f"{words.rate(peak.rate_c_per_h)}, the rate that cone charts go by."
        )
    if len(peak.channels_c) > 1:
        each = ", ".join(f"{name} {words.temp(c)}" for name, c in peak.channels_c.items())
        lines.append(f"Each at its hottest: {each}.")
    below_c = {round(peak.temp_c - c, 1): c for c in BELOW_PEAK_C}
    long = [one for one in facts.above if one.time_s > 0.0]
    above = [
        f"{words.temp(one.temp_c)} for {minutes(one.time_s)} h"
        for one in long
        if one.temp_c not in below_c
    ]
    within = [
        f"{words.difference(below_c[one.temp_c])} for {minutes(one.time_s)} h"
        for one in long
        if one.temp_c in below_c
    ]
    if above:
        lines.append(f"Hotter than {', than '.join(above)}.")
    if within:
        lines.append(f"Below its hottest by no more than {', '.join(within)}.")
    return Section("heat", "How hot, for how long", (Lines(tuple(lines)),))


def evenness_section(papers: Papers) -> Section | None:
    """How far the channels were apart."""
    facts, unit = papers.facts, papers.unit
    even = facts.evenness
    if even is None:
        return None
    blocks: list[Block] = [Lines(tuple(_even(facts, Words(unit))))]
    if even.at_peak_c:
        blocks.append(
            Table(
                (Column("channel"), Column(f"off the mean, °{unit.value}", True)),
                tuple((name, off(c, unit)) for name, c in even.at_peak_c.items()),
            )
        )
    return Section("evenness", "How even", tuple(blocks))


def _even(facts: FiringFacts, words: Words) -> Iterator[str]:
    even = facts.evenness
    assert even is not None  # noqa: S101 - asked for by the caller
    if even.peak_apart_c is not None:
        apart = words.difference(even.peak_apart_c)
        if apart == words.difference(0.0):
            yield "At the peak the channels read alike."
        else:
            yield f"At the peak the channels were {apart} apart."
    worst = even.worst
    yield (
        f"At the worst they were {words.difference(worst.apart_c)} apart: after "
        f"{show_clock(worst.at_s)} h, at {words.temp(worst.temp_c)}, {worst.hottest} the hottest, "
        f"{worst.coolest} the coolest. The mean from {words.temp(600.0)} on is "
        f"{words.difference(even.mean_c)}."
    )
    if even.cones_apart is not None and even.cones_apart < _LEAST_CONES_APART:
        yield "By calculation all had the same heat-work."
    elif even.cones_apart is not None and even.hottest is not None:
        yield (
            f"By calculation {even.hottest} had {even.cones_apart:.1f} cones more than "
            f"{even.coolest}."
        )
