"""The lines of a recorded log as text: opened, decoded, and refused when it is no text.

Reads in pieces, so that a file of any size, or one that is not text at all, costs little.
Refuses to know what stands in the lines.
"""

from __future__ import annotations

import codecs
import io
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import BinaryIO

from supervisor.core.errors import InputError

_PIECE_BYTES = 1 << 16
LONGEST_LINE = 1 << 17
"""Characters in one line at most: 131,072, which is also the longest cell."""


def open_log(path: Path, name: str) -> BinaryIO:
    """The file, open for reading. Raises InputError where it can't be."""
    try:
        return path.open("rb")
    except FileNotFoundError:
        raise InputError("there is no such file.", where=name) from None
    except IsADirectoryError:
        raise InputError("this is a folder; a log is a file.", where=name) from None
    except PermissionError:
        raise InputError("this user may not read the file.", where=name) from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or "it is no path"
        raise InputError(f"the file can't be opened ({reason}).", where=name) from error


def lines_of(file: BinaryIO, name: str, until: int | None = None) -> Iterator[str]:
    """The lines without their ends, any of LF, CRLF and CR; a byte-order mark is dropped.

    Only the first ``until`` bytes are read, None is all. Raises InputError where the file stops
    being UTF-8 text.
    """
    return chain.from_iterable(_batches(file, name, until))


def _batches(file: BinaryIO, name: str, until: int | None) -> Iterator[list[str]]:
    decoder = io.IncrementalNewlineDecoder(
        codecs.getincrementaldecoder("utf-8-sig")(), translate=True
    )
    lines_before = 0
    rest = ""
    at_end = False
    while not at_end:
        try:
            piece = file.read(_PIECE_BYTES if until is None else min(_PIECE_BYTES, until))
        except OSError as error:
            raise InputError(
                f"the file can't be read on ({error.strerror}).",
                where=f"{name}, from line {lines_before + 1}",
            ) from error
        at_end = not piece
        until = None if until is None else until - len(piece)
        try:
            text = decoder.decode(piece, final=at_end)
        except UnicodeDecodeError as error:
            line = lines_before + 1 + error.object[: error.start].count(b"\n")
            raise InputError(
                "this is not UTF-8 text; a log is saved as CSV in UTF-8.",
                where=f"{name}, about line {line}",
            ) from None
        if "\0" in text:
            line = lines_before + 1 + text[: text.index("\0")].count("\n")
            raise InputError(
                "there is a zero byte, so this is no text file; a log is saved as CSV in UTF-8.",
                where=f"{name}, line {line}",
            )
        lines = (rest + text).split("\n")
        rest = lines.pop()
        if len(rest) > LONGEST_LINE:
            raise InputError(
                f"a line is longer than {LONGEST_LINE:,} characters; this is no log.",
                where=f"{name}, line {lines_before + len(lines) + 1}",
            )
        lines_before += len(lines)
        yield lines
    if rest:
        yield [rest]
