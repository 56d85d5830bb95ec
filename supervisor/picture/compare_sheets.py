"""A comparison on sheets of paper: its drawing, what is compared, then every sentence of it."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.compare import Comparison
from supervisor.core.report import Column, Lines, Section, Table
from supervisor.core.report.short import DECIDE
from supervisor.core.units import Unit
from supervisor.picture.compare_drawing import draw_comparison
from supervisor.picture.paper import MARGIN, Head, Paper, paginated, room_of, sheet_of
from supervisor.picture.pieces import Piece, pieces_of
from supervisor.picture.scene import Scene, moved

_SIZE = 9.0


def comparison_sheets(
    comparisons: Sequence[Comparison],
    unit: Unit,
    title: str,
    sections: Sequence[tuple[str, Sequence[str]]],
    paper: Paper,
) -> list[Scene]:
    """All of it on as many sheets as it takes; ``sections`` are headings with their sentences."""
    across, down = room_of(paper)
    drawing = draw_comparison(comparisons, unit, across, _SIZE - 0.5, title)
    subjects = [comparisons[0].reference, *(one.other for one in comparisons)]
    named = Table(
        (Column("name"), Column("firing")),
        tuple(("" if one.is_plan else one.name, one.label) for one in subjects),
    )
    flow = [
        Piece(drawing.height + _SIZE, drawing.shapes),
        *pieces_of(Section("compared", "What is compared", (named,)), across, _SIZE),
    ]
    for heading, lines in sections:
        flow += pieces_of(Section("said", heading, (Lines(tuple(lines)),)), across, _SIZE)
    pages = paginated(flow, down)
    head = Head(title, drawing.description, f"{title}; cones are {DECIDE}")
    return [
        sheet_of(
            paper,
            moved(shapes, MARGIN, MARGIN),
            head,
            f"{number} of {len(pages)}" if len(pages) > 1 else "",
        )
        for number, shapes in enumerate(pages, start=1)
    ]
