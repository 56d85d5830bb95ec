"""What the chart of a firing shows: lines, plan, phases, warnings, cones. Knows no geometry.

Times are seconds of the firing's own clock, temperatures °C.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.report.papers import Papers
from supervisor.core.report.people import event_name
from supervisor.core.report.ware import bands_crossed
from supervisor.core.review.trace import GAP_S, Trace
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words, show_clock

CONES_SHOWN = 3
"""So many of the calculated cones that went down last are marked, and the target."""
LOOKS_SHOWN = 4
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Track:
    """One line of the chart, in pieces where it could not be believed in between."""

    name: str
    pieces: tuple[Points, ...]
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """Something that lasted, named; ``mark`` stands for it where there is no room for more."""

    name: str
    from_s: float
    to_s: float
    mark: str = ""


@dataclass(frozen=True, slots=True)
class ConeMark:
    """A cone at a time: calculated to be down, or seen."""

    name: str
    at_s: float
    temp_c: float
    is_seen: bool = False
    is_target: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """A firing's chart. ``cones`` are in order of time.

    ``events_left_out`` is how many more warnings the list has than ``events``.
    """

    title: str
    description: str
    unit: Unit
    from_s: float
    to_s: float
    tracks: tuple[Track, ...]
    plan: Points
    blind: tuple[tuple[float, float], ...]
    phases: tuple[Bar, ...]
    events: tuple[Bar, ...]
    cones: tuple[ConeMark, ...]
    peak: tuple[float, float, str] | None
    events_left_out: int = 0


def chart_of(papers: Papers) -> Chart:
    """The chart of a firing."""
    facts, trace, words = papers.facts, papers.trace, Words(papers.unit)
    peak = facts.peak
    end_s = trace.at_s[-1] if len(trace) else facts.last_s
    cones = _cones(papers)
    said = []
    if peak is not None:
        said.append(
            f"Temperature against hours: the peak is {words.temp(peak.temp_c)} after "
            f"{show_clock(peak.at_s)} h."
        )
    if cones:
        said.append(f"Marked: {'; '.join(mark.name for mark in cones)}.")
    return Chart(
        title=papers.name or papers.firing,
        description=" ".join(said),
        unit=papers.unit,
        from_s=facts.first_s,
        to_s=max(end_s, facts.first_s + 60.0),
        tracks=_tracks(trace),
        plan=_plan(papers, end_s),
        blind=tuple((gap.from_s, gap.to_s) for gap in facts.gaps),
        phases=tuple(
            Bar(band.name, band.passage.entered_s, band.passage.left_s)
            for band in bands_crossed(facts)
            if band.passage.entered_s is not None and band.passage.left_s is not None
        ),
        events=tuple(
            Bar(
                f"{number} {event_name(trouble)}",
                trouble.began_s,
                facts.last_s if trouble.ended_s is None else trouble.ended_s,
                mark=str(number),
            )
            for number, trouble in enumerate(facts.troubles, start=1)
        ),
        cones=cones,
        peak=None if peak is None else (peak.at_s, peak.temp_c, f"peak {words.temp(peak.temp_c)}"),
    )


def _tracks(trace: Trace) -> tuple[Track, ...]:
    if len(trace.channels) == 1:
        return (Track(trace.channels[0], _pieces(trace.at_s, trace.kiln_c), leads=True),)
    found = []
    for place, name in enumerate(trace.channels):
        pieces = _pieces(trace.at_s, trace.channels_c[name])
        if pieces:
            found.append(Track(name, pieces, leads=place == 0))
    return tuple(found)


def _pieces(at_s: Sequence[float], temps_c: Sequence[float | None]) -> tuple[Points, ...]:
    """A line is broken where there is no value, and where nobody looked for long."""
    found: list[Points] = []
    piece: list[tuple[float, float]] = []
    for when_s, temp_c in zip(at_s, temps_c, strict=True):
        if piece and (temp_c is None or when_s - piece[-1][0] > GAP_S):
            found.append(tuple(piece))
            piece = []
        if temp_c is not None:
            piece.append((when_s, temp_c))
    if piece:
        found.append(tuple(piece))
    return tuple(one for one in found if len(one) > 1)


def _plan(papers: Papers, end_s: float) -> Points:
    plan, timeline = papers.facts.plan, papers.timeline
    if plan is None or timeline is None or plan.begun_s is None:
        return ()
    begun_s = plan.begun_s
    points = [(begun_s + at_s, temp_c) for at_s, temp_c in timeline.points(300.0)]
    kept = [(at_s, temp_c) for at_s, temp_c in points if at_s < end_s]
    if len(kept) < len(points) and kept:
        kept.append((end_s, timeline.at(end_s - begun_s)))
    return tuple(kept)


def _cones(papers: Papers) -> tuple[ConeMark, ...]:
    facts, trace = papers.facts, papers.trace
    lead = facts.lead_cones
    if lead is None or not len(trace) or not facts.is_whole:
        return ()
    target = None if facts.plan is None else facts.plan.target_cone
    downs = sorted(lead.down_at_s.items(), key=lambda item: item[1])
    found = [
        ConeMark(
            f"cone {cone} calculated {show_clock(at_s)}",
            at_s,
            trace.temp_at(at_s),
            is_target=cone == target,
        )
        for place, (cone, at_s) in enumerate(downs)
        if place >= len(downs) - CONES_SHOWN or cone == target
    ]
    found += [
        ConeMark(
            f"cone {look.cone} seen {_seen(look.seen_clock)}",
            look.elapsed_s,
            trace.temp_at(look.elapsed_s),
            is_seen=True,
        )
        for look in [one for one in facts.looks if one.counts][-LOOKS_SHOWN:]
    ]
    return tuple(sorted(found, key=lambda mark: mark.at_s))


def _seen(clock: str) -> str:
    """A bare "3:30" could be taken for a time."""
    return f"with its hand at {clock}" if clock[:1].isdigit() else clock
