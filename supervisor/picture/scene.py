"""A drawing as a list of shapes, and the colours that their roles have. Knows no file format.

Lengths are in the drawing's own units, x to the right and y downwards. What a shape is for is
its role; the painters look up how a role looks. The light colours are for paper and screen,
the dark ones for a dark screen; no meaning hangs on a colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Tone:
    """A colour by day and by night, as ``#rrggbb``."""

    light: str
    dark: str


PAPER = Tone("#fbfdfd", "#141c20")
INK = Tone("#14212a", "#e4ebec")
MUTED = Tone("#47575f", "#a3b3b8")
GRID = Tone("#dae2e5", "#2b383e")
COBALT = Tone("#1b469f", "#9dbcff")
CLAY = Tone("#eee7de", "#27221c")
CLAY_EDGE = Tone("#a8968a", "#7d6f64")
CELADON = Tone("#d3e8dc", "#123628")
COPPER = Tone("#9c1c1c", "#ff9d93")
FIR = Tone("#1e5a3c", "#8fd6ae")
SMOKE = Tone("#dfe3e5", "#333e44")


class Role(StrEnum):
    """What a shape is for."""

    PAPER = "paper"
    BAND = "band"
    EDGE = "edge"
    GRID = "grid"
    AXIS = "axis"
    CURVE = "curve"
    COOLING = "cooling"
    CORNER = "corner"
    BAR = "bar"
    LEADER = "leader"
    CONE = "cone"
    TARGET = "target"
    LEAD = "lead"
    PLAN = "plan"
    SECOND = "second"
    THIRD = "third"
    FOURTH = "fourth"
    BLIND = "blind"
    EVENT = "event"
    RULE = "rule"
    TEXT = "text"
    QUIET = "quiet"


@dataclass(frozen=True, slots=True)
class Style:
    """How a role looks; ``dash`` is a length drawn and a length left out."""

    fill: Tone | None = None
    stroke: Tone | None = None
    width: float = 0.0
    dash: tuple[float, float] | None = None


STYLES: dict[Role, Style] = {
    Role.PAPER: Style(fill=PAPER),
    Role.BAND: Style(fill=CLAY),
    Role.EDGE: Style(stroke=CLAY_EDGE, width=0.8, dash=(2.0, 3.0)),
    Role.GRID: Style(stroke=GRID, width=1.0),
    Role.AXIS: Style(stroke=MUTED, width=1.2),
    Role.CURVE: Style(stroke=COBALT, width=2.6),
    Role.COOLING: Style(stroke=COBALT, width=1.8, dash=(5.0, 3.0)),
    Role.CORNER: Style(fill=COBALT),
    Role.BAR: Style(fill=CELADON, stroke=MUTED, width=1.0),
    Role.LEADER: Style(stroke=MUTED, width=1.0, dash=(3.0, 2.0)),
    Role.CONE: Style(fill=PAPER, stroke=INK, width=1.4),
    Role.TARGET: Style(fill=COPPER, stroke=COPPER, width=1.4),
    Role.LEAD: Style(stroke=COBALT, width=1.9),
    Role.PLAN: Style(stroke=MUTED, width=1.3, dash=(5.0, 3.0)),
    # Apart in grey print by their dashes and their weight, not by their colours.
    Role.SECOND: Style(stroke=COPPER, width=1.3, dash=(9.0, 2.0)),
    Role.THIRD: Style(stroke=FIR, width=1.3, dash=(2.0, 1.5)),
    Role.FOURTH: Style(stroke=INK, width=0.8),
    Role.BLIND: Style(fill=SMOKE, stroke=MUTED, width=0.6, dash=(1.5, 2.0)),
    Role.EVENT: Style(fill=PAPER, stroke=COPPER, width=1.2),
    Role.RULE: Style(stroke=GRID, width=0.6),
    Role.TEXT: Style(fill=INK),
    Role.QUIET: Style(fill=MUTED),
}


class Anchor(StrEnum):
    """Which end of a text lies at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Line:
    """A line through ``points``; ``part`` names what of the plan it shows."""

    points: tuple[Point, ...]
    role: Role
    part: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """A closed shape."""

    points: tuple[Point, ...]
    role: Role
    part: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text whose baseline begins, is centred or ends at ``at``."""

    at: Point
    text: str
    size: float
    role: Role = Role.TEXT
    anchor: Anchor = Anchor.START
    bold: bool = False
    part: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo with its top left corner ``at``: the bytes of a file of this ``kind`` (jpeg, png or
    webp), and ``words`` for those who can't see it."""

    at: Point
    width: float
    height: float
    data: bytes
    kind: str
    words: str
    part: str = "photo"


Shape = Line | Area | Text | Picture


@dataclass(frozen=True, slots=True)
class Scene:
    """A whole drawing in order of painting, with its words for those who can't see it."""

    width: float
    height: float
    title: str
    description: str
    shapes: tuple[Shape, ...]


def moved(shapes: Iterable[Shape], right: float, down: float) -> tuple[Shape, ...]:
    """The shapes elsewhere."""

    def at(point: Point) -> Point:
        return point[0] + right, point[1] + down

    return tuple(
        replace(shape, at=at(shape.at))
        if isinstance(shape, Text | Picture)
        else replace(shape, points=tuple(map(at, shape.points)))
        for shape in shapes
    )


def box(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    """The corners of a rectangle."""
    return ((left, top), (right, top), (right, bottom), (left, bottom))
