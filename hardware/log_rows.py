"""The rows of a recorded log as readings, quickly; and for a row that is none, why.

Knows cells, ranges and the order of time. Refuses to know files. ``read_rows`` is the fast way,
one pass without calls, for a replay reads hundreds of thousands of rows; what does not go
through it is looked at again, slowly, by ``_look_closely``, which has the sentences.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from datetime import datetime

from hardware.log_header import ELAPSED, TIME, LogColumns, shortened
from hardware.log_lines import LONGEST_LINE
from supervisor.core.errors import InputError
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import F_PER_C, ICE_POINT_F, Unit, from_c, show_temp, to_c

LOWEST_C = -300.0
HIGHEST_C = 3000.0
"""Beyond these, in °C, a cell is no temperature of a kiln, a shed or a broken probe."""
LONGEST_S = 1e9
"""Elapsed times lie within 31 years of zero, either way."""

_NO_FAULTS: Mapping[str, FaultCause] = {}


def table_of(lines: Iterator[str], name: str) -> Iterator[tuple[int, list[str]]]:
    """Rows of cells with the number of their last line; blank lines are left out.

    Raises InputError where the text is not proper CSV.
    """
    reader = csv.reader(lines, strict=True)
    try:
        for row in reader:
            if row:
                yield reader.line_num, row
    except csv.Error as error:
        raise _not_csv(error, name, reader.line_num) from None


def read_rows(lines: Iterator[str], columns: LogColumns, name: str) -> Iterator[Reading]:
    """The readings of a log, its header line first among ``lines``.

    ``name`` is how messages call the file. Raises InputError at the first row that does not
    fit: too few or too many cells, no number, NaN, out of range, or time that stands still or
    goes backwards.
    """
    width, elapsed_at, time_at = columns.width, columns.elapsed_at, columns.time_at
    faults_at = columns.faults_at
    places = [
        (channel, place, columns.units[channel] is Unit.F)
        for channel, place in columns.temps_at.items()
    ]
    low_c, high_c, longest_s = LOWEST_C, HIGHEST_C, LONGEST_S
    ice_point_f, f_per_c, from_iso, number = ICE_POINT_F, F_PER_C, datetime.fromisoformat, float
    last_s, started_at_s = -math.inf, None
    header_passed = False
    reader = csv.reader(lines, strict=True)
    try:
        for row in reader:
            if len(row) != width or not header_passed:
                if row and header_passed:
                    raise _wrong_width(row, columns, f"{name}, line {reader.line_num}")
                header_passed = header_passed or bool(row)
                continue
            try:
                label = None if time_at is None else row[time_at]
                if elapsed_at is not None:
                    cell = row[elapsed_at]
                    elapsed_s = number(cell)
                    fits = "_" not in cell
                else:
                    moment = from_iso(label or "")
                    moment_s = moment.timestamp()
                    if started_at_s is None:
                        started_at_s = moment_s
                    elapsed_s = moment_s - started_at_s
                    fits = moment.tzinfo is not None
                fits = fits and last_s < elapsed_s and -longest_s <= elapsed_s <= longest_s
                temps_c: dict[str, float | None] = {}
                for channel, place, is_f in places:
                    cell = row[place]
                    if cell:
                        temp = number(cell)
                        if is_f:
                            temp = (temp - ice_point_f) / f_per_c
                        if not low_c <= temp <= high_c or "_" in cell:
                            fits = False
                        temps_c[channel] = temp
                    else:
                        temps_c[channel] = None
            except (ValueError, OverflowError):
                fits = False
            if not fits:
                where = f"{name}, line {reader.line_num}"
                elapsed_s, started_at_s = _time_closely(row, columns, where, last_s, started_at_s)
                temps_c = _temps_closely(row, columns, where)
            last_s = elapsed_s
            if faults_at:
                faults = _faults(row, columns, f"{name}, line {reader.line_num}")
                if faults:
                    temps_c.update(dict.fromkeys(faults))
                yield Reading(elapsed_s, temps_c, faults, label or None)
            else:
                yield Reading(elapsed_s, temps_c, _NO_FAULTS, label or None)
    except csv.Error as error:
        raise _not_csv(error, name, reader.line_num) from None


def _time_closely(
    row: list[str], columns: LogColumns, where: str, last_s: float, started_at_s: float | None
) -> tuple[float, float | None]:
    if columns.elapsed_at is not None:
        column = ELAPSED
        text = row[columns.elapsed_at].strip()
        elapsed_s = _number(text)
        if elapsed_s is None or not -LONGEST_S <= elapsed_s <= LONGEST_S:
            raise InputError(
                f'"{shortened(text)}" is no elapsed time; seconds are needed, such as 90 or 90.5.',
                where=f"{where}, column {column}",
            )
    else:
        column = TIME
        text = "" if columns.time_at is None else row[columns.time_at].strip()
        moment_s = _moment_s(text)
        if moment_s is None:
            raise InputError(
                f'"{shortened(text)}" is no time with an offset; one such as '
                "2025-03-01T18:30:00+01:00 is needed.",
                where=f"{where}, column {column}",
            )
        started_at_s = moment_s if started_at_s is None else started_at_s
        elapsed_s = moment_s - started_at_s
    if elapsed_s <= last_s:
        how = "stands still" if elapsed_s == last_s else "goes backwards"
        raise InputError(
            f'time {how} at "{shortened(text)}"; each row must be later than the one before.',
            where=f"{where}, column {column}",
        )
    return elapsed_s, started_at_s


def _temps_closely(row: list[str], columns: LogColumns, where: str) -> dict[str, float | None]:
    temps_c: dict[str, float | None] = {}
    for channel, place in columns.temps_at.items():
        unit = columns.units[channel]
        text = row[place].strip()
        temp = _number(text)
        temp_c = None if temp is None else to_c(temp, unit)
        if text and (temp_c is None or not LOWEST_C <= temp_c <= HIGHEST_C):
            allowed = f"{from_c(LOWEST_C, unit):.0f} to {show_temp(HIGHEST_C, unit)}"
            raise InputError(
                f'"{shortened(text)}" is no temperature; a number from {allowed}, or nothing '
                "where there is no reading, is needed.",
                where=f"{where}, column {columns.names[place]}",
            )
        temps_c[channel] = temp_c
    return temps_c


def _faults(row: list[str], columns: LogColumns, where: str) -> Mapping[str, FaultCause]:
    faults: dict[str, FaultCause] = {}
    for channel, place in columns.faults_at.items():
        text = row[place].strip()
        if not text:
            continue
        try:
            faults[channel] = FaultCause(text)
        except ValueError:
            raise InputError(
                f'"{shortened(text)}" is no fault that spyhole knows; '
                f"{', '.join(FaultCause)}, or nothing, is allowed.",
                where=f"{where}, column {columns.names[place]}",
            ) from None
    return faults or _NO_FAULTS


def _number(text: str) -> float | None:
    """The number that a cell holds; ``None`` for NaN, the infinities and anything else."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in text else None


def _moment_s(text: str) -> float | None:
    try:
        moment = datetime.fromisoformat(text)
        return None if moment.tzinfo is None else moment.timestamp()
    except (ValueError, OverflowError):
        return None


def _wrong_width(row: list[str], columns: LogColumns, where: str) -> InputError:
    cells = "1 cell" if len(row) == 1 else f"{len(row)} cells"
    return InputError(
        f"the row has {cells} and the header has {columns.width}; they must be as many.",
        where=where,
    )


def _not_csv(error: csv.Error, name: str, line: int) -> InputError:
    if "field larger" in str(error):
        what = f"a cell is longer than {LONGEST_LINE:,} characters; this is no log."
    else:
        what = (
            "this is not proper CSV: a quotation mark is opened and not closed, or has something "
            "behind it."
        )
    return InputError(what, where=f"{name}, line {line}")
