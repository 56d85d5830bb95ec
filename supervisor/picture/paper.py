"""Sheets of paper, and what flows over as many of them as it takes.

Lengths are points (1/72 inch). Knows nothing of what stands on them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from supervisor.core.units import Unit
from supervisor.picture.lettering import cut, harmless, width_of
from supervisor.picture.pieces import Piece
from supervisor.picture.scene import Anchor, Line, Role, Scene, Shape, Text, moved

MARGIN = 34.0
_FOOT = 20.0


class Paper(StrEnum):
    """A size of paper."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in points (ISO 216; ANSI/ASME Y14.1)."""
        return (595.28, 841.89) if self is Paper.A4 else (612.0, 792.0)


def usual_paper(unit: Unit) -> Paper:
    """The paper of those who read this scale."""
    return Paper.LETTER if unit is Unit.F else Paper.A4


@dataclass(frozen=True, slots=True)
class Head:
    """What a document is called, its words for those who can't see it, and what stands at the
    foot of each of its sheets."""

    title: str
    words: str
    foot: str


def room_of(paper: Paper) -> tuple[float, float]:
    """Width and height between the margins and above the foot."""
    width, height = paper.size
    return width - 2.0 * MARGIN, height - 2.0 * MARGIN - _FOOT


def stacked(pieces: Sequence[Piece], x: float, y: float) -> tuple[Shape, ...]:
    """The pieces below each other, the first with its top left corner at this point."""
    shapes: list[Shape] = []
    for piece in pieces:
        shapes += moved(piece.shapes, x, y)
        y += piece.height
    return tuple(shapes)


def paginated(flow: Sequence[Piece], room: float) -> list[tuple[Shape, ...]]:
    """The pieces on pages: what holds on to the next goes over with it, and heads are repeated."""
    pages: list[list[Piece]] = [[]]
    used = 0.0
    place = 0
    while place < len(flow):
        end = place
        while flow[end].holds_on and end + 1 < len(flow):
            end += 1
        group = flow[place : end + 1]
        takes = sum(piece.height for piece in group)
        if used + takes > room and pages[-1]:
            head = group[0].head
            pages.append([] if head is None else [head])
            used = 0.0 if head is None else head.height
        pages[-1] += group
        used += takes
        place = end + 1
    return [stacked(page, 0.0, 0.0) for page in pages]


def sheet_of(paper: Paper, shapes: Sequence[Shape], head: Head, page: str) -> Scene:
    """A sheet with a foot; ``page`` stands at its right."""
    width, height = paper.size
    size = 7.5
    y = height - MARGIN + 4.0
    page = cut(page, size, (width - 2.0 * MARGIN) / 2.0)
    said = cut(harmless(head.foot), size, width - 2.0 * MARGIN - width_of(page, size) - 2.0 * size)
    foot: tuple[Shape, ...] = (
        Line(((MARGIN, y - size - 4.0), (width - MARGIN, y - size - 4.0)), Role.RULE),
        Text((MARGIN, y), said, size, Role.QUIET, part="foot"),
        *(
            [Text((width - MARGIN, y), page, size, Role.QUIET, Anchor.END, part="page")]
            if page
            else []
        ),
    )
    return Scene(width, height, harmless(head.title), harmless(head.words), (*shapes, *foot))
