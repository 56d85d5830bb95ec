"""Rows of readings packed into blocks, an hour at a time, and the summary beside them.

Each step is short and within one transaction of the thread that writes, so that a firing which
goes on hardly waits. A row is deleted only in the transaction that keeps it in a block, and only
after the block was read back and found to be the same. What can't be packed (times that go back)
stays in rows, and is read as well.
"""

from __future__ import annotations

import sqlite3
from itertools import pairwise

from supervisor.record.blocks import Block, packed, unpacked
from supervisor.record.gist import Gist
from supervisor.record.readings import bounds, end_of_blocks, firing_number, row_chunks
from supervisor.record.summary import SUMMARY_VERSION, Summary
from supervisor.record.tables import find_firing

MARK = (
    "(SELECT count(*) FROM note WHERE firing_n = firing.n) || ' notes, ' || "
    "(SELECT count(*) FROM observation WHERE firing_n = firing.n AND is_withdrawn = 0) || ' of ' "
    "|| (SELECT count(*) FROM observation WHERE firing_n = firing.n) || ' looks' || "
    "coalesce(', ' || nullif((SELECT count(*) FROM note WHERE firing_n = firing.n "
    "AND withdrawn_at_s IS NOT NULL), 0) || ' notes taken back', '')"
)
"""SQL for what differs once something was written that a firing's facts are made of.

Where no note was taken back it is what it was before that could be, or all would be summed up anew.
"""


def pack_next(connection: sqlite3.Connection, firing_id: str) -> int:
    """Pack the next hour of a closed firing's rows; how many readings, 0 if nothing is left."""
    firing = find_firing(connection, firing_id)
    if firing.is_open:
        return 0
    return pack_rows(connection, firing_number(connection, firing_id), len(firing.channels))


def pack_rows(connection: sqlite3.Connection, firing_n: int, channels: int) -> int:
    """The same of a firing that nobody appends to; ``channels`` is how many it has."""
    numbers, block = next(row_chunks(connection, firing_n, channels), ((), None))
    if block is None:
        return 0
    first_n, count = end_of_blocks(connection, firing_n), len(numbers)
    data = _data_of(block, _last_packed_s(connection, firing_n))
    if data is None or numbers[0] != first_n or numbers[-1] != first_n + count - 1:
        return 0
    insert_block(connection, first_n, block, data)
    connection.execute(
        "DELETE FROM reading WHERE n BETWEEN ? AND ?", (first_n, first_n + count - 1)
    )
    return count


def insert_block(connection: sqlite3.Connection, first_n: int, block: Block, data: bytes) -> None:
    """Write a block whose first reading has this number; ``data`` is it packed."""
    connection.execute(
        "INSERT INTO block (n, readings, first_s, last_s, data) VALUES (?, ?, ?, ?, ?)",
        (first_n, len(block.elapsed_s), block.elapsed_s[0], block.elapsed_s[-1], data),
    )


def _last_packed_s(connection: sqlite3.Connection, firing_n: int) -> float:
    row = connection.execute(
        "SELECT last_s FROM block WHERE n BETWEEN ? AND ? ORDER BY n DESC LIMIT 1",
        bounds(firing_n),
    ).fetchone()
    return float("-inf") if row is None else float(row[0])


def _data_of(block: Block, after_s: float) -> bytes | None:
    """The block's bytes; None where it can't be a block of its own."""
    if block.elapsed_s[0] < after_s or any(b < a for a, b in pairwise(block.elapsed_s)):
        return None
    data = packed(block)
    again = unpacked(data)
    same = (
        list(block.elapsed_s) == list(again.elapsed_s)
        and list(block.faults) == list(again.faults)
        and [list(column) for column in block.temps_c] == list(again.temps_c)
    )
    return data if same else None


def keep_summary(
    connection: sqlite3.Connection,
    firing_id: str,
    summary: Summary,
    overview: bytes,
    gist: Gist,
    mark: str,
) -> None:
    """Keep what a closed firing comes to; an older summary gives way.

    ``mark`` is ``MARK``'s of when it was made: notes and looks that come later change it.
    """
    connection.execute(
        "INSERT INTO summary (firing_n, version, mark, readings, first_s, last_s, peak_c, cone, "
        "line, overview, trace, works, point) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
        "ON CONFLICT (firing_n) DO UPDATE SET "
        "version = excluded.version, mark = excluded.mark, readings = excluded.readings, "
        "first_s = excluded.first_s, "
        "last_s = excluded.last_s, peak_c = excluded.peak_c, cone = excluded.cone, "
        "line = excluded.line, overview = excluded.overview, trace = excluded.trace, "
        "works = excluded.works, point = excluded.point",
        (
            firing_number(connection, firing_id),
            SUMMARY_VERSION,
            mark,
            summary.readings,
            summary.first_s,
            summary.last_s,
            summary.peak_c,
            summary.cone,
            summary.to_json(),
            overview,
            gist.trace,
            gist.works,
            gist.point,
        ),
    )
