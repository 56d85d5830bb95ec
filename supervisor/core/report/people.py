"""What spyhole told of and how it was handled, what people wrote, and when nobody saw the kiln."""

from __future__ import annotations

from collections.abc import Iterator

from supervisor.core.alerts.titles import title_of
from supervisor.core.events import Severity
from supervisor.core.report.blocks import Block, Column, Lines, Photos, Section, Table
from supervisor.core.report.cells import degrees, minutes
from supervisor.core.report.handled import alarm_of, handled, stood_s
from supervisor.core.report.names import ACCOUNTS, FOUND, NOTES, WARNED_OF, amount
from supervisor.core.report.papers import Papers
from supervisor.core.review import Trouble
from supervisor.core.watch.wording import Words, show_clock, show_duration


def events_section(papers: Papers) -> Section | None:
    """Each warning, numbered as on the chart."""
    facts = papers.facts
    if facts.plan is None and not facts.troubles:
        return None
    if not facts.troubles:
        return Section("events", WARNED_OF, (Lines(("Nothing.",)),))
    is_told = papers.alarms is not None
    columns = [Column("no.", True), Column("after", True)]
    has_clock = papers.clock(facts.first_s) is not None
    if has_clock:
        columns.append(Column("clock"))
    columns += [Column("what"), Column(f"at °{papers.unit.value}", True), Column("stood")]
    if is_told:
        columns.append(Column("what was done"))
    rows = [
        tuple(_event(papers, number, trouble, has_clock=has_clock))
        for number, trouble in enumerate(facts.troubles, start=1)
    ]
    blocks: list[Block] = [Table(tuple(columns), tuple(rows))]
    if not is_told:
        blocks.append(Lines(("From a recorded log: nobody was told at the time.",), True))
    return Section("events", WARNED_OF, tuple(blocks))


def words_section(papers: Papers) -> Section | None:
    """The watch's own sentence for each warning; only where it is in the reader's scale."""
    if not papers.facts.troubles or papers.messages_unit is not papers.unit:
        return None
    lines = tuple(
        f"{number}. {trouble.message}"
        for number, trouble in enumerate(papers.facts.troubles, start=1)
    )
    return Section("words", "Its words at the time", (Lines(lines),))


def event_name(trouble: Trouble) -> str:
    """What a trouble is called."""
    return title_of(trouble.kind, trouble.channel, trouble.data)


def _event(papers: Papers, number: int, trouble: Trouble, *, has_clock: bool) -> Iterator[str]:
    yield str(number)
    yield show_clock(trouble.began_s)
    if has_clock:
        yield papers.clock(trouble.began_s) or ""
    grave = "critical: " if trouble.severity is Severity.CRITICAL else ""
    yield grave + event_name(trouble)
    yield degrees(trouble.temp_c, papers.unit)
    stood = show_duration(stood_s(trouble, papers.facts.last_s))
    yield stood if trouble.ended_s is not None else f"{stood}, to the end"
    if papers.alarms is not None:
        yield handled(alarm_of(trouble, papers.alarms))


def notes_section(papers: Papers) -> Section | None:
    """What people wrote during the firing."""
    if not papers.notes:
        return None
    has_clock = papers.clock(papers.facts.first_s) is not None
    has_by = any(note.by for note in papers.notes)
    columns = [Column("after", True), *([Column("clock")] if has_clock else [])]
    columns += [*([Column("by")] if has_by else []), Column("note")]
    rows = []
    for note in sorted(papers.notes, key=lambda one: one.at_s):
        row = [show_clock(note.at_s), *([papers.clock(note.at_s) or ""] if has_clock else [])]
        row += [*([note.by or ""] if has_by else []), note.text]
        rows.append(tuple(row))
    return Section("notes", NOTES, (Table(tuple(columns), tuple(rows)),))


def accounts_section(papers: Papers) -> Section | None:
    """Load and result, as people tell them."""
    if not papers.accounts:
        return None
    lines = []
    for heading, text in papers.accounts:
        first, *further = [line for line in text.splitlines() if line.strip()] or [""]
        lines += [f"{heading}: {first}", *further]
    return Section("accounts", ACCOUNTS, (Lines(tuple(lines)),))


def findings_section(papers: Papers) -> Section | None:
    """What was ticked on unloading."""
    found = papers.findings
    if not found:
        return None
    # A column that says nothing of anything is left out.
    cells: list[tuple[Column, list[str]]] = [
        (Column("what"), [one.what for one in found]),
        (Column("where"), [one.where for one in found]),
    ]
    if any(one.level > 1 for one in found):
        cells.append((Column("how much"), [amount(one.level) for one in found]))
    cells.append((Column("note"), [one.text for one in found]))
    kept = [(column, texts) for column, texts in cells if any(texts)]
    rows = tuple(zip(*(texts for _, texts in kept), strict=True))
    return Section("findings", FOUND, (Table(tuple(c for c, _ in kept), rows),))


def photos_section(papers: Papers) -> Section | None:
    """The photos with what is written below them, and those that can't be shown by name."""
    if not papers.photos:
        return None
    shown = tuple(photo for photo in papers.photos if photo.data)
    lacking = tuple(
        f"Photo {number}{f' (“{photo.caption}”)' if photo.caption else ''}: {photo.lacks}."
        for number, photo in enumerate(papers.photos, start=1)
        if not photo.data
    )
    blocks: list[Block] = [Photos(shown)] if shown else []
    return Section("photos", "Photos", (*blocks, *([Lines(lacking, True)] if lacking else [])))


def blind_section(papers: Papers) -> Section | None:
    """When nobody saw the kiln."""
    gaps, words = papers.facts.gaps, Words(papers.unit)
    if not gaps:
        return None
    lines = tuple(
        f"From {show_clock(gap.from_s)} to {show_clock(gap.to_s)} h nobody saw the kiln "
        f"({show_duration(gap.to_s - gap.from_s)}): it went from {words.temp(gap.from_c)} to "
        f"{words.temp(gap.to_c)}, and what is between is taken for a straight line."
        for gap in gaps
    )
    return Section("blind", "Blind", (Lines(lines),))


def readings_section(papers: Papers) -> Section:
    """What all this was worked out from."""
    facts = papers.facts
    span_s = facts.last_s - facts.first_s
    lines = [f"Channels: {', '.join(facts.channels)}; the first that can be believed leads."]
    if facts.readings > 1 and span_s > 0.0:
        every_s = span_s / (facts.readings - 1)
        often = f"one each {every_s:.3g} s" if every_s < 90.0 else f"one each {minutes(every_s)} h"
        lines.append(f"{facts.readings:,} readings over {show_clock(span_s)} h, about {often}.")
    lines.append(
        "spyhole is no safety device; the kiln maker's instructions, the local codes and licensed "
        "practice come first."
    )
    return Section("readings", "What this is made from", (Lines(tuple(lines), is_quiet=True),))
