"""A damaged record: what can be read of it saved into a new file, and what was lost said.

The tables are walked by their row numbers, around what SQLite can't read, and each row is looked
at before it is taken. The old file is kept as it is under another name. Nobody else may write
meanwhile; whoever calls sees to that.
"""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from supervisor.core.errors import RecordError
from supervisor.record.blocks import unpacked
from supervisor.record.packing import insert_block
from supervisor.record.readings import bounds
from supervisor.record.rows import to_json
from supervisor.record.schema import (
    READINGS_PER_FIRING,
    explain,
    open_for_reading,
    open_for_writing,
)
from supervisor.whole_file import settle

_TABLES = (
    "label_segment",
    "event",
    "note",
    "alert",
    "alert_book",
    "observation",
    "offset_change",
    "probe_change",
    "outbox",
    "account",
    "finding",
    "photo",
    "audit",
)
"""What is copied row by row, after the firings and before their readings. Summaries are worked out
anew."""


@dataclass(frozen=True, slots=True)
class Repaired:
    """What was saved into the new file, where the old one is now, and what was lost, in words."""

    kept_old: Path
    firings: int
    readings: int
    lost: tuple[str, ...]


def repair(path: Path, label: str) -> Repaired:
    """Save what can be read of the record at ``path`` into a new file in its place.

    ``label`` becomes part of the old file's new name. Raises RecordError where nothing can be
    read, or the disk refuses; then the record is as it was.
    """
    draft = path.with_name(f"{path.name}.repaired")
    for leftover in _with_companions(draft):
        leftover.unlink(missing_ok=True)
    try:
        with closing(open_for_reading(path)) as old, closing(open_for_writing(draft)) as new:
            saving = _Saving(old, new)
            new.execute("BEGIN IMMEDIATE")
            saving.run()
            new.execute("COMMIT")
            (verdict,) = new.execute("PRAGMA integrity_check(1)").fetchone()
            if verdict != "ok":
                raise RecordError(f"the new file would not be sound either: {verdict}")
            new.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        if not saving.firings:
            raise RecordError(f"nothing can be read of {path}: put a backup back in its place")
        kept_old = _change_places(path, draft, label)
    except sqlite3.Error as error:
        raise RecordError(explain(error, path)) from None
    except OSError as error:
        if isinstance(error, RecordError):
            raise
        raise RecordError(f"{path} can't be repaired: {error.strerror}") from None
    finally:
        for leftover in _with_companions(draft):
            with contextlib.suppress(OSError):
                leftover.unlink(missing_ok=True)
    return Repaired(kept_old, saving.firings, saving.readings, tuple(saving.lost))


def _with_companions(path: Path) -> tuple[Path, ...]:
    return tuple(path.with_name(f"{path.name}{end}") for end in ("", "-wal", "-shm"))


def _change_places(path: Path, draft: Path, label: str) -> Path:
    """Put the new file where the old one was; where the old one is now."""
    kept = path.with_name(f"{path.name}.damaged-{label}")
    os.link(path, kept)
    # What waits in the old file's log must never get into the new one.
    for end in ("-wal", "-shm"):
        beside = path.with_name(f"{path.name}{end}")
        if beside.exists():
            beside.rename(kept.with_name(f"{kept.name}{end}"))
    draft.replace(path)
    settle(path.parent)
    return kept


class _Saving:
    """Copies what can be read from one connection to the other."""

    def __init__(self, old: sqlite3.Connection, new: sqlite3.Connection) -> None:
        self._old = old
        self._new = new
        self.firings = 0
        self.readings = 0
        self.lost: list[str] = []

    def run(self) -> None:
        self._new.execute("PRAGMA defer_foreign_keys = ON")
        ids = self._firings()
        for table in _TABLES:
            self._table(table, ids)
        for firing_n, firing_id in self._with_readings(ids):
            self._readings_of(firing_n, firing_id)

    def _firings(self) -> dict[int, str]:
        ids: dict[int, str] = {}
        for _, row in self._rows("firing"):
            with self._or_lost("a firing"):
                self._insert("firing", row)
                ids[row["n"]] = row["id"]
                self.firings += 1
        return ids

    def _table(self, table: str, ids: dict[int, str]) -> None:
        lost = 0
        for _, row in self._rows(table):
            firing_n = row.get("firing_n")
            if table == "label_segment":
                firing_n = row["n"] // READINGS_PER_FIRING
            try:
                if firing_n is not None and firing_n not in ids:
                    self._stub(firing_n, ids)
                self._insert(table, row)
            except sqlite3.IntegrityError:
                lost += 1
        if lost:
            self.lost.append(f"{lost:,} rows of {table} that made no sense")

    def _with_readings(self, ids: dict[int, str]) -> Iterator[tuple[int, str]]:
        """The firings with readings; one whose own row is lost gets another."""
        found = dict(ids)
        for table in ("block", "reading"):
            try:
                rows = self._old.execute(
                    f"SELECT DISTINCT n / ? FROM {table} NOT INDEXED",  # noqa: S608 - constant names
                    (READINGS_PER_FIRING,),
                )
                for (firing_n,) in rows:
                    if firing_n not in found:
                        found[firing_n] = self._stub(firing_n, ids)
            except sqlite3.Error:
                # Those whose row is there are looked for in any case.
                continue
        yield from sorted(found.items())

    def _stub(self, firing_n: int, ids: dict[int, str]) -> str:
        """A row for a firing of which nothing but what belongs to it could be read."""
        channels = self._channels_of(firing_n)
        firing_id = self._id_of(firing_n) or f"saved-{firing_n:04}"
        self._new.execute(
            "INSERT INTO firing (n, id, kiln, name, mode, state, channels, units, ended_at_s, "
            "settings) VALUES (?, ?, 'unknown', 'saved from a damaged record', 'live', 'closed', "
            "?, 'C', 0, '{}')",
            (firing_n, firing_id, to_json(channels)),
        )
        ids[firing_n] = firing_id
        self.firings += 1
        self.lost.append(
            f"kiln, name and plan of firing {firing_id}, which has the channels "
            f"{', '.join(channels)} now"
        )
        return firing_id

    def _id_of(self, firing_n: int) -> str | None:
        """What its alerts say that the firing is called."""
        for _, row in self._rows("alert"):
            with contextlib.suppress(ValueError, TypeError, KeyError):
                if row["firing_n"] == firing_n:
                    return str(json.loads(row["line"])["firing"])
        return None

    def _channels_of(self, firing_n: int) -> list[str]:
        """As many channels as there are values; by name where a fault tells which is which."""
        names: list[str | None] = []
        for temps_c, faults in self._values_of(firing_n):
            names = names or [None] * len(temps_c)
            blank = [place for place, temp_c in enumerate(temps_c) if temp_c is None]
            if len(blank) == len(faults) == 1 and blank[0] < len(names):
                (name,) = faults
                if name not in names:
                    names[blank[0]] = name
        return [name or f"channel {number}" for number, name in enumerate(names or [None], 1)]

    def _values_of(self, firing_n: int) -> Iterator[tuple[Sequence[float | None], dict[str, str]]]:
        for _, row in self._rows("block", *bounds(firing_n)):
            with contextlib.suppress(RecordError, ValueError, TypeError):
                block = unpacked(row["data"])
                for *temps_c, faults in zip(*block.temps_c, block.faults, strict=True):
                    yield temps_c, json.loads(faults or "{}")
        for _, row in self._rows("reading", *bounds(firing_n)):
            with contextlib.suppress(ValueError, TypeError):
                yield json.loads(row["temps_c"]), json.loads(row["faults"] or "{}")

    def _readings_of(self, firing_n: int, firing_id: str) -> None:
        """Blocks, then rows, numbered anew without gaps, so that they can be counted."""
        first_n, last_n = bounds(firing_n)
        names = self._names_of(firing_n)
        channels = len(names)
        next_n, expected_n, last_s = first_n, first_n, float("-inf")
        moved: list[tuple[int, int]] = []
        for n, row in self._rows("block", first_n, last_n):
            with contextlib.suppress(RecordError):
                block = unpacked(row["data"])
                if len(block.temps_c) != channels or not block.elapsed_s:
                    continue
                self._gap(firing_id, n - expected_n, last_s, block.elapsed_s[0])
                insert_block(self._new, next_n, block, row["data"])
                moved.append((n, next_n))
                next_n += len(block.elapsed_s)
                expected_n, last_s = n + len(block.elapsed_s), block.elapsed_s[-1]
        for n, row in self._rows("reading", max(first_n, expected_n), last_n):
            try:
                temps_c = json.loads(row["temps_c"])
                if len(temps_c) != channels or row["elapsed_s"] < last_s:
                    continue
                if not set(json.loads(row["faults"] or "{}")) <= set(names):
                    row["faults"] = None
            except (ValueError, TypeError):
                continue
            self._gap(firing_id, n - expected_n, last_s, row["elapsed_s"])
            self._insert("reading", {**row, "n": next_n})
            moved.append((n, next_n))
            next_n += 1
            expected_n, last_s = n + 1, row["elapsed_s"]
        self.readings += next_n - first_n
        self._move_labels(first_n, last_n, moved)
        self._last_lost(firing_n, firing_id, expected_n - first_n)

    def _names_of(self, firing_n: int) -> list[str]:
        (text,) = self._new.execute(
            "SELECT channels FROM firing WHERE n = ?", (firing_n,)
        ).fetchone()
        names: list[str] = json.loads(text)
        return names

    def _gap(self, firing_id: str, count: int, from_s: float, to_s: float) -> None:
        if count > 0:
            since = "the beginning" if from_s == float("-inf") else f"{from_s:g} s"
            self.lost.append(
                f"{count:,} readings of firing {firing_id}, from {since} to {to_s:g} s"
            )

    def _last_lost(self, firing_n: int, firing_id: str, found: int) -> None:
        """What a summary tells of readings at the end that were there once."""
        with contextlib.suppress(sqlite3.Error):
            row = self._old.execute(
                "SELECT readings FROM summary WHERE firing_n = ?", (firing_n,)
            ).fetchone()
            if row is not None and row[0] > found:
                self.lost.append(f"{row[0] - found:,} readings at the end of firing {firing_id}")

    def _move_labels(self, first_n: int, last_n: int, moved: Sequence[tuple[int, int]]) -> None:
        """Let labels begin at the readings that they began at, or the first one after that."""
        segments = self._new.execute(
            "SELECT n, elapsed_s, label FROM label_segment WHERE n BETWEEN ? AND ? ORDER BY n",
            (first_n, last_n),
        ).fetchall()
        self._new.execute("DELETE FROM label_segment WHERE n BETWEEN ? AND ?", (first_n, last_n))
        for n, elapsed_s, label in segments:
            # Within a block numbers run on; the last beginning at or before it tells how far
            # it has moved.
            before = [(old, new) for old, new in moved if old <= n]
            shift = (before[-1][1] - before[-1][0]) if before else (moved[0][1] - n if moved else 0)
            self._new.execute(
                "INSERT OR REPLACE INTO label_segment (n, elapsed_s, label) VALUES (?, ?, ?)",
                (max(first_n, n + shift), elapsed_s, label),
            )

    def _insert(self, table: str, row: dict[str, Any]) -> None:
        names = ", ".join(row)
        places = ", ".join("?" for _ in row)
        self._new.execute(
            f"INSERT INTO {table} ({names}) VALUES ({places})",  # noqa: S608 - names of our own schema
            tuple(row.values()),
        )

    @contextlib.contextmanager
    def _or_lost(self, what: str) -> Iterator[None]:
        try:
            yield
        except sqlite3.IntegrityError as error:
            self.lost.append(f"{what} that made no sense ({error})")

    def _rows(
        self, table: str, low: int = 1, high: int = (1 << 63) - 1
    ) -> Iterator[tuple[int, dict[str, Any]]]:
        """The rows of a table that can be read, by row number, around what can't be."""
        names = [row[1] for row in self._new.execute(f"PRAGMA table_info({table})")]
        start, stop = low, high
        is_damaged = False
        while start <= stop:
            try:
                rows = self._old.execute(
                    f"SELECT rowid, {', '.join(names)} FROM {table} NOT INDEXED "  # noqa: S608 - names of our own schema
                    "WHERE rowid BETWEEN ? AND ? ORDER BY rowid",
                    (start, stop),
                )
                for number, *values in rows:
                    start = number + 1
                    yield number, dict(zip(names, values, strict=True))
                break
            except sqlite3.OperationalError as error:
                if "no such" not in str(error):
                    raise
                self.lost.append(f"the table {table}")
                return
            except sqlite3.DatabaseError:
                is_damaged = True
                start = self._after_damage(table, start, stop)
        if is_damaged and table not in ("reading", "block"):
            self.lost.append(f"rows of {table} that can't be read any more")

    def _after_damage(self, table: str, start: int, stop: int) -> int:
        """The lowest row number from which on something can be read again; above ``stop``: none.

        Sought in steps that double, so that little that is sound is passed over, then halved.
        """
        bad, step = start, 1
        while not self._is_readable(table, bad + step, stop):
            bad += step
            step *= 2
            if bad > stop:
                return stop + 1
        good = bad + step
        while good - bad > 1:
            middle = (bad + good) // 2
            if self._is_readable(table, middle, stop):
                good = middle
            else:
                bad = middle
        return good

    def _is_readable(self, table: str, start: int, stop: int) -> bool:
        if start > stop:
            return False
        try:
            self._old.execute(
                f"SELECT * FROM {table} NOT INDEXED WHERE rowid BETWEEN ? AND ? "  # noqa: S608 - constant names
                "ORDER BY rowid LIMIT 1",
                (start, stop),
            ).fetchone()
        except sqlite3.DatabaseError:
            return False
        return True
