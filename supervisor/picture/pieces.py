"""Sections of a report set into a column: each row and each line of text a piece with a height.

Knows widths and sizes of letters; knows no sheets, and nothing of what the text says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from supervisor.core.report import Column, Lines, Photos, Section, Table
from supervisor.picture.lettering import folded, harmless, width_of
from supervisor.picture.scene import Anchor, Line, Role, Shape, Text

GAP = 7.0
"""Between two columns of a table."""
LEADING = 1.28
_HEADING = 1.18
_LEAST_TEXT = 34.0
_LONGEST_WORD = 0.35
_TOGETHER = 9.0
"""A table no higher than so many sizes (five rows of one line) is not torn: its last row alone on
the next sheet tells nobody anything."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Shapes that stay together, as if at the top left of the column.

    ``holds_on`` is true for what may not be the last on a sheet; ``head`` is what is said again
    where a sheet begins with this piece.
    """

    height: float
    shapes: tuple[Shape, ...]
    holds_on: bool = False
    head: Piece | None = None
    is_row: bool = False


def pieces_of(section: Section, width: float, size: float) -> list[Piece]:
    """The section's heading and everything below it but its photos (``album``)."""
    found = [_heading(section.heading, width, size)]
    for block in section.blocks:
        if isinstance(block, Photos):
            continue
        if isinstance(block, Lines) and block.is_quiet:
            # The small print of a table does not begin a sheet.
            found[-2:] = [replace(piece, holds_on=True) for piece in found[-2:]]
        found += block_pieces(block, width, size)
    return found


def block_pieces(block: Table | Lines, width: float, size: float) -> list[Piece]:
    """The rows of a table, or sentences."""
    if isinstance(block, Lines):
        role = Role.QUIET if block.is_quiet else Role.TEXT
        found = [
            piece for line in block.lines for piece in text_pieces(line, width, size, role=role)
        ]
        return [*found, Piece(size * 0.35, ())]
    return _table(block, width, size)


def text_pieces(
    text: str,
    width: float,
    size: float,
    *,
    role: Role = Role.TEXT,
    bold: bool = False,
    part: str = "line",
) -> list[Piece]:
    """A paragraph, a piece for each of its lines; its first two and last two stay together."""
    lines = folded(harmless(text), size, width, bold=bold)
    height = size * LEADING
    return [
        Piece(
            height,
            (Text((0.0, size), line, size, role, bold=bold, part=part),),
            holds_on=len(lines) > 1 and place in (0, len(lines) - 2),
        )
        for place, line in enumerate(lines)
        if line
    ]


def _heading(text: str, width: float, size: float) -> Piece:
    large = size * _HEADING
    lines = folded(harmless(text), large, width, bold=True)
    y = size * 0.9
    shapes: list[Shape] = []
    for line in lines:
        y += large
        shapes.append(Text((0.0, y), line, large, bold=True, part="heading"))
        y += large * 0.18
    shapes.append(Line(((0.0, y + 1.5), (width, y + 1.5)), Role.AXIS))
    return Piece(y + size * 0.5, tuple(shapes), holds_on=True)


def _table(table: Table, width: float, size: float) -> list[Piece]:
    widths = _widths(table, width, size)
    heads = [column.head for column in table.columns]
    head = _row(heads, table.columns, widths, size, width, is_head=True)
    head = Piece(head.height, head.shapes, holds_on=True)
    found = [head]
    rows = [_row(row, table.columns, widths, size, width, is_head=False) for row in table.rows]
    is_small = sum(row.height for row in rows) <= _TOGETHER * size
    for place, row in enumerate(rows, start=1):
        # Of a longer one two rows stay together at its beginning and at its end.
        holds_on = place < len(rows) and (is_small or place in (1, len(rows) - 1))
        found.append(Piece(row.height, row.shapes, holds_on, head=head, is_row=True))
    if table.left_out:
        found += text_pieces(left_out(table.left_out), width, size, role=Role.QUIET)
    return [*found, Piece(size * 0.35, ())]


def left_out(count: int) -> str:
    """What stands in the place of rows for which there is no room."""
    return f"… and {count} more in the binder's report"


def _widths(table: Table, width: float, size: float) -> list[float]:
    """Each column as wide as it needs; where that is too much, the widest texts are folded."""
    needed = []
    for place, column in enumerate(table.columns):
        words = max((width_of(w, size, bold=True) for w in column.head.split()), default=0.0)
        cells = max((width_of(harmless(row[place]), size) for row in table.rows), default=0.0)
        needed.append(max(words, cells) + 0.5)
    room = width - GAP * (len(needed) - 1)
    longest = [
        max(
            (
                width_of(word, size)
                for row in table.rows
                for word in harmless(row[place]).split(" ")
            ),
            default=0.0,
        )
        for place in range(len(needed))
    ]
    texts = [place for place, column in enumerate(table.columns) if not column.is_figure]
    fixed = sum(w for place, w in enumerate(needed) if place not in texts)
    if sum(needed) <= room or not texts:
        return _with_heads(table, needed, room, size)
    low, high = 0.0, max(needed[place] for place in texts)
    for _ in range(40):
        cap = (low + high) / 2.0
        if fixed + sum(min(needed[place], cap) for place in texts) > room:
            high = cap
        else:
            low = cap
    cap = max(low, _LEAST_TEXT)
    folded_ = [min(w, cap) if place in texts else w for place, w in enumerate(needed)]
    return _whole_words(folded_, longest, texts, room)


def _whole_words(
    widths: list[float], longest: Sequence[float], texts: Sequence[int], room: float
) -> list[float]:
    """Columns widened for their longest words at the cost of those that have more than theirs."""
    widths = list(widths)
    for place in texts:
        lacks = longest[place] + 0.5 - widths[place]
        if lacks <= 0.0 or longest[place] > room * _LONGEST_WORD:
            continue
        for other in sorted(texts, key=lambda n: longest[n] - widths[n]):
            gives = min(widths[other] - max(longest[other] + 0.5, _LEAST_TEXT), lacks)
            if other != place and gives > 0.0:
                widths[other] -= gives
                widths[place] += gives
                lacks -= gives
    return widths


def _with_heads(table: Table, needed: list[float], room: float, size: float) -> list[float]:
    """Where there is room to spare, heads stand on fewer lines; the longest first."""
    spare = room - sum(needed)
    widths = list(needed)
    for lines in (2, 1):
        for place, column in enumerate(table.columns):
            wanted = widths[place]
            while len(folded(column.head, size, wanted, bold=True)) > lines:
                wanted += size * 0.5
            more = wanted - widths[place]
            if 0.0 < more <= spare:
                widths[place], spare = wanted, spare - more
    return widths


def _row(
    cells: Sequence[str],
    columns: Sequence[Column],
    widths: Sequence[float],
    size: float,
    width: float,
    *,
    is_head: bool,
) -> Piece:
    folds = [
        folded(harmless(cell), size, one, bold=is_head)
        for cell, one in zip(cells, widths, strict=True)
    ]
    deepest = max(map(len, folds))
    shapes: list[Shape] = []
    left = 0.0
    for lines, column, one in zip(folds, columns, widths, strict=True):
        x = left + one if column.is_figure else left
        # Heads stand on their line, cells hang from theirs.
        skip = deepest - len(lines) if is_head else 0
        for n, line in enumerate(lines):
            if line:
                shapes.append(
                    Text(
                        (x, size * 1.05 + (n + skip) * size * LEADING),
                        line,
                        size,
                        Role.QUIET if is_head else Role.TEXT,
                        Anchor.END if column.is_figure else Anchor.START,
                        bold=is_head,
                        part="head" if is_head else "cell",
                    )
                )
        left += one + GAP
    height = deepest * size * LEADING + size * 0.3
    rule = Role.AXIS if is_head else Role.RULE
    across = min(sum(widths) + GAP * (len(widths) - 1), width)
    shapes.append(Line(((0.0, height), (across, height)), rule))
    return Piece(height + 0.8, tuple(shapes))
