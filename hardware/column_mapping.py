"""What a column mapping holds: which columns of a log are what, and how they are written.

Knows delimiters, encodings, units and formats of time. Refuses to know TOML, which is read by
``log_columns``, and the log.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from enum import StrEnum

from supervisor.core.units import Unit

TRY_AT = datetime(2023, 11, 28, 13, 14, 15)  # noqa: DTZ001 - shows what a format carries
_OTHER_YEAR = TRY_AT.replace(year=2017)
"""The same weekday, so that only a year tells them apart."""


class Delimiter(StrEnum):
    """What stands between two cells."""

    COMMA = "comma"
    SEMICOLON = "semicolon"
    TAB = "tab"
    PIPE = "pipe"
    SPACE = "space"
    """Any run of blanks and tabs; a cell is never blank then."""

    @property
    def mark(self) -> str:
        """The character itself."""
        return _MARKS[self]


_MARKS = {
    Delimiter.COMMA: ",",
    Delimiter.SEMICOLON: ";",
    Delimiter.TAB: "\t",
    Delimiter.PIPE: "|",
    Delimiter.SPACE: " ",
}


class Decimal(StrEnum):
    """What stands before the tenths."""

    POINT = "point"
    COMMA = "comma"


class Encoding(StrEnum):
    """How letters are written as bytes."""

    UTF_8 = "utf-8"
    LATIN_1 = "latin-1"
    CP1252 = "cp1252"
    UTF_16 = "utf-16"

    @property
    def codec(self) -> str:
        """Python's name of it, one that drops a byte-order mark."""
        return "utf-8-sig" if self is Encoding.UTF_8 else self.value


class TimeUnits(StrEnum):
    """How elapsed time is written."""

    MS = "ms"
    S = "s"
    MIN = "min"
    H = "h"
    D = "d"
    CLOCK = "h:mm:ss"

    @property
    def seconds(self) -> float:
        """How long one of them is; of ``CLOCK``, the last place."""
        return _SECONDS[self]


_SECONDS = {
    TimeUnits.MS: 0.001,
    TimeUnits.S: 1.0,
    TimeUnits.MIN: 60.0,
    TimeUnits.H: 3600.0,
    TimeUnits.D: 86400.0,
    TimeUnits.CLOCK: 1.0,
}

ISO = "iso"


@dataclass(frozen=True, slots=True)
class Column:
    """A column as the mapping names it: by its header or by its place from 1.

    ``where`` is the file and the line of the mapping, for messages.
    """

    name: str | int
    where: str


@dataclass(frozen=True, slots=True)
class TimeColumn:
    """The columns that hold the time and how it is written there.

    Elapsed in ``units`` where ``format`` is None. ``zone`` is None where the clock's offset
    is unknown; such a clock gives elapsed time and no labels, unless its format has the offset.
    """

    columns: tuple[Column, ...]
    units: TimeUnits = TimeUnits.S
    format: str | None = None
    zone: tzinfo | None = None

    @property
    def is_time_of_day(self) -> bool:
        """Whether the format has no date, so that a day is over where the clock falls back."""
        return self._says_nothing_of(_OTHER_YEAR.replace(month=7, day=11))

    @property
    def is_without_year(self) -> bool:
        """Whether the format has no year."""
        return self._says_nothing_of(_OTHER_YEAR)

    def _says_nothing_of(self, other: datetime) -> bool:
        if self.format is None or self.format == ISO:
            return False
        return TRY_AT.strftime(self.format) == other.strftime(self.format)


@dataclass(frozen=True, slots=True)
class ChannelColumn:
    """A column of temperatures; ``name`` is the channel's, None for that of the column."""

    column: Column
    name: str | None
    units: Unit


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """What the columns of a log are. See the module's own text for each field."""

    time: TimeColumn
    channels: tuple[ChannelColumn, ...]
    annotations: tuple[Column, ...] = ()
    delimiter: Delimiter = Delimiter.COMMA
    decimal: Decimal = Decimal.POINT
    encoding: Encoding = Encoding.UTF_8
    has_header: bool = True
    skip_before_header: int = 0
    skip_after_header: int = 0
    no_reading: frozenset[str | float] = field(default_factory=frozenset)


def number_in(text: str, decimal: Decimal) -> float | None:
    """The number that a cell holds; None for NaN, the infinities and anything else.

    >>> number_in("39,6", Decimal.COMMA), number_in("39,6", Decimal.POINT)
    (39.6, None)
    """
    if decimal is Decimal.COMMA:
        if "." in text:
            return None
        text = text.replace(",", ".", 1)
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in text else None
