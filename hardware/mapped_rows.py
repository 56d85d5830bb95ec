"""The rows of a log from elsewhere as readings, and an account of what did not fit.

Knows cells, ranges and the order of time, by a ``ColumnMapping``. A cell that is no temperature
is no reading; a row that is torn, or not later than the row before, is passed over. Both are
counted, for nothing may vanish unsaid. Refuses to know files and messages on a terminal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from hardware.column_mapping import Decimal, number_in
from hardware.log_clock import LogClock
from hardware.log_header import shortened
from hardware.log_rows import HIGHEST_C, LONGEST_S, LOWEST_C
from hardware.mapped_columns import MappedColumns
from hardware.mapped_lines import as_text, cells_of
from supervisor.core.readings import Reading
from supervisor.core.units import Unit, c_from_f

_LEAP_S = 3600.0
"""A row that leaps this far ahead, and from which the next falls back, was itself the wrong one."""
_DIGITS_S = 6


@dataclass(frozen=True, slots=True)
class MappedRow:
    """One row that fits: its reading and the texts of the annotations' cells."""

    reading: Reading
    annotations: tuple[str, ...]


@dataclass(slots=True)
class First:
    """How many there were, and the first of them: its line and what it said."""

    count: int = 0
    line: int = 0
    what: str = ""

    def add(self, line: int, what: str) -> None:
        """Count one."""
        if self.count == 0:
            self.line, self.what = line, what
        self.count += 1


@dataclass(slots=True)
class Account:
    """What one pass over a log has found."""

    rows: int = 0
    torn: First = field(default_factory=First)
    not_later: First = field(default_factory=First)
    temps: int = 0
    no_temps: dict[int, First] = field(default_factory=dict)
    """By the column's place."""


def mapped_rows(
    lines: Iterator[tuple[int, str]], columns: MappedColumns, account: Account
) -> Iterator[MappedRow]:
    """The rows that fit, in order of time; elapsed time counts from the first of them.

    ``lines`` are numbered and begin anywhere at or before the header; ``account`` is added to.
    Never raises for what stands in the log.
    """
    started_s: float | None = None
    last_s: float | None = None
    held: tuple[float, str | None, int, list[str]] | None = None
    clock = LogClock(columns.mapping.time, columns.mapping.decimal)
    for line, cells in _whole_rows(lines, columns, account):
        moment = clock.read(" ".join(cells[place].strip() for place in columns.time_at))
        if moment is None:
            shown = shortened(as_text(cells[columns.time_at[0]]))
            account.torn.add(line, f"“{shown}” is no time")
            continue
        now_s, label = moment
        if held is None or now_s > held[0]:
            follows = held is None or now_s - held[0] <= LONGEST_S
        elif held[0] - (now_s if last_s is None else last_s) > _LEAP_S and (
            last_s is None or now_s > last_s
        ):
            # It is the row before that leapt ahead, alone.
            account.not_later.add(held[2], "leaps ahead")
            held, follows = None, True
        else:
            follows = False
        if not follows:
            account.not_later.add(line, "")
            continue
        if held is not None:
            last_s = held[0]
            started_s = last_s if started_s is None else started_s
            yield _row(held, started_s, columns, account)
        held = (now_s, label, line, cells)
        clock.last_s = now_s
    if held is not None:
        yield _row(held, held[0] if started_s is None else started_s, columns, account)


def _whole_rows(
    lines: Iterator[tuple[int, str]], columns: MappedColumns, account: Account
) -> Iterator[tuple[int, list[str]]]:
    """Rows with all their cells and no more; blank ones are left out, torn ones counted."""
    mapping, least, width = columns.mapping, columns.least, columns.width
    after = columns.header_line + mapping.skip_after_header
    if not mapping.has_header:
        after -= 1
    for line, text in lines:
        if line <= after:
            continue
        cells = cells_of(text, mapping.delimiter)
        if len(cells) != width:
            if len(cells) >= least and not any(cell.strip() for cell in cells[width:]):
                cells = [*cells[:width], *[""] * (width - len(cells))]
            elif any(cell.strip() for cell in cells):
                account.rows += 1
                of = "the header" if mapping.has_header else "the first row"
                many = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
                account.torn.add(line, f"{many} where {of} has {least}")
                continue
        if not any(cell.strip() for cell in cells):
            continue
        account.rows += 1
        yield line, cells


def _row(
    held: tuple[float, str | None, int, list[str]],
    started_s: float,
    columns: MappedColumns,
    account: Account,
) -> MappedRow:
    now_s, label, line, cells = held
    decimal, sentinels = columns.mapping.decimal, columns.mapping.no_reading
    temps_c: dict[str, float | None] = {}
    for channel, place, unit in columns.temps_at:
        temps_c[channel] = None
        text = cells[place].strip()
        if not text or text in sentinels:
            continue
        temp = number_in(text, decimal)
        if temp is not None:
            if temp in sentinels:
                continue
            temp_c = temp if unit is Unit.C else c_from_f(temp)
            if LOWEST_C <= temp_c <= HIGHEST_C:
                temps_c[channel] = temp_c
                account.temps += 1
                continue
        account.no_temps.setdefault(place, First()).add(line, shortened(as_text(text)))
    return MappedRow(
        Reading(round(now_s - started_s, _DIGITS_S), temps_c, time=label),
        tuple(as_text(cells[place]) for _, place in columns.annotations_at),
    )


def refusal(account: Account, columns: MappedColumns) -> str | None:
    """Why the log is too broken to be used, in one sentence; None where it is not."""
    torn, not_later = account.torn, account.not_later
    if account.rows == 0:
        return "the log has no rows with anything in them."
    passed_over = torn.count + not_later.count
    if 2 * passed_over > account.rows or passed_over == account.rows:
        if torn.count >= not_later.count:
            what = f"torn (first: line {torn.line}, {torn.what})"
            hint = "look whether delimiter, header and time of the mapping fit"
        else:
            what = f"not later than the row before (first: line {not_later.line})"
            hint = "look whether the time's column and format fit"
        return f"{passed_over:,} of {account.rows:,} rows can't be used, most are {what}; {hint}."
    if account.temps:
        return None
    if not account.no_temps:
        return "no channel of the mapping has a single temperature in this log."
    place, first = next(iter(account.no_temps.items()))
    hint = ""
    other = Decimal.COMMA if columns.mapping.decimal is Decimal.POINT else Decimal.POINT
    if number_in(first.what, other) is not None:
        hint = f'; does the mapping need decimal = "{other.value}"?'
    return (
        f"no channel has a single temperature; column {columns.called(place)} has "
        f"“{first.what}” on line {first.line}{hint or '.'}"
    )


def remarks(account: Account, columns: MappedColumns) -> tuple[str, ...]:
    """What was left out of a log that can be used, a sentence each; empty where nothing was."""
    said: list[str] = []
    for place, first in account.no_temps.items():
        many = (
            "1 cell of column {} was no temperature"
            if first.count == 1
            else f"{first.count:,} cells of column {{}} were no temperatures"
        )
        called = columns.called(place)
        said.append(f"{many.format(called)} (first: line {first.line}, “{first.what}”)")
    torn, not_later = account.torn, account.not_later
    if torn.count:
        many = "1 row was" if torn.count == 1 else f"{torn.count:,} rows were"
        said.append(f"{many} torn and passed over (first: line {torn.line}, {torn.what})")
    if not_later.count:
        many = (
            "1 row was out of the order of time and"
            if not_later.count == 1
            else f"{not_later.count:,} rows were out of the order of time and"
        )
        said.append(f"{many} passed over (first: line {not_later.line})")
    return tuple(said)
