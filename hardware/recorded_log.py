"""A recorded log (CSV) as a stream of readings, and as a source like any other.

Turns each row into a ``Reading`` or into one sentence that says what does not fit, where, and
what would. °F becomes °C here, once. Refuses to know what readings are for. The format is in
``log_header``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from hardware.log_header import ELAPSED, TIME, LogColumns, read_header
from hardware.log_lines import lines_of, open_log
from hardware.log_rows import read_rows, table_of
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import Reading
from supervisor.core.units import Unit


class RecordedLog:
    """A log whose header and first row were found good.

    Iterating reads the file from its beginning, each time anew, and yields ``Reading``s in
    order of time; a row that does not fit raises InputError when it is reached.
    """

    def __init__(self, path: Path, columns: LogColumns) -> None:
        self.path = path
        self._columns = columns

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels in the order of the columns."""
        return tuple(self._columns.temps_at)

    @property
    def units(self) -> Mapping[str, Unit]:
        """The unit in which the file holds each channel."""
        return self._columns.units

    @property
    def annotations(self) -> tuple[str, ...]:
        """Names of the columns that are neither time nor temperature nor fault."""
        return self._columns.annotations

    def column_at(self, name: str) -> int:
        """The place of the column of that name, from 0."""
        return self._columns.names.index(name)

    def __iter__(self) -> Iterator[Reading]:
        name = name_of(self.path)
        with open_log(self.path, name) as file:
            yield from read_rows(lines_of(file, name), self._columns, name)


def read_log(path: Path | str) -> RecordedLog:
    """The log at ``path``, its header and first row checked. Raises InputError."""
    path = Path(path)
    name = name_of(path)
    with open_log(path, name) as file:
        cells = next(table_of(lines_of(file, name), name), None)
        if cells is None:
            raise InputError(
                f'the file is empty; a log begins with a line that names its columns, "{ELAPSED}" '
                f'or "{TIME}" first.',
                where=name,
            )
        columns = read_header(cells[1], f"{name}, line {cells[0]}")
    log = RecordedLog(path, columns)
    if next(iter(log), None) is None:
        raise InputError(
            "the file has a line that names columns and no readings below it.", where=name
        )
    return log


@dataclass(frozen=True, slots=True)
class Annotation:
    """What a log says beside temperatures, from this row on; never empty.

    ``elapsed_s`` and ``time`` are those of the row's reading.
    """

    elapsed_s: float
    time: str | None
    column: str
    text: str


def annotations_of(log: RecordedLog) -> Iterator[Annotation]:
    """The log's other columns: each cell that is not blank and not as in the row before.

    Reads the file anew, twice side by side, so that reading the temperatures alone costs
    nothing for it. Raises InputError as iterating over the log does.
    """
    places = [(name, log.column_at(name)) for name in log.annotations]
    if not places:
        return
    name = name_of(log.path)
    before: dict[str, str] = {}
    with open_log(log.path, name) as file:
        rows = table_of(lines_of(file, name), name)
        next(rows)
        for reading, (_, cells) in zip(log, rows, strict=True):
            for column, place in places:
                text = cells[place].strip()
                if text and text != before.get(column):
                    yield Annotation(reading.elapsed_s, reading.time, column, text)
                before[column] = text


def name_of(path: Path) -> str:
    """How messages call the file."""
    return path.name or str(path)


class RecordedLogSource:
    """A log played back reading by reading; implements ``Source``.

    ``due_s`` is the recorded time of the next row, and ``read`` gives that row whatever time
    it is. Both raise InputError at a row that does not fit.
    """

    def __init__(self, log: RecordedLog) -> None:
        self._log = log
        self._rest: Iterator[Reading] | None = iter(log)
        self._next: Reading | None = None

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels in the order of the columns."""
        return self._log.channels

    def due_s(self, after_s: float | None) -> float | None:  # noqa: ARG002
        """Recorded time of the next row, or ``None`` at the log's end."""
        if self._next is None and self._rest is not None:
            self._next = next(self._rest, None)
        return None if self._next is None else self._next.elapsed_s

    def read(self, elapsed_s: float) -> Reading:
        """The next row. Raises RigError after the last one or after ``close``."""
        due_s = self.due_s(elapsed_s)
        reading, self._next = self._next, None
        if due_s is None or reading is None:
            raise RigError(f"{self._log.path.name}: the log has no more readings.")
        return reading

    def close(self) -> None:
        """Let go of the file. May be called twice."""
        self._rest = self._next = None
