"""``--columns FILE``: a log from elsewhere, read through a mapping of its columns.

Knows how a command asks for the mapping, what it says where one is missing, and how it tells
what was left out of a log. The mapping itself is ``hardware/log_columns.py``.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from hardware.log_columns import parse_columns
from hardware.log_guess import guess_columns
from hardware.recorded_log import RecordedLog, read_log
from supervisor.commands.files import read_text
from supervisor.core.errors import InputError

_MOST_REMARKS = 20


def describe_columns(parser: argparse.ArgumentParser) -> None:
    """Add the option."""
    parser.add_argument(
        "--columns",
        metavar="FILE",
        help="for a log from elsewhere: what its columns are (TOML); without it, such a log is "
        "answered with a first guess",
    )


def log_of(path: Path, columns: str | None) -> RecordedLog:
    """The log at ``path``, read through the mapping in the file ``columns`` if one is given.

    Raises InputError; for a log from elsewhere without a mapping, with one that may do.
    """
    if columns is not None:
        return read_log(path, parse_columns(read_text(Path(columns), "a mapping in TOML"), columns))
    try:
        return read_log(path)
    except InputError as error:
        guess = guess_columns(path)
        if guess is None:
            raise
        raise InputError(
            f"this log is not in spyhole's own format and needs --columns FILE, a file that says "
            f"what its columns are; the smallest that may do, to be looked over, is:\n\n"
            f"{guess.rstrip()}",
            where=path.name,
        ) from error


def tell_remarks(log: RecordedLog) -> None:
    """Say on stderr what was left out of the log, a line each."""
    said = log.remarks
    for remark in said[:_MOST_REMARKS]:
        print(f"{log.path.name}: {remark}", file=sys.stderr)
    if len(said) > _MOST_REMARKS:
        rest = len(said) - _MOST_REMARKS
        print(f"{log.path.name}: and {rest} more of the kind", file=sys.stderr)
