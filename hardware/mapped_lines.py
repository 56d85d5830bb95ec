"""The lines of a log from elsewhere, cut into cells, whatever a power cut has left of them.

A line is a row: a quotation mark that is never closed spoils its own line and no more. Bytes
that are no text in the stated encoding stay in their cell, which is then neither a number nor
a time. Reads in pieces, so that a file of any size costs little. Refuses to know what a cell
means.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator
from pathlib import Path

from hardware.column_mapping import Delimiter, Encoding
from hardware.log_lines import LONGEST_LINE, open_log
from supervisor.core.errors import InputError

_PIECE_BYTES = 1 << 16


def rough_lines(path: Path, encoding: Encoding) -> Iterator[str]:
    """The lines without their ends, any of LF, CRLF and CR; a byte-order mark is dropped.

    A line of more than ``LONGEST_LINE`` characters is cut there. Raises InputError where the
    file can't be read, never for what stands in it.
    """
    name = path.name or str(path)
    # A byte that is no text becomes a lone surrogate; UTF-16 has no room for such.
    errors = "replace" if encoding is Encoding.UTF_16 else "surrogateescape"
    decoder = io.IncrementalNewlineDecoder(
        codecs.getincrementaldecoder(encoding.codec)(errors), translate=True
    )
    rest = ""
    with open_log(path, name) as file:
        at_end = False
        while not at_end:
            try:
                piece = file.read(_PIECE_BYTES)
                at_end = not piece
                text = decoder.decode(piece, final=at_end)
            except UnicodeError:
                raise InputError(f"this is not {encoding.value} text.", where=name) from None
            except OSError as error:
                raise InputError(
                    f"the file can't be read on ({error.strerror}).", where=name
                ) from error
            lines = (rest + text).split("\n")
            rest = lines.pop()[:LONGEST_LINE]
            yield from lines
    if rest:
        yield rest


def cells_of(line: str, delimiter: Delimiter) -> list[str]:
    """The line's cells, quotation marks taken off.

    >>> cells_of('0,"1,5",', Delimiter.COMMA)
    ['0', '1,5', '']
    """
    if delimiter is Delimiter.SPACE:
        return line.split()
    if '"' not in line:
        return line.split(delimiter.mark)
    try:
        return next(csv.reader([line], delimiter=delimiter.mark, skipinitialspace=True), [])
    except csv.Error:
        return [line]


def is_text(line: str) -> bool:
    """Whether every byte of the line was text in the encoding it was read in."""
    return not any("\ud800" <= letter <= "\udfff" or letter == "\0" for letter in line)


def as_text(cell: str) -> str:
    """The cell without what is no text, fit to be kept and shown."""
    plain = cell.strip()
    return plain if plain.isprintable() else "".join(c if c.isprintable() else "?" for c in plain)
