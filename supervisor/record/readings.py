"""The table of readings: adds rows in the order of acceptance and reads them back.

Knows row numbers and label segments; knows nothing of threads, batches or transactions.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.record.labels import Segment
from supervisor.record.rows import Extent, ReadingRow, reading_from_row
from supervisor.record.schema import READINGS_PER_FIRING


@dataclass(slots=True)
class _End:
    """Where a firing's readings end: the next row number and the labels' last segment."""

    next_n: int
    segment: Segment


class ReadingAppender:
    """Adds readings; for the one thread that writes.

    It remembers each firing's end. After a transaction was rolled back, ``forget`` must be
    called, or rows would be left out.
    """

    def __init__(self) -> None:
        self._ends: dict[str, _End] = {}

    def forget(self) -> None:
        """Look the ends up again at the next reading."""
        self._ends.clear()

    def add(self, connection: sqlite3.Connection, row: ReadingRow) -> None:
        """Write one reading and, where its label does not run on, a new segment."""
        end = self._ends.get(row.firing_id)
        if end is None:
            end = self._ends[row.firing_id] = _find_end(connection, row.firing_id)
        if row.label != end.segment.label_at(row.elapsed_s):
            end.segment = Segment(row.elapsed_s, row.label)
            connection.execute(
                "INSERT INTO label_segment (n, elapsed_s, label) VALUES (?, ?, ?)",
                (end.next_n, row.elapsed_s, row.label),
            )
        connection.execute(
            "INSERT INTO reading (n, elapsed_s, temps_c, faults) VALUES (?, ?, ?, ?)",
            (end.next_n, row.elapsed_s, row.temps_c, row.faults),
        )
        end.next_n += 1


def firing_number(connection: sqlite3.Connection, firing_id: str) -> int:
    """The firing's number in the tables. Raises InputError if there is none."""
    found = connection.execute("SELECT n FROM firing WHERE id = ?", (firing_id,)).fetchone()
    if found is None:
        raise InputError(f'there is no firing "{firing_id}" in the record')
    return int(found[0])


def _bounds(firing_n: int) -> tuple[int, int]:
    first = firing_n * READINGS_PER_FIRING
    return first, first + READINGS_PER_FIRING - 1


def _find_end(connection: sqlite3.Connection, firing_id: str) -> _End:
    bounds = _bounds(firing_number(connection, firing_id))
    (last,) = connection.execute(
        "SELECT max(n) FROM reading WHERE n BETWEEN ? AND ?", bounds
    ).fetchone()
    segment = connection.execute(
        "SELECT elapsed_s, label FROM label_segment WHERE n BETWEEN ? AND ? "
        "ORDER BY n DESC LIMIT 1",
        bounds,
    ).fetchone()
    return _End(
        bounds[0] if last is None else last + 1,
        Segment(0.0, None) if segment is None else Segment(*segment),
    )


def extent(connection: sqlite3.Connection, firing_n: int) -> Extent | None:
    """How much of the firing is recorded; ``None`` before the first reading."""
    bounds = _bounds(firing_n)
    # Asked one by one, each is answered from the end of the table instead of by a walk.
    (first,) = connection.execute(
        "SELECT min(n) FROM reading WHERE n BETWEEN ? AND ?", bounds
    ).fetchone()
    (last,) = connection.execute(
        "SELECT max(n) FROM reading WHERE n BETWEEN ? AND ?", bounds
    ).fetchone()
    if first is None:
        return None
    times = dict(
        connection.execute("SELECT n, elapsed_s FROM reading WHERE n IN (?, ?)", (first, last))
    )
    return Extent(last - first + 1, times[first], times[last])


def iterate(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: tuple[str, ...],
    from_s: float | None,
    to_s: float | None,
) -> Iterator[Reading]:
    """The firing's readings in the order in which they were taken, both bounds included."""
    bounds = _bounds(firing_n)
    segments = connection.execute(
        "SELECT n, elapsed_s, label FROM label_segment WHERE n BETWEEN ? AND ? ORDER BY n", bounds
    )
    segment = Segment(0.0, None)
    following = segments.fetchone()
    rows = connection.execute(
        "SELECT n, elapsed_s, temps_c, faults FROM reading WHERE n BETWEEN ? AND ? "
        "AND elapsed_s >= coalesce(?, -9e999) AND elapsed_s <= coalesce(?, 9e999) ORDER BY n",
        (*bounds, from_s, to_s),
    )
    for n, elapsed_s, temps_c, faults in rows:
        while following is not None and following[0] <= n:
            segment = Segment(following[1], following[2])
            following = segments.fetchone()
        yield reading_from_row(channels, elapsed_s, temps_c, faults, segment.label_at(elapsed_s))


def has_labels(connection: sqlite3.Connection, firing_n: int) -> bool:
    """True if any reading of the firing has a wall-clock label."""
    found = connection.execute(
        "SELECT 1 FROM label_segment WHERE n BETWEEN ? AND ? AND label IS NOT NULL LIMIT 1",
        _bounds(firing_n),
    ).fetchone()
    return found is not None


def fault_columns(connection: sqlite3.Connection, firing_n: int) -> Iterator[str]:
    """The different texts in the faults column of the firing."""
    rows = connection.execute(
        "SELECT DISTINCT faults FROM reading WHERE n BETWEEN ? AND ? AND faults IS NOT NULL",
        _bounds(firing_n),
    )
    return (faults for (faults,) in rows)
