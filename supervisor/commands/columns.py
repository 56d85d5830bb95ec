"""``--columns FILE``: a log from elsewhere, read through a mapping of its columns.

Knows how a command asks for the mapping, what it says where one is missing, and how it tells
what was left out of a log. The mapping itself is ``hardware/log_columns.py``.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from hardware.column_mapping import ColumnMapping
from hardware.log_columns import LONGEST_NAME, parse_columns
from hardware.log_guess import guess_columns
from hardware.recorded_log import RecordedLog, read_log
from supervisor.commands.asking import Asking
from supervisor.commands.files import read_text
from supervisor.core.errors import InputError
from supervisor.core.units import Unit

_MOST_REMARKS = 20


def describe_columns(
    parser: argparse.ArgumentParser, *, is_shown: bool = True, default: str | None = None
) -> None:
    """Add the option; not shown, it is only there to be refused in a sentence."""
    parser.add_argument(
        "--columns",
        metavar="FILE",
        default=default,
        help="for a log from elsewhere: what its columns are (TOML); without it, such a log is "
        "answered with a first guess"
        if is_shown
        else argparse.SUPPRESS,
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


def log_or_ask(path: Path, columns: str | None, *, may_ask: bool) -> RecordedLog:
    """As ``log_of``; with a person at the terminal, what can't be told is asked."""
    if columns is not None or not may_ask or not sys.stdin.isatty():
        return log_of(path, columns)
    try:
        return read_log(path)
    except InputError:
        guess = guess_columns(path)
        if guess is None:
            raise
    return read_log(path, _asked(path, guess))


def _asked(path: Path, guess: str) -> ColumnMapping:
    """The mapping that a person makes of the first guess. Raises InputError where it is none."""
    asking = Asking()
    asking.tell(
        f"{path.name} is not in spyhole's own format. A first guess at its columns:\n\n"
        f"{guess.rstrip()}\n"
    )
    mapping = parse_columns(guess)
    if not asking.ask_yes("Is the time read rightly so", default=True):
        raise InputError(
            "save the guess as columns.toml, put its [time] right, and give it back with --columns",
            where=path.name,
        )
    channels = []
    for channel in mapping.channels:
        column = str(channel.column)
        unit = asking.ask(
            f"“{column}”: degrees C or F, or none", channel.units.value, _unit_or_none
        )
        if unit is not None:
            name = asking.ask("  its name", channel.name or column, _channel_name)
            channels.append(replace(channel, units=unit, name=name))
    if not channels:
        raise InputError("a log without a temperature is none", where=path.name)
    if len({channel.name for channel in channels}) < len(channels):
        raise InputError("two channels share a name", where=path.name)
    return replace(mapping, channels=tuple(channels))


def _unit_or_none(text: str) -> Unit | None:
    word = text.strip().upper()
    if word in ("NONE", "-"):
        return None
    if word not in ("C", "F"):
        raise InputError(f'"{text[:40]}" is neither C nor F nor none')
    return Unit(word)


def _channel_name(text: str) -> str:
    if not 0 < len(text) <= LONGEST_NAME:
        raise InputError(f"a channel's name has 1 to {LONGEST_NAME} characters")
    return text


def tell_remarks(log: RecordedLog) -> None:
    """Say on stderr what was left out of the log, a line each."""
    said = log.remarks
    for remark in said[:_MOST_REMARKS]:
        print(f"{log.path.name}: {remark}", file=sys.stderr)
    if len(said) > _MOST_REMARKS:
        rest = len(said) - _MOST_REMARKS
        print(f"{log.path.name}: and {rest} more of the kind", file=sys.stderr)
