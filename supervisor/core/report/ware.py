"""What the ware went through: the time in each phase, how fast, and what was allowed."""

from __future__ import annotations

from collections.abc import Iterator

from supervisor.core.report.blocks import Block, Column, Lines, Section, Table
from supervisor.core.report.cells import degrees, minutes, rate
from supervisor.core.report.names import ADVISABLE, WARE
from supervisor.core.report.papers import Papers
from supervisor.core.review import BandFacts, CoolingFacts, FiringFacts, Passage
from supervisor.core.schedule.model import Way
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words, show_clock, show_duration

_SEEN_WHOLE = 0.98
_FAR_C = 40.0
"""Farther below the planned peak than thermocouples differ (common practice, no source)."""


def ware_section(papers: Papers) -> Section | None:
    """Each band that the kiln crossed."""
    unit = papers.unit
    bands = bands_crossed(papers.facts)
    if not bands:
        return None
    table = Table(
        (
            Column("phase"),
            Column(f"°{unit.value}"),
            Column("time", is_figure=True),
            Column(f"mean °{unit.value}/h", is_figure=True),
            Column("fastest", is_figure=True),
            Column(ADVISABLE, is_figure=True),
            Column("judged"),
        ),
        tuple(_band(band, unit) for band in bands),
    )
    blocks: list[Block] = [table]
    if any(band.passage.part < _SEEN_WHOLE for band in bands):
        blocks.append(Lines(("* The kiln went through a part of this range only.",), True))
    return Section("ware", WARE, tuple(blocks))


def guarded_section(papers: Papers) -> Section | None:
    """The bands that a hurry hurts, briefly."""
    unit = papers.unit
    bands = [band for band in bands_crossed(papers.facts) if band.allowed_c_per_h is not None]
    if not bands:
        return None
    table = Table(
        (
            Column("phase"),
            Column(f"°{unit.value}"),
            Column("fastest", is_figure=True),
            Column(ADVISABLE, is_figure=True),
            Column("judged"),
        ),
        tuple(
            (
                band.name,
                span(band.passage, unit),
                rate(band.passage.fastest_c_per_h, unit),
                rate(band.allowed_c_per_h, unit),
                judged(band.too_fast),
            )
            for band in bands
        ),
    )
    return Section("ware", f"Where a hurry hurts the ware, °{unit.value} an hour", (table,))


def bands_crossed(facts: FiringFacts) -> list[BandFacts]:
    """The bands that the kiln went through; a stand far below the planned peak levels no glaze."""
    is_near = (
        facts.peak is not None
        and facts.plan is not None
        and facts.peak.level_c > facts.plan.peak_c - _FAR_C
    )
    return [
        band
        for band in facts.bands
        if band.passage.time_s is not None and (band.way is not Way.HOLDING or is_near)
    ]


def _band(band: BandFacts, unit: Unit) -> tuple[str, ...]:
    seen = band.passage
    where = degrees(seen.to_c, unit) if band.way is Way.HOLDING else span(seen, unit)
    mark = "" if seen.part >= _SEEN_WHOLE else " *"
    is_held = band.way is Way.HOLDING
    return (
        band.name + mark,
        where,
        minutes(seen.time_s),
        "" if is_held else rate(seen.mean_c_per_h, unit),
        "" if is_held else rate(seen.fastest_c_per_h, unit),
        "" if band.allowed_c_per_h is None else rate(band.allowed_c_per_h, unit),
        judged(band.too_fast),
    )


def judged(too_fast: float | None) -> str:
    """The rule's verdict.

    >>> judged(None), judged(0.9), judged(1.3), judged(2.6)
    ('', 'fine', '30% too fast', '2.6 times too fast')
    """
    if too_fast is None:
        return ""
    if too_fast <= 1.0:
        return "fine"
    if too_fast < 2.0:
        return f"{max((too_fast - 1.0) * 100.0, 1.0):.0f}% too fast"
    return f"{too_fast:.1f} times too fast"


def cooling_section(papers: Papers) -> Section | None:
    """The ranges that matter on the way down, holds there, and whether it was opened."""
    cooling, unit = papers.facts.cooling, papers.unit
    if cooling is None:
        return None
    rows = [
        (
            name,
            span(seen, unit),
            minutes(seen.time_s),
            rate(seen.mean_c_per_h, unit),
            rate(seen.fastest_c_per_h, unit),
        )
        for name, seen in ranges_of(cooling)
        if seen.time_s is not None
    ]
    blocks: list[Block] = []
    if rows:
        blocks.append(
            Table(
                (
                    Column("range"),
                    Column(f"°{unit.value}"),
                    Column("time", is_figure=True),
                    Column(f"mean °{unit.value}/h", is_figure=True),
                    Column("fastest", is_figure=True),
                ),
                tuple(rows),
            )
        )
    blocks.append(Lines(tuple(_cooled(cooling, Words(unit)))))
    return Section("cooling", "How it cooled", tuple(blocks))


def span(seen: Passage, unit: Unit) -> str:
    """A range of temperatures, without its unit."""
    return f"{degrees(seen.from_c, unit)}–{degrees(seen.to_c, unit)}"


def ranges_of(cooling: CoolingFacts) -> list[tuple[str, Passage]]:
    """The ranges that the kiln went through, by their names."""
    named = (
        ("crystals grow", cooling.crystals),
        ("glaze sets", cooling.glaze_sets),
        ("quartz turns back", cooling.quartz),
        ("cristobalite turns back", cooling.cristobalite),
    )
    return [(name, seen) for name, seen in named if seen is not None]


def _cooled(cooling: CoolingFacts, words: Words) -> Iterator[str]:
    for hold in cooling.dwells:
        yield (f"Held at {words.temp(hold.to_c)} for {show_duration(hold.hold_s)} on the way down.")
    opened = cooling.opened
    if opened is not None:
        shut = (
            ""
            if opened.shut_c_per_h is None
            else f"; shut it would have been {words.rate(opened.shut_c_per_h)}"
        )
        yield (
            f"After {show_clock(opened.at_s)} h, at {words.temp(opened.temp_c)}, it began to fall "
            f"as no shut kiln does: {words.rate(opened.rate_c_per_h)}{shut}."
        )
    if cooling.shut_constant_s is not None:
        yield (
            f"Shut, it lost 63% of its heat in {show_duration(cooling.shut_constant_s)} "
            f"(about {words.temp(573.0)})."
        )
    yield f"The log ends at {words.temp(cooling.end_c)}."


def reduction_section(papers: Papers) -> Section | None:
    """When it was reduced, by plan and by what was written."""
    seen, words = papers.facts.reduction, Words(papers.unit)
    if seen is None:
        return None
    lines = []
    if seen.planned_from_s is not None and seen.planned_to_s is not None:
        lines.append(
            f"By the plan from {show_clock(seen.planned_from_s)} to "
            f"{show_clock(seen.planned_to_s)} h."
        )
    for word, at_s, temp_c, said in (
        ("begun", seen.begun_s, seen.begun_c, seen.begun_said),
        ("ended", seen.ended_s, seen.ended_c, seen.ended_said),
    ):
        if at_s is not None:
            at = "" if temp_c is None else f" at {words.temp(temp_c)}"
            lines.append(f"Noted as {word} after {show_clock(at_s)} h{at}: “{said}”")
    if not lines:
        lines.append("Planned; nobody noted when it began.")
    lines.append("No thermocouple can tell it: this is what was planned and written.")
    return Section("reduction", "Reduction", (Lines(tuple(lines)),))


def energy_section(papers: Papers) -> Section | None:
    """What somebody noted of the energy."""
    energy = papers.facts.energy
    if energy is None:
        return None
    line = f"{energy.kwh:,.1f} kWh, as noted: “{energy.said}”"
    return Section("energy", "Energy", (Lines((line,)),))
