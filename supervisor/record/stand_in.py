"""A record in memory, for as long as the file itself can't be written: a kiln is watched meanwhile.

It begins as a copy of what can be read of the file, and goes into the file once that can be
written: whole or not at all, in one transaction. It lies in a file of this machine's memory, so
that it outlives this process, though not the machine's power. The file may hold what could not
be read, or what another program has written in between: so new firings are numbered anew when
they go home, and other new rows begin at a number that nobody else has.

Knows SQL and where memory is; nothing of threads, nor of what the rows mean.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from supervisor.core.errors import RecordError
from supervisor.record.schema import (
    FILE_NAME,
    READINGS_PER_FIRING,
    open_for_reading,
    open_for_writing,
)

MOST_COPIED_BYTES = 64 * 1024 * 1024
"""Of a larger file, the readings of firings that have ended stay where they are: a Raspberry Pi
has 512 MB of memory and more to do with it."""
_LEAST_STEP, _MOST_STEP = 1 << 30, 1 << 40
"""New rows are numbered by so much above what was copied; drawn, so that no two stand-ins agree.
A page's numbers are exact up to 2**53."""
_NUMBERED = ("note", "outbox", "observation", "account", "finding", "photo")
_REPLACED = (
    "firing", "note", "alert_book", "outbox", "observation", "account", "finding", "photo",
)  # fmt: skip
_APPENDED = ("offset_change", "probe_change", "audit")
"""Tables in which order is everything and a number nothing: new rows come after all others."""
_ADDED = ("reading", "label_segment", "event")
_SHRINKING = ("firing", "outbox")
"""Tables of which rows are deleted: a firing that only waited, messages that were sent."""
_BATCH = 10_000
_HOME_N = "home_n"
"""In SQL, the number at home of a firing that has this one here."""


class StandIn:
    """Stands in for the record at ``home``; ``path`` is where it lies meanwhile."""

    def __init__(self, home: Path, folder: Path) -> None:
        self.home = home
        self.path = folder / FILE_NAME
        self.folder = folder

    @classmethod
    def left_for(cls, home: Path) -> StandIn | None:
        """One that an earlier process has left in this machine's memory, if there is one."""
        for base in _memories():
            stand_in = cls(home, base / _name(home))
            if _is_ours(stand_in.folder) and stand_in.path.is_file():
                return stand_in
        return None

    @classmethod
    def make(cls, home: Path) -> StandIn:
        """A new one, with what can be read of the file.

        Raises RecordError where there is no memory to be had for it.
        """
        folder = _new_folder(_name(home))
        stand_in = cls(home, folder)
        try:
            with closing(open_for_writing(stand_in.path)) as connection:
                connection.execute(
                    "CREATE TABLE copied (tbl TEXT, n INTEGER, PRIMARY KEY (tbl, n))"
                )
                with suppress(OSError, sqlite3.Error):
                    stand_in._copy_into(connection)
                _number_above(connection)
        except BaseException:
            stand_in.forget()
            raise
        return stand_in

    def go_home(self, source: sqlite3.Connection) -> sqlite3.Connection:
        """Write all that was kept into the file; the file, open for writing.

        ``source`` is a connection to this stand-in, in no transaction. Raises RecordError or
        sqlite3.Error while that can't be done; nothing has changed then. Once more changes nothing.
        """
        target = open_for_writing(self.home)
        try:
            target.execute("BEGIN IMMEDIATE")
            target.execute("PRAGMA defer_foreign_keys = ON")
            _end_what_is_taken(source, target)
            _number_firings_anew(source, target)
            for table in _SHRINKING:
                _delete_what_is_gone(source, target, table)
            for table in _REPLACED:
                _move(source, target, table, "REPLACE")
            for table in _ADDED:
                _move(source, target, table, "IGNORE")
            for table in _APPENDED:
                _append(source, target, table)
            _move_alerts(source, target)
            _drop_what_is_packed(target)
            target.execute("COMMIT")
        except BaseException:
            if target.in_transaction:
                target.execute("ROLLBACK")
            target.close()
            raise
        return target

    def forget(self) -> None:
        """It is not needed any more."""
        shutil.rmtree(self.folder, ignore_errors=True)

    @contextmanager
    def _looked_at(self) -> Generator[tuple[sqlite3.Connection, bool]]:
        """The file, to be read; whether it is small enough to be copied as a whole.

        Beside a file that was not closed in order SQLite wants room to look at it, which a full or
        a read-only disk does not have: so a small one is looked at as a copy in memory.
        """
        if self.home.stat().st_size > MOST_COPIED_BYTES:
            with closing(open_for_reading(self.home)) as source:
                yield source, False
            return
        beside = self.folder / "copy"
        beside.mkdir()
        try:
            for suffix in ("", "-wal"):
                file = self.home.with_name(f"{FILE_NAME}{suffix}")
                if file.exists():
                    shutil.copyfile(file, beside / file.name)
            with closing(open_for_writing(beside / FILE_NAME)) as source:
                yield source, True
        finally:
            shutil.rmtree(beside, ignore_errors=True)

    def _copy_into(self, connection: sqlite3.Connection) -> None:
        """Copy what can be read of the file; what can't be leaves nothing behind."""
        with self._looked_at() as (source, is_small):
            source.create_function(_HOME_N, 1, lambda n: n)
            connection.execute("BEGIN IMMEDIATE")
            try:
                connection.execute("PRAGMA defer_foreign_keys = ON")
                for table in (*_REPLACED, *_APPENDED, "event"):
                    _move(source, connection, table, "REPLACE")
                _move_alerts(source, connection)
                whose = "" if is_small else _OF_OPEN_FIRINGS
                for table in ("reading", "label_segment"):
                    _move(source, connection, table, "REPLACE", whose)
                if is_small:
                    # What is put away stays so; nothing is put away while this stands in.
                    for table in ("block", "summary"):
                        _move(source, connection, table, "REPLACE")
                for table in (*_SHRINKING, *_APPENDED):
                    key = _key(table)
                    connection.execute(f"INSERT INTO copied SELECT '{table}', {key} FROM {table}")  # noqa: S608 - constant names
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise


_OF_OPEN_FIRINGS = f"WHERE n / {READINGS_PER_FIRING} IN (SELECT n FROM firing WHERE state = 'open')"  # noqa: S608 - constant text


def _key(table: str) -> str:
    return "n" if table == "firing" else "id"


def _number_firings_anew(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """Settle what number each firing has at home: its own if it was copied, else the next one."""
    copied = {n for (n,) in source.execute("SELECT n FROM copied WHERE tbl = 'firing'")}
    known = dict(target.execute("SELECT id, n FROM firing"))
    highest = max(known.values(), default=0)
    at_home: dict[int, int] = {}
    for n, firing_id in source.execute("SELECT n, id FROM firing ORDER BY n"):
        if n not in copied:
            # One that is there already has gone home before, in a process that then ended.
            at_home[n] = known.get(firing_id) or highest + len(at_home) + 1
    if not copied:
        # What began to count before the first firing here came after all that is there.
        at_home[0] = highest
    source.create_function(_HOME_N, 1, lambda n: at_home.get(n, n))


def _read_as(table: str, column: str) -> str:
    """How a column is read for its place at home."""
    if column in ("firing_n", "after_firing_n") or (table, column) == ("firing", "n"):
        return f"{_HOME_N}({column})"
    if column == "n":
        first = f"{_HOME_N}(n / {READINGS_PER_FIRING}) * {READINGS_PER_FIRING}"
        return f"{first} + n % {READINGS_PER_FIRING}"
    return column


def _move(
    source: sqlite3.Connection, target: sqlite3.Connection, table: str, how: str, whose: str = ""
) -> None:
    """Copy a table's rows; ``how`` says what becomes of one that is there already."""
    names = [row[1] for row in target.execute(f"PRAGMA table_info({table})")]
    columns, places = ", ".join(names), ", ".join("?" * len(names))
    read = ", ".join(_read_as(table, name) for name in names)
    rows = source.execute(f"SELECT {read} FROM {table} {whose}")  # noqa: S608 - constant names
    while batch := rows.fetchmany(_BATCH):
        target.executemany(f"INSERT OR {how} INTO {table} ({columns}) VALUES ({places})", batch)  # noqa: S608 - constant names


def _append(source: sqlite3.Connection, target: sqlite3.Connection, table: str) -> None:
    """Write the new rows behind all that are there, but for one that is there to the letter."""
    names = [row[1] for row in target.execute(f"PRAGMA table_info({table})") if row[1] != "id"]
    columns, places = ", ".join(names), ", ".join("?" * len(names))
    read = ", ".join(_read_as(table, name) for name in names)
    is_it = " AND ".join(f"{name} IS ?" for name in names)
    for row in source.execute(
        f"SELECT {read} FROM {table} "  # noqa: S608 - constant names
        "WHERE id NOT IN (SELECT n FROM copied WHERE tbl = ?) ORDER BY id",
        (table,),
    ).fetchall():
        if target.execute(f"SELECT 1 FROM {table} WHERE {is_it}", row).fetchone() is None:  # noqa: S608 - constant names
            target.execute(f"INSERT INTO {table} ({columns}) VALUES ({places})", row)  # noqa: S608 - constant names


def _move_alerts(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """Alerts go by their id; their numbers only tell their order."""
    target.executemany(
        "INSERT INTO alert (id, firing_n, line) VALUES (?, ?, ?) "
        "ON CONFLICT (id) DO UPDATE SET line = excluded.line",
        source.execute(f"SELECT id, {_HOME_N}(firing_n), line FROM alert ORDER BY n").fetchall(),  # noqa: S608 - constant name
    )


def _delete_what_is_gone(
    source: sqlite3.Connection, target: sqlite3.Connection, table: str
) -> None:
    """What was copied and is there no more has been deleted."""
    key = _key(table)
    gone = source.execute(
        f"SELECT n FROM copied WHERE tbl = ? AND n NOT IN (SELECT {key} FROM {table})",  # noqa: S608 - constant names
        (table,),
    )
    target.executemany(f"DELETE FROM {table} WHERE {key} = ?", gone.fetchall())  # noqa: S608 - constant names


def _end_what_is_taken(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """A firing of the file that nobody could read, and so nobody went on with, has ended."""
    for firing_id, kiln, mode in source.execute(
        "SELECT id, kiln, mode FROM firing WHERE state = 'open' "
        "AND n NOT IN (SELECT n FROM copied WHERE tbl = 'firing')"
    ).fetchall():
        open_ones = target.execute(
            "SELECT n FROM firing WHERE state = 'open' AND kiln = ? AND mode = ? AND id <> ?",
            (kiln, mode, firing_id),
        ).fetchall()
        for (n,) in open_ones:
            first = n * READINGS_PER_FIRING
            (last_s,) = target.execute(
                "SELECT max(elapsed_s) FROM reading WHERE n >= ? AND n < ?",
                (first, first + READINGS_PER_FIRING),
            ).fetchone()
            target.execute(
                "UPDATE firing SET state = 'closed', ended_at_s = ? WHERE n = ?", (last_s or 0.0, n)
            )


def _drop_what_is_packed(target: sqlite3.Connection) -> None:
    """A row whose reading was packed into a block meanwhile must not come back beside it."""
    target.execute(
        "DELETE FROM reading WHERE n IN (SELECT reading.n FROM block JOIN reading "
        "ON reading.n BETWEEN block.n AND block.n + block.readings - 1)"
    )


def _number_above(connection: sqlite3.Connection) -> None:
    """Let new rows be numbered above all that the file may have by then."""
    connection.execute("BEGIN IMMEDIATE")
    for table in _NUMBERED:
        (highest,) = connection.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()  # noqa: S608 - constant names
        step = _LEAST_STEP + secrets.randbelow(_MOST_STEP - _LEAST_STEP)
        connection.execute("DELETE FROM sqlite_sequence WHERE name = ?", (table,))
        connection.execute("INSERT INTO sqlite_sequence VALUES (?, ?)", (table, highest + step))
    connection.execute("COMMIT")


def _memories() -> Iterator[Path]:
    """Folders of this machine's memory, the best first."""
    given = os.environ.get("RUNTIME_DIRECTORY", "").split(":")[0]
    for one in (given, "/dev/shm", tempfile.gettempdir()):  # noqa: S108 - its ownership is looked at
        if one:
            yield Path(one)


def _name(home: Path) -> str:
    """One for each record; another user's is another."""
    told_by = f"{os.geteuid()}:{home.absolute()}"
    return f"spyhole-{hashlib.sha256(told_by.encode()).hexdigest()[:16]}"


def _is_ours(folder: Path) -> bool:
    """Whether nobody else can have put it there."""
    try:
        found = folder.lstat()
    except OSError:
        return False
    is_private = stat.S_ISDIR(found.st_mode) and not found.st_mode & 0o077
    return is_private and found.st_uid == os.geteuid()


def _new_folder(name: str) -> Path:
    for base in _memories():
        folder = base / name
        if _is_ours(folder):
            shutil.rmtree(folder, ignore_errors=True)
        with suppress(OSError):
            folder.mkdir(mode=0o700)
            return folder
    raise RecordError(
        "there is no room in this machine's memory either: the record can be kept nowhere"
    )
