"""A first guess at the column mapping of a log from elsewhere, for a person to put right.

Looks at the log's first lines only. Knows how headers, times and temperatures are mostly
written; never guesses what goes into the record, for the person confirms it by giving it back.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from itertools import islice
from pathlib import Path

from hardware.column_mapping import ISO, Decimal, Delimiter, Encoding, TimeUnits, number_in
from hardware.log_header import ELAPSED, TIME
from hardware.mapped_lines import cells_of, is_text, rough_lines

_LINES, _LONGEST = 40, 20_000
_MOST_CHANNELS = 40
_MOST_NOTES = 5
_DELIMITERS = (Delimiter.TAB, Delimiter.SEMICOLON, Delimiter.PIPE, Delimiter.COMMA)
_ENCODINGS = (Encoding.UTF_8, Encoding.LATIN_1)
_DATES = ("%d.%m.%Y", "%d.%m.%y", "%Y-%m-%d", "%Y/%m/%d", "%d/%m/%Y", "%m/%d/%Y", "%d-%m-%Y")
_TIMES_OF_DAY = ("%H:%M:%S", "%H:%M", "%H:%M:%S.%f", "%I:%M:%S %p", "%I:%M %p")
_MOMENTS = tuple(f"{date} {time}" for date in _DATES for time in _TIMES_OF_DAY)
_TIME_NAME = re.compile(
    r"time|date|zeit|datum|uhr|elapsed|seconds|minutes|hours|heure|fecha", re.IGNORECASE
)
_TEMP_NAME = re.compile(
    r"temp|thermo|°\s?[CF]|\btc\s?\d*|_[cf]$|[\[(]\s?[CF]\s?[\])]", re.IGNORECASE
)
_IN_F = re.compile(r"°\s?F|[\[(]\s?F\s?[\])]|_f$|fahrenheit", re.IGNORECASE)
_UNIT_OF_TIME = re.compile(r"(?:^|[\W_])(ms|min|h|d|s)(?:[\W_]|$)", re.IGNORECASE)
_UNITS_IN_WORDS = {
    "millis": TimeUnits.MS,
    "minute": TimeUnits.MIN,
    "hour": TimeUnits.H,
    "second": TimeUnits.S,
}
_UNIT_CELL = re.compile(r"[\[(]?°?\s?(C|F|celsius|fahrenheit)[\])]?", re.IGNORECASE)


def is_foreign(header: Sequence[str]) -> bool:
    """Whether a first line is not meant as one of our own format."""
    first = header[0].strip() if header else ""
    if first == ELAPSED:
        return False
    ours = any(name.strip().endswith(("_c", "_f")) for name in header[1:])
    return not (first == TIME and ours)


def guess_columns(path: Path) -> str | None:
    """The smallest mapping that may do for the log at ``path``, as TOML.

    None where the log is of our own format, or nothing in it looks like a header with numbers
    below. Raises InputError where the file can't be read.
    """
    for encoding in _ENCODINGS:
        lines = [line[:_LONGEST] for line in islice(rough_lines(path, encoding), _LINES)]
        if any("\0" in line for line in lines):
            return None
        if all(is_text(line) for line in lines):
            break
    delimiter = max(_DELIMITERS, key=lambda one: sum(line.count(one.mark) for line in lines))
    table = [
        (number, [cell.strip() for cell in cells_of(line, delimiter)])
        for number, line in enumerate(lines)
        if line.strip()
    ]
    if not table or not is_foreign(table[0][1]):
        return None
    width = max(Counter(len(cells) for _, cells in table).items(), key=lambda item: item[::-1])[0]
    # A row may end in one delimiter more than the header.
    is_row = [len(cells) >= width - 1 and any(map(_is_number, cells)) for _, cells in table]
    for wanted in (width, width - 1):
        for at, (number, header) in enumerate(table):
            if any(is_row[: at + 1]):
                break
            if len(header) == wanted >= 2:
                rows = [cells for _, cells in table[at + 1 :]]
                return _Guess(header, rows, delimiter, encoding, lines_before=number).text()
    return None


class _Guess:
    def __init__(
        self,
        header: list[str],
        rows: list[list[str]],
        delimiter: Delimiter,
        encoding: Encoding,
        lines_before: int,
    ) -> None:
        self._header = header
        self._lines_before = lines_before
        self._delimiter = delimiter
        self._encoding = encoding
        rows = [row for row in rows if len(row) >= len(header) - 1]
        notes = next((i for i, row in enumerate(rows) if any(map(_is_number, row))), len(rows))
        self._notes, self._rows = rows[:notes], rows[notes:]
        self._decimal = self._guess_decimal()

    def text(self) -> str | None:
        """The mapping; None where no column looks like time or like temperatures."""
        time_at, time = self._time()
        channels = self._channels(time_at)
        if time is None or not channels or len(self._notes) > _MOST_NOTES:
            return None
        lines: list[str] = []
        if self._delimiter is not Delimiter.COMMA:
            lines.append(f'delimiter = "{self._delimiter.value}"')
        if self._decimal is not Decimal.POINT:
            lines.append(f'decimal = "{self._decimal.value}"')
        if self._encoding is not Encoding.UTF_8:
            lines.append(f'encoding = "{self._encoding.value}"')
        if self._lines_before:
            lines.append(f"skip_before_header = {self._lines_before}")
        if self._notes:
            lines.append(f"skip_after_header = {len(self._notes)}")
        named = [self._named(place) for place in time_at]
        lines += ["", "[time]", f"column = {named[0] if len(named) == 1 else _listed(named)}", time]
        for place in channels[:_MOST_CHANNELS]:
            lines += ["", "[[channel]]", f"column = {self._named(place)}"]
            if self._is_in_f(place):
                lines.append('units = "F"')
        return "\n".join(lines).strip() + "\n"

    def _named(self, place: int) -> str:
        """The column by its name, or by its place where a name is none, or not the only one."""
        name = " ".join(self._header[place].split())
        same = [other for other in self._header if " ".join(other.split()) == name]
        if not name or len(same) > 1 or not name.isprintable():
            return str(place + 1)
        escaped = name.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'

    def _guess_decimal(self) -> Decimal:
        cells = [cell for row in self._rows for cell in row]
        commas = sum(re.fullmatch(r"-?\d+,\d+", cell) is not None for cell in cells)
        points = sum(re.fullmatch(r"-?\d+\.\d+", cell) is not None for cell in cells)
        return Decimal.COMMA if commas > points else Decimal.POINT

    def _column(self, place: int) -> list[str]:
        return [row[place] for row in self._rows if place < len(row) and row[place]]

    def _note(self, place: int) -> str:
        """What the lines below the header say of the column, such as its unit."""
        return " ".join(row[place] for row in self._notes if place < len(row))

    def _time(self) -> tuple[tuple[int, ...], str | None]:
        """The places of the time, and its line of the mapping; None where it is no time."""
        named = [place for place, name in enumerate(self._header) if _TIME_NAME.search(name)]
        place = named[0] if named else 0
        cells = self._column(place)
        date = _first_that_fits(cells, _DATES)
        if date is not None and len(named) > 1:
            time = _first_that_fits(self._column(named[1]), _TIMES_OF_DAY)
            if time is not None:
                return (place, named[1]), f'format = "{date} {time}"'
        return (place,), self._time_in(place, cells)

    def _time_in(self, place: int, cells: list[str]) -> str | None:
        if not cells:
            return None
        if all(number_in(cell, self._decimal) is not None for cell in cells):
            return f'units = "{self._units_of_time(place).value}"'
        if all(re.fullmatch(r"-?\d+:\d\d(:\d\d)?", cell) for cell in cells):
            hours = [int(cell.lstrip("-").split(":")[0]) for cell in cells]
            if max(hours) > 23 or min(hours) == 0:
                return f'units = "{TimeUnits.CLOCK.value}"'
        written = _first_that_fits(cells, (*_MOMENTS, *_TIMES_OF_DAY))
        if written is None and all(_is_iso(cell) for cell in cells):
            written = ISO
        return None if written is None else f'format = "{written}"'

    def _units_of_time(self, place: int) -> TimeUnits:
        said = f"{self._header[place]} {self._note(place)}"
        for word, units in _UNITS_IN_WORDS.items():
            if word in said.lower():
                return units
        found = _UNIT_OF_TIME.search(said)
        return TimeUnits(found.group(1).lower()) if found else TimeUnits.S

    def _channels(self, time_at: tuple[int, ...]) -> list[int]:
        """Columns that say to be temperatures; where none does, those of numbers."""
        numbers = [
            place
            for place in range(len(self._header))
            if place not in time_at
            and any(number_in(cell, self._decimal) is not None for cell in self._column(place))
        ]
        return [
            place
            for place in numbers
            if _TEMP_NAME.search(self._header[place]) or _UNIT_CELL.fullmatch(self._note(place))
        ] or numbers

    def _is_in_f(self, place: int) -> bool:
        note = _UNIT_CELL.fullmatch(self._note(place))
        says_f = note is not None and note.group(1).lower().startswith("f")
        return says_f or _IN_F.search(self._header[place]) is not None


def _is_number(cell: str) -> bool:
    return any(number_in(cell, decimal) is not None for decimal in Decimal)


def _listed(names: list[str]) -> str:
    return f"[{', '.join(names)}]"


def _first_that_fits(cells: list[str], formats: tuple[str, ...]) -> str | None:
    if not cells:
        return None
    return next((one for one in formats if all(_fits(cell, one) for cell in cells)), None)


def _fits(cell: str, written: str) -> bool:
    try:
        datetime.strptime(cell, written)  # noqa: DTZ007 - only whether it can be read
    except ValueError:
        return False
    return True


def _is_iso(cell: str) -> bool:
    try:
        datetime.fromisoformat(cell)
    except ValueError:
        return False
    return True
