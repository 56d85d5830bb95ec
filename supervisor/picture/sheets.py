"""A report on sheets of paper: as many as it needs for the binder, or one for the wall.

Each sheet is a drawing in points (1/72 inch). For the wall the letters shrink as far as they can
be read, then the longest lists are cut, and say so. Knows no file format.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import StrEnum

from supervisor.core.report import Chart, Lines, Photo, Photos, Report, Section, Table
from supervisor.picture.album import album_pieces, strip_piece
from supervisor.picture.firing_drawing import draw_chart, lane_height
from supervisor.picture.lettering import cut, folded, harmless
from supervisor.picture.paper import MARGIN, Head, Paper, paginated, room_of, sheet_of, stacked
from supervisor.picture.pieces import Piece, left_out, pieces_of, text_pieces
from supervisor.picture.scene import Role, Scene, Shape, Text, moved


class Sheet(StrEnum):
    """Where the report is to hang or to lie."""

    WALL = "wall"
    BINDER = "binder"


_BINDER_SIZE = 9.0
_BINDER_PLOTS = (255.0, 235.0, 215.0, 195.0, 175.0)
"""The chart gives way where that saves a sheet."""
_WALL_SIZES = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0)
_WALL_LEAST_PLOT, _WALL_MOST_PLOT, _LOW_PLOT = 165.0, 330.0, 125.0
"""The chart gives way last, before anything is cut."""
_STRIP, _LOW_STRIP, _EASY = 118.0, 102.0, 7.5
"""A row of photos for the wall: letters give way to it down to a size that is easily read, then
the chart."""
_PHOTOS_SHARE = 0.5
"""Of the room to spare; the chart grows into the rest."""
_MOST_ON_CHART = 12
"""Of very many warnings the first are on the chart of the wall, twice as many on the binder's; the
table has the others."""
_GUTTER = 16.0
_LEAST_ROWS = 2
_FULL_WIDTH = frozenset({"steps", "events"})


def binder_sheets(report: Report, chart: Chart, paper: Paper) -> list[Scene]:
    """Everything, on as many sheets as it takes."""
    across, down = room_of(paper)
    chart = _with_first_events(chart, 2 * _MOST_ON_CHART)
    opening = _opening(report, across, _BINDER_SIZE)
    flow = [piece for section in report.sections for piece in _with_photos(section, across)]

    def pages_with(plot_height: float) -> list[tuple[Shape, ...]]:
        left = down - _height(opening)
        picture = _picture_within(left, chart, across, plot_height, _BINDER_SIZE - 1.0)
        return paginated([*opening, picture, *flow], down)

    pages = pages_with(_BINDER_PLOTS[-1])
    fewest = len(pages)
    for plot_height in _BINDER_PLOTS:
        higher = pages_with(plot_height)
        if len(higher) == fewest:
            pages = higher
            break
    return [
        _sheet(
            report,
            chart,
            paper,
            moved(shapes, MARGIN, MARGIN),
            f"{number} of {len(pages)}" if len(pages) > 1 else "",
        )
        for number, shapes in enumerate(pages, start=1)
    ]


def _with_photos(section: Section, across: float) -> list[Piece]:
    pieces = pieces_of(section, across, _BINDER_SIZE)
    photos = _photos_of(section)
    # The heading, then the photos, then what is said of those that can't be shown.
    return [pieces[0], *album_pieces(photos, across, _BINDER_SIZE), *pieces[1:]]


def _photos_of(section: Section | None) -> Sequence[Photo]:
    blocks = () if section is None else section.blocks
    return [photo for block in blocks if isinstance(block, Photos) for photo in block.photos]


def wall_sheet(report: Report, chart: Chart, paper: Paper) -> Scene:
    """The most important, on one sheet."""
    across, room = room_of(paper)
    chart = _with_first_events(chart, _MOST_ON_CHART)
    half = (across - _GUTTER) / 2.0
    first = [section for section in report.wall if section.key in _FULL_WIDTH]
    rest = [section for section in report.wall if section.key not in _FULL_WIDTH]
    photos = _photos_of(report.section("photos"))
    tries = [(size, _WALL_LEAST_PLOT, 0.0) for size in _WALL_SIZES]
    if photos:
        easy = [size for size in _WALL_SIZES if size >= _EASY]
        with_strip = [(size, _WALL_LEAST_PLOT, _STRIP) for size in easy]
        tries = [*with_strip, (easy[-1], _LOW_PLOT, _LOW_STRIP), *tries]
    for size, least_plot, strip_height in (*tries, (_WALL_SIZES[-1], _LOW_PLOT, 0.0)):
        top = _opening(report, across, size + 0.5)
        wide = [piece for section in first for piece in pieces_of(section, across, size)]
        least = _picture(chart, across, least_plot, size - 0.5)
        left = room - least.height - _height([*top, *wide]) - strip_height
        columns = _two_columns([pieces_of(section, half, size) for section in rest])
        dropped: list[str] = []
        if max(map(_height, columns)) <= left:
            break
    else:
        if left < 0.0:
            wide = _cut_wide(first, across, size, _height(wide) + left)
            left = room - least.height - _height([*top, *wide])
        columns, dropped = _cut_columns(rest, half, size, left)
    spare = left - max(map(_height, columns))
    strip = strip_piece(photos, across, size, strip_height + spare * _PHOTOS_SHARE)
    spare += strip_height - (0.0 if strip is None else strip.height)
    if photos and strip is None:
        dropped = [*dropped, "the photos"]
    plot = min(least_plot + max(spare, 0.0), _WALL_MOST_PLOT)
    above = [*top, _picture(chart, across, plot, size - 0.5), *wide]
    shapes = list(stacked(above, MARGIN, MARGIN))
    y = MARGIN + _height(above)
    for place, column in enumerate(columns):
        shapes += stacked(column, MARGIN + place * (half + _GUTTER), y)
    if strip is not None:
        shapes += stacked([strip], MARGIN, MARGIN + room - strip.height)
    more = f"not on this sheet: {', '.join(dropped)}" if dropped else ""
    return _sheet(report, chart, paper, tuple(shapes), more)


def _opening(report: Report, width: float, size: float) -> list[Piece]:
    large = size * 1.9
    lines = folded(harmless(report.title), large, width, bold=True)
    if len(lines) > 2:
        lines = [lines[0], cut(" ".join(lines[1:]), large, width, bold=True)]
    found = [
        Piece(large * 1.15, (Text((0.0, large), line, large, bold=True, part="title"),))
        for line in lines
    ]
    for line in report.about:
        found += text_pieces(line, width, size, role=Role.QUIET, part="about")
    found.append(Piece(size * 0.6, ()))
    for line in report.short:
        found += text_pieces(line, width, size * 1.12, part="short")
    return [*found, Piece(size * 0.6, ())]


def _picture(chart: Chart, width: float, plot_height: float, size: float) -> Piece:
    scene = draw_chart(chart, width, plot_height, size)
    return Piece(scene.height + size * 0.4, scene.shapes)


def _picture_within(
    room: float, chart: Chart, width: float, plot_height: float, size: float
) -> Piece:
    """The chart with as many warnings as leave it that much room; the table has the others."""
    picture = _picture(chart, width, plot_height, size)
    while picture.height > room and chart.events:
        # One that is dropped gives one lane at most.
        drop = math.ceil((picture.height - room) / lane_height(size))
        chart = _with_first_events(chart, max(len(chart.events) - drop, 0))
        picture = _picture(chart, width, plot_height, size)
    return picture


def _with_first_events(chart: Chart, most: int) -> Chart:
    dropped = max(len(chart.events) - most, 0)
    return replace(
        chart, events=chart.events[:most], events_left_out=chart.events_left_out + dropped
    )


def _height(pieces: Sequence[Piece]) -> float:
    return sum(piece.height for piece in pieces)


Columns = tuple[list[Piece], list[Piece]]


def _two_columns(sections: Sequence[Sequence[Piece]]) -> Columns:
    """All sections in two columns, each in its order, so that the longer one is shortest."""
    heights = [_height(pieces) for pieces in sections]
    whole = sum(heights)

    def longer(on_left: int) -> float:
        left = sum(h for n, h in enumerate(heights) if on_left >> n & 1)
        return max(left, whole - left)

    # The first section stands on the left, and of equals the one that fills it in order.
    best = min(range(1, 2 ** len(sections), 2), key=lambda n: (longer(n), n), default=0)
    left: list[Piece] = []
    right: list[Piece] = []
    for n, pieces in enumerate(sections):
        (left if best >> n & 1 else right).extend(pieces)
    return left, right


def _cut_wide(sections: Sequence[Section], width: float, size: float, room: float) -> list[Piece]:
    """The sections below each other, cut where there is no more room."""
    found: list[Piece] = []
    for section in sections:
        pieces = pieces_of(section, width, size)
        if _height([*found, *pieces]) > room:
            left = room - _height(found)
            pieces = _cut_to(section, lambda s: pieces_of(s, width, size), left)
        found += pieces
    return found


def _cut_columns(
    sections: Sequence[Section], width: float, size: float, room: float
) -> tuple[Columns, list[str]]:
    """Each section in turn into the column with more room, cut where it must be; and the
    headings of those for which there is none."""
    columns: Columns = ([], [])
    dropped = []
    for section in sections:
        column = min(columns, key=_height)
        left = room - _height(column)
        pieces = pieces_of(section, width, size)
        if _height(pieces) > left:
            pieces = _cut_to(section, lambda s: pieces_of(s, width, size), left)
        if not pieces:
            dropped.append(f"{section.heading[:1].lower()}{section.heading[1:]}")
        column += pieces
    return columns, dropped


def _cut_to(section: Section, set_: Callable[[Section], list[Piece]], room: float) -> list[Piece]:
    """The section with as many rows as there is room for; nothing where that is hardly any."""
    for place, block in enumerate(section.blocks):
        if isinstance(block, Photos):
            continue
        count = len(block.rows) if isinstance(block, Table) else len(block.lines)
        before = section.blocks[:place]
        for kept in range(count - 1, _LEAST_ROWS - 1, -1):
            cut_block: Table | Lines
            if isinstance(block, Table):
                cut_block = replace(block, rows=block.rows[:kept], left_out=count - kept)
            else:
                more = left_out(count - kept)
                cut_block = replace(block, lines=(*block.lines[:kept], more))
            pieces = set_(replace(section, blocks=(*before, cut_block)))
            if sum(piece.height for piece in pieces) <= room:
                return pieces
        whole = set_(replace(section, blocks=section.blocks[: place + 1]))
        if sum(piece.height for piece in whole) > room:
            break
    return []


def _sheet(report: Report, chart: Chart, paper: Paper, shapes: Sequence[Shape], page: str) -> Scene:
    words = " ".join((*report.about, *report.short, chart.description))
    return sheet_of(paper, shapes, Head(report.title, words, report.foot), page)
