"""Where a log ends: a row that was cut off in the middle is no part of it.

A log of ours ends every row with a line end. One that was being copied when the power went has a
last row without it, and perhaps bytes of zero behind. A whole row without a line end is a row:
people who write a log by hand forget it. Refuses to judge any row but the last.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from hardware.log_header import LogColumns, shortened
from hardware.log_lines import LONGEST_LINE
from hardware.log_rows import read_rows, table_of
from supervisor.core.errors import InputError

_TAIL_BYTES = 4 * LONGEST_LINE
_CUT_TO, _LEAST = 0.2, 10.0
"""A number that lost a digit is a tenth of what it was, and no kiln falls so between two rows."""


@dataclass(frozen=True, slots=True)
class TornEnd:
    """The log's own rows are its first ``until`` bytes; what was torn behind them, in words."""

    until: int
    said: str


def bytes_before_zeros(file: BinaryIO, name: str) -> int | None:
    """How long the log is without bytes of zero at its end; None where there are none.

    As well where there are so many that it is no log. Leaves ``file`` at its beginning. Raises
    InputError where it can't be read.
    """
    size, tail = _tail(file, name)
    file.seek(0)
    rows = tail.rstrip(b"\0")
    return size - len(tail) + len(rows) if rows and len(rows) < len(tail) else None


def _tail(file: BinaryIO, name: str) -> tuple[int, bytes]:
    """How many bytes the file has, and its last ones."""
    try:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(size - _TAIL_BYTES, 0))
        return size, file.read()
    except OSError as error:
        raise InputError(
            f"the file can't be read ({error.strerror or error}).", where=name
        ) from error


def torn_end(file: BinaryIO, columns: LogColumns, name: str) -> TornEnd | None:
    """What is to be left out at the end of the log; None where it ends as it should.

    ``file`` may stand anywhere, and does so afterwards. Raises InputError where it can't be read.
    """
    size, tail = _tail(file, name)
    rows = tail.rstrip(b"\0")
    begins = max(rows.rfind(b"\n"), rows.rfind(b"\r")) + 1
    before = rows[:begins].rstrip(b"\r\n")
    if not before:
        # It has one line alone: its header.
        return None
    last = rows[begins:]
    why = "bytes of zero" if len(rows) < len(tail) else None
    if last and why is None:
        above = before[max(before.rfind(b"\n"), before.rfind(b"\r")) + 1 :]
        why = _why_torn(above, last, columns)
    if why is None:
        return None
    until = size - len(tail) + begins
    line = _lines_to(file, until) + 1
    return TornEnd(until, f"the last row was cut off and is left out (line {line}, {why})")


def _why_torn(above: bytes, last: bytes, columns: LogColumns) -> str | None:
    """What is missing of the last row; None where nothing is. ``above`` is the row before it."""
    try:
        text = last.decode()
        ((_, cells),) = table_of(iter([text]), "")
    except (InputError, UnicodeDecodeError, ValueError):
        return "it breaks off within a cell"
    if len(cells) < columns.width:
        many = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
        return f"{many} where the header has {columns.width}"
    if len(cells) > columns.width:
        return None
    shown = f"“{shortened(cells[-1].strip())}”"
    try:
        # The first line that is handed over is passed by as a header.
        next(read_rows(iter(["-", text]), columns, ""))
    except InputError:
        return f"{shown} is half a cell"
    if columns.width - 1 not in columns.temps_at.values():
        return None
    try:
        was, now = float(above.rpartition(b",")[2]), float(cells[-1])
    except ValueError:
        return None
    is_cut = was >= _LEAST and 0.0 <= now < _CUT_TO * was
    return f"{shown} is half a number" if is_cut else None


def _lines_to(file: BinaryIO, until: int) -> int:
    """How many lines end before that byte; a carriage return with its line feed is one end."""
    file.seek(0)
    count, was_return = 0, False
    for piece in _pieces(file, until):
        count += piece.count(b"\n") + piece.count(b"\r") - piece.count(b"\r\n")
        count -= was_return and piece.startswith(b"\n")
        was_return = piece.endswith(b"\r")
    return count


def _pieces(file: BinaryIO, until: int) -> Iterator[bytes]:
    while until > 0 and (piece := file.read(min(until, 1 << 16))):
        until -= len(piece)
        yield piece
