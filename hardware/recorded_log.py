"""A recorded log (CSV) as a stream of readings, and as a source like any other.

Turns each row into a ``Reading`` or into one sentence that says what does not fit, where, and
what would. °F becomes °C here, once. Refuses to know what readings are for. Our own format is in
``log_header``, and how it may end in ``log_end``; a log from elsewhere is read through a mapping of
its columns (``log_columns``), which forgives more: what does not fit is no reading or is passed
over, and is counted.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from hardware.column_mapping import ColumnMapping
from hardware.log_end import TornEnd, bytes_before_zeros, torn_end
from hardware.log_header import ELAPSED, TIME, LogColumns, read_header
from hardware.log_lines import lines_of, open_log
from hardware.log_rows import read_rows, table_of
from hardware.mapped_columns import MappedColumns, find_columns
from hardware.mapped_lines import rough_lines
from hardware.mapped_rows import Account, MappedRow, mapped_rows, refusal, remarks
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import Reading
from supervisor.core.units import Unit


class RecordedLog(ABC):
    """A log that was found good. Iterating reads the file from its beginning, each time anew,
    and yields ``Reading``s in order of time."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    @abstractmethod
    def units(self) -> Mapping[str, Unit]:
        """The unit in which the file holds each channel, in the order of the log."""

    @property
    @abstractmethod
    def annotations(self) -> tuple[str, ...]:
        """Names of the columns that are kept beside the readings."""

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels, in order."""
        return tuple(self.units)

    @property
    def remarks(self) -> tuple[str, ...]:
        """What was left out of the log, a sentence each."""
        return ()

    @abstractmethod
    def __iter__(self) -> Iterator[Reading]:
        """The readings."""

    @abstractmethod
    def with_annotations(self) -> Iterator[tuple[Reading, tuple[str, ...]]]:
        """The readings, each with the texts of its annotations, in the order of their names."""


class OwnLog(RecordedLog):
    """A log in our own format, its header and first row checked.

    A row that does not fit raises InputError when it is reached; only the last one, where it was
    cut off (``end``), is left out.
    """

    def __init__(self, path: Path, columns: LogColumns, end: TornEnd | None) -> None:
        super().__init__(path)
        self._columns = columns
        self._end = end

    @property
    def units(self) -> Mapping[str, Unit]:
        return self._columns.units

    @property
    def annotations(self) -> tuple[str, ...]:
        return self._columns.annotations

    @property
    def remarks(self) -> tuple[str, ...]:
        return () if self._end is None else (self._end.said,)

    @property
    def _until(self) -> int | None:
        return None if self._end is None else self._end.until

    def __iter__(self) -> Iterator[Reading]:
        name = name_of(self.path)
        with open_log(self.path, name) as file:
            yield from read_rows(lines_of(file, name, self._until), self._columns, name)

    def with_annotations(self) -> Iterator[tuple[Reading, tuple[str, ...]]]:
        # The file is read twice side by side, so that reading the temperatures alone costs
        # nothing for the annotations.
        places = [self._columns.names.index(name) for name in self.annotations]
        name = name_of(self.path)
        with open_log(self.path, name) as file:
            rows = table_of(lines_of(file, name, self._until), name)
            next(rows)
            for reading, (_, cells) in zip(self, rows, strict=True):
                yield reading, tuple(cells[place].strip() for place in places)


class MappedLog(RecordedLog):
    """A log from elsewhere, read through a mapping of its columns and gone through once.

    What does not fit is no reading or is passed over, and ``remarks`` says so.
    """

    def __init__(self, path: Path, columns: MappedColumns, said: tuple[str, ...]) -> None:
        super().__init__(path)
        self._columns = columns
        self._said = said

    @property
    def units(self) -> Mapping[str, Unit]:
        return {channel: unit for channel, _, unit in self._columns.temps_at}

    @property
    def annotations(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self._columns.annotations_at)

    @property
    def remarks(self) -> tuple[str, ...]:
        return self._said

    def __iter__(self) -> Iterator[Reading]:
        return (row.reading for row in _mapped(self.path, self._columns, Account()))

    def with_annotations(self) -> Iterator[tuple[Reading, tuple[str, ...]]]:
        for row in _mapped(self.path, self._columns, Account()):
            yield row.reading, row.annotations


def read_log(path: Path | str, mapping: ColumnMapping | None = None) -> RecordedLog:
    """The log at ``path``. Raises InputError where it is none.

    Without a ``mapping`` it is one in our own format, its header and first row checked. With
    one, the whole of it is gone through once, for what was left out; raises InputError as well
    where a column of the mapping is not there, or where too little of the log can be used.
    """
    path = Path(path)
    return _read_own(path) if mapping is None else _read_mapped(path, mapping)


def _read_own(path: Path) -> OwnLog:
    name = name_of(path)
    with open_log(path, name) as file:
        cells = next(table_of(lines_of(file, name, bytes_before_zeros(file, name)), name), None)
        if cells is None:
            raise InputError(
                f'the file is empty; a log begins with a line that names its columns, "{ELAPSED}" '
                f'or "{TIME}" first.',
                where=name,
            )
        columns = read_header(cells[1], f"{name}, line {cells[0]}")
        end = torn_end(file, columns, name)
    log = OwnLog(path, columns, end)
    if next(iter(log), None) is None:
        what = "no readings" if end is None else "nothing but a row that was cut off"
        raise InputError(f"the file has a line that names columns and {what} below it.", where=name)
    return log


def _read_mapped(path: Path, mapping: ColumnMapping) -> MappedLog:
    name = name_of(path)
    lines = enumerate(rough_lines(path, mapping.encoding), start=1)
    columns = find_columns(lines, mapping, name)
    account = Account()
    for _ in _mapped(path, columns, account):
        pass
    why_not = refusal(account, columns)
    if why_not is not None:
        raise InputError(why_not, where=name)
    return MappedLog(path, columns, remarks(account, columns))


def _mapped(path: Path, columns: MappedColumns, account: Account) -> Iterator[MappedRow]:
    lines = enumerate(rough_lines(path, columns.mapping.encoding), start=1)
    return mapped_rows(lines, columns, account)


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

    Reads the file anew. Raises InputError as iterating over the log does.
    """
    if not log.annotations:
        return
    before: dict[str, str] = {}
    for reading, texts in log.with_annotations():
        for column, text in zip(log.annotations, texts, strict=True):
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
