"""The readings: adds rows in the order of acceptance and reads them back, packed or not.

Knows row numbers, blocks and label segments; knows nothing of threads or batches. Whoever reads
does so within one transaction, for rows may become a block meanwhile.
"""

from __future__ import annotations

import json
import sqlite3
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from supervisor.core.errors import InputError, RecordError
from supervisor.core.readings import Reading
from supervisor.record.blocks import Block, unpacked
from supervisor.record.labels import Segment
from supervisor.record.rows import Columns, Extent, ReadingRow, reading_of
from supervisor.record.schema import READINGS_PER_FIRING

BLOCK_READINGS = 3600
"""Readings in a block: an hour at one a second."""


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


def bounds(firing_n: int) -> tuple[int, int]:
    """The first and the last row number that a firing's readings may have."""
    first = firing_n * READINGS_PER_FIRING
    return first, first + READINGS_PER_FIRING - 1


def end_of_blocks(connection: sqlite3.Connection, firing_n: int) -> int:
    """The row number after the last reading that is packed; the first one where none is."""
    row = connection.execute(
        "SELECT n + readings FROM block WHERE n BETWEEN ? AND ? ORDER BY n DESC LIMIT 1",
        bounds(firing_n),
    ).fetchone()
    return bounds(firing_n)[0] if row is None else int(row[0])


def _find_end(connection: sqlite3.Connection, firing_id: str) -> _End:
    firing_n = firing_number(connection, firing_id)
    (last,) = connection.execute(
        "SELECT max(n) FROM reading WHERE n BETWEEN ? AND ?", bounds(firing_n)
    ).fetchone()
    segment = connection.execute(
        "SELECT elapsed_s, label FROM label_segment WHERE n BETWEEN ? AND ? "
        "ORDER BY n DESC LIMIT 1",
        bounds(firing_n),
    ).fetchone()
    return _End(
        end_of_blocks(connection, firing_n) if last is None else last + 1,
        Segment(0.0, None) if segment is None else Segment(*segment),
    )


def extent(connection: sqlite3.Connection, firing_n: int) -> Extent | None:
    """How much of the firing is recorded; ``None`` before the first reading."""
    within = bounds(firing_n)
    # Asked one by one, each is answered from an end of its table instead of by a walk.
    first_s = last_s = None
    for table, first, last in (("block", "first_s", "last_s"), ("reading", "elapsed_s", "")):
        for way, column in (("ASC", first), ("DESC", last or first)):
            row = connection.execute(
                f"SELECT {column} FROM {table} WHERE n BETWEEN ? AND ? ORDER BY n {way} LIMIT 1",  # noqa: S608 - constant text
                within,
            ).fetchone()
            if row is None:
                break
            if way == "DESC":
                last_s = row[0]
            elif first_s is None:
                first_s = row[0]
    if first_s is None or last_s is None:
        return None
    (last_n,) = connection.execute(
        "SELECT max(n) FROM reading WHERE n BETWEEN ? AND ?", within
    ).fetchone()
    end = end_of_blocks(connection, firing_n) if last_n is None else last_n + 1
    return Extent(end - within[0], first_s, last_s)


def chunks(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: int,
    from_s: float | None = None,
    to_s: float | None = None,
) -> Iterator[tuple[Sequence[int], Block]]:
    """The firing's readings between two times (both included), some at a time.

    Each with the numbers of its readings' rows. ``channels`` is how many there are.
    """
    rows = connection.execute(
        "SELECT n, data, first_s, last_s FROM block WHERE n BETWEEN ? AND ? "
        "AND last_s >= coalesce(?, -9e999) AND first_s <= coalesce(?, 9e999) ORDER BY n",
        (*bounds(firing_n), from_s, to_s),
    )
    for n, data, first_s, last_s in rows:
        block = unpacked(data)
        if (from_s is None or first_s >= from_s) and (to_s is None or last_s <= to_s):
            yield range(n, n + len(block.elapsed_s)), block
            continue
        # What is packed rises in time.
        start = 0 if from_s is None else bisect_left(block.elapsed_s, from_s)
        stop = len(block.elapsed_s) if to_s is None else bisect_right(block.elapsed_s, to_s)
        yield range(n + start, n + stop), part_of(block, start, stop)
    yield from row_chunks(connection, firing_n, channels, from_s, to_s)


def row_chunks(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: int,
    from_s: float | None = None,
    to_s: float | None = None,
) -> Iterator[tuple[Sequence[int], Block]]:
    """As ``chunks``, of those readings that are not packed."""
    rows = connection.execute(
        "SELECT n, elapsed_s, temps_c, faults FROM reading WHERE n BETWEEN ? AND ? "
        "AND elapsed_s >= coalesce(?, -9e999) AND elapsed_s <= coalesce(?, 9e999) ORDER BY n",
        (*bounds(firing_n), from_s, to_s),
    )
    while some := rows.fetchmany(BLOCK_READINGS):
        # Parsed at once, which takes a fraction of the time that each by itself does.
        temps_c = json.loads(f"[{','.join(row[2] for row in some)}]")
        columns = [list(column) for column in zip(*temps_c, strict=True)]
        if len(columns) != channels:
            raise RecordError(f"readings have {len(columns)} values, not {channels}")
        yield (
            [row[0] for row in some],
            Block([row[1] for row in some], columns, [row[3] for row in some]),
        )


def part_of(block: Block, start: int, stop: int) -> Block:
    """Some of its readings, one after the other."""
    return Block(
        block.elapsed_s[start:stop],
        [column[start:stop] for column in block.temps_c],
        block.faults[start:stop],
    )


def iterate(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: tuple[str, ...],
    from_s: float | None,
    to_s: float | None,
) -> Iterator[Reading]:
    """The firing's readings in the order in which they were taken, both bounds included."""
    segments = connection.execute(
        "SELECT n, elapsed_s, label FROM label_segment WHERE n BETWEEN ? AND ? ORDER BY n",
        bounds(firing_n),
    )
    segment = Segment(0.0, None)
    following = segments.fetchone()
    for numbers, block in chunks(connection, firing_n, len(channels), from_s, to_s):
        values = zip(*block.temps_c, strict=True)
        rows = zip(block.elapsed_s, values, block.faults, strict=True)
        for n, (elapsed_s, temps_c, faults) in zip(numbers, rows, strict=True):
            while following is not None and following[0] <= n:
                segment = Segment(following[1], following[2])
                following = segments.fetchone()
            yield reading_of(channels, elapsed_s, temps_c, faults, segment.label_at(elapsed_s))


def columns(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: Sequence[str],
    from_s: float | None = None,
    to_s: float | None = None,
) -> Columns:
    """The same as columns of numbers, without labels and faults: ten times as quick."""
    elapsed_s: list[float] = []
    temps_c: list[list[float | None]] = [[] for _ in channels]
    for _, block in chunks(connection, firing_n, len(channels), from_s, to_s):
        elapsed_s.extend(block.elapsed_s)
        for column, more in zip(temps_c, block.temps_c, strict=True):
            column.extend(more)
    return Columns(elapsed_s, dict(zip(channels, temps_c, strict=True)))


def has_labels(connection: sqlite3.Connection, firing_n: int) -> bool:
    """True if any reading of the firing has a wall-clock label."""
    found = connection.execute(
        "SELECT 1 FROM label_segment WHERE n BETWEEN ? AND ? AND label IS NOT NULL LIMIT 1",
        bounds(firing_n),
    ).fetchone()
    return found is not None


def fault_texts(connection: sqlite3.Connection, firing_n: int, channels: int) -> set[str]:
    """The different texts that stand for the faults of a reading of the firing."""
    return {
        text
        for _, block in chunks(connection, firing_n, channels)
        for text in set(block.faults)
        if text is not None
    }
