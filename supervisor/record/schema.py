"""The file of the record: its tables, its versions, and how it is opened.

Knows SQL and what can be wrong with a file; knows nothing of what the rows mean.

Readings lie in one table whose row number is the firing's number times 2**32 plus the reading's
place in the firing. Readings of a firing are then neighbours without an index, and adding one
dirties one page of the file. With SQLite's usual pages of 4 KiB half as much again is written; how
much that is in all, ``python -m tests.campaign weight`` measures. Once a firing is closed, its
rows give way to blocks of an hour each (``blocks``), numbered by their first reading, which take a
tenth of the room and lose nothing; ``packing`` does that.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from supervisor.core.errors import RecordError

FILE_NAME = "record.sqlite3"
APPLICATION_ID = 0x73707968
"""Written into the file's header ("spyh"), so that another program's database is not taken."""
_PAGE_BYTES = 1024
"""Size of a page of a new file; a commit writes whole pages, and hardly ever fills one."""
_CACHE_KIB = 512
"""Of each connection, a quarter of what SQLite would take: there are half a dozen."""
_BUSY_S = 10.0
"""How long to wait for another process, such as a command beside the daemon, to let go."""

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE firing (
            n INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            kiln TEXT NOT NULL,
            name TEXT NOT NULL,
            schedule_toml TEXT,
            mode TEXT NOT NULL CHECK (mode IN ('live', 'simulation', 'import')),
            state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
            channels TEXT NOT NULL CHECK (json_valid(channels)),
            units TEXT NOT NULL CHECK (units IN ('C', 'F')),
            started_label TEXT,
            boot_id TEXT,
            boottime_start_s REAL,
            ended_at_s REAL,
            ended_label TEXT,
            settings TEXT NOT NULL CHECK (json_valid(settings))
        ) STRICT""",
        """CREATE TABLE reading (
            n INTEGER PRIMARY KEY,
            elapsed_s REAL NOT NULL,
            temps_c TEXT NOT NULL,
            faults TEXT
        ) STRICT""",
        """CREATE TABLE label_segment (
            n INTEGER PRIMARY KEY,
            elapsed_s REAL NOT NULL,
            label TEXT
        ) STRICT""",
        """CREATE TABLE event (
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            seq INTEGER NOT NULL,
            elapsed_s REAL NOT NULL,
            kind TEXT NOT NULL,
            severity TEXT NOT NULL,
            state TEXT NOT NULL,
            channel TEXT,
            line TEXT NOT NULL CHECK (json_valid(line)),
            PRIMARY KEY (firing_n, seq),
            UNIQUE (firing_n, line)
        ) STRICT""",
        """CREATE TABLE note (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            elapsed_s REAL NOT NULL,
            time TEXT,
            text TEXT NOT NULL,
            by TEXT,
            client_id TEXT
        ) STRICT""",
        "CREATE UNIQUE INDEX note_by_client_id ON note (firing_n, client_id)",
        """CREATE TABLE alert (
            n INTEGER PRIMARY KEY,
            id TEXT NOT NULL UNIQUE,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            line TEXT NOT NULL CHECK (json_valid(line))
        ) STRICT""",
        "CREATE INDEX alert_by_firing ON alert (firing_n)",
        """CREATE TABLE outbox (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            topic TEXT NOT NULL,
            payload TEXT NOT NULL,
            qos INTEGER NOT NULL CHECK (qos IN (0, 1, 2)),
            retain INTEGER NOT NULL CHECK (retain IN (0, 1)),
            created_label TEXT,
            sent_label TEXT,
            is_sent INTEGER NOT NULL DEFAULT 0 CHECK (is_sent IN (0, 1))
        ) STRICT""",
        "CREATE INDEX outbox_waiting ON outbox (id) WHERE is_sent = 0",
    ),
    (
        """CREATE TABLE observation (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            elapsed_s REAL NOT NULL,
            cone TEXT NOT NULL,
            clock TEXT NOT NULL,
            channel TEXT,
            shelf TEXT,
            time TEXT,
            by TEXT,
            written_label TEXT,
            client_id TEXT,
            is_withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (is_withdrawn IN (0, 1))
        ) STRICT""",
        "CREATE UNIQUE INDEX observation_by_client_id ON observation (firing_n, client_id)",
        """CREATE TABLE offset_change (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            kiln TEXT NOT NULL,
            channel TEXT NOT NULL,
            offset_c REAL,
            sigma_c REAL,
            observations INTEGER,
            firings INTEGER,
            label TEXT,
            firing_n INTEGER REFERENCES firing (n),
            elapsed_s REAL,
            after_firing_n INTEGER NOT NULL,
            configured_c REAL NOT NULL DEFAULT 0,
            is_simulated INTEGER NOT NULL DEFAULT 0 CHECK (is_simulated IN (0, 1)),
            CHECK ((offset_c IS NULL) = (sigma_c IS NULL)),
            CHECK ((offset_c IS NULL) = (observations IS NULL)),
            CHECK ((offset_c IS NULL) = (firings IS NULL)),
            CHECK ((firing_n IS NULL) = (elapsed_s IS NULL))
        ) STRICT""",
        "CREATE INDEX offset_change_by_kiln ON offset_change (kiln, channel)",
        "CREATE INDEX offset_change_by_firing ON offset_change (firing_n)",
        """CREATE TABLE probe_change (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            kiln TEXT NOT NULL,
            channel TEXT NOT NULL,
            label TEXT,
            after_firing_n INTEGER NOT NULL
        ) STRICT""",
        "CREATE INDEX probe_change_by_kiln ON probe_change (kiln, channel)",
    ),
    (
        """CREATE TABLE alert_book (
            firing_n INTEGER PRIMARY KEY REFERENCES firing (n),
            line TEXT NOT NULL CHECK (json_valid(line))
        ) STRICT""",
        "ALTER TABLE outbox ADD COLUMN destination TEXT NOT NULL DEFAULT 'mqtt'",
        "DROP INDEX outbox_waiting",
        "CREATE INDEX outbox_waiting ON outbox (destination, id) WHERE is_sent = 0",
    ),
    (
        """CREATE TABLE audit (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            time TEXT NOT NULL,
            what TEXT NOT NULL,
            who TEXT,
            address TEXT NOT NULL,
            detail TEXT NOT NULL CHECK (json_valid(detail)),
            firing TEXT
        ) STRICT""",
    ),
    (
        "ALTER TABLE firing ADD COLUMN blind TEXT CHECK (blind IS NULL OR json_valid(blind))",
        """ALTER TABLE firing ADD COLUMN awaits_rest INTEGER NOT NULL DEFAULT 0
            CHECK (awaits_rest IN (0, 1))""",
    ),
    (
        """CREATE TABLE block (
            n INTEGER PRIMARY KEY,
            readings INTEGER NOT NULL CHECK (readings > 0),
            first_s REAL NOT NULL,
            last_s REAL NOT NULL,
            data BLOB NOT NULL
        ) STRICT""",
        """CREATE TABLE summary (
            firing_n INTEGER PRIMARY KEY REFERENCES firing (n),
            version INTEGER NOT NULL,
            mark TEXT NOT NULL,
            readings INTEGER NOT NULL,
            first_s REAL NOT NULL,
            last_s REAL NOT NULL,
            peak_c REAL,
            cone TEXT,
            line TEXT NOT NULL CHECK (json_valid(line)),
            overview BLOB NOT NULL
        ) STRICT""",
        """CREATE TABLE account (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            topic TEXT NOT NULL,
            text TEXT NOT NULL,
            by TEXT,
            label TEXT,
            client_id TEXT
        ) STRICT""",
        "CREATE UNIQUE INDEX account_by_client_id ON account (firing_n, client_id)",
        """CREATE TABLE finding (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            key TEXT NOT NULL,
            place TEXT NOT NULL,
            level INTEGER NOT NULL CHECK (level >= 0),
            text TEXT,
            by TEXT,
            label TEXT
        ) STRICT""",
        "CREATE INDEX finding_by_firing ON finding (firing_n)",
        "CREATE INDEX finding_by_key ON finding (key)",
        """CREATE TABLE photo (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            firing_n INTEGER NOT NULL REFERENCES firing (n),
            sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
            kind TEXT NOT NULL CHECK (kind IN ('jpeg', 'png', 'webp')),
            bytes INTEGER NOT NULL,
            width_px INTEGER NOT NULL,
            height_px INTEGER NOT NULL,
            caption TEXT,
            by TEXT,
            label TEXT,
            client_id TEXT,
            is_withdrawn INTEGER NOT NULL DEFAULT 0 CHECK (is_withdrawn IN (0, 1))
        ) STRICT""",
        "CREATE UNIQUE INDEX photo_by_client_id ON photo (firing_n, client_id)",
    ),
    (
        "ALTER TABLE summary ADD COLUMN trace BLOB",
        "ALTER TABLE summary ADD COLUMN works TEXT CHECK (works IS NULL OR json_valid(works))",
        "ALTER TABLE summary ADD COLUMN point TEXT CHECK (point IS NULL OR json_valid(point))",
    ),
    (
        "ALTER TABLE note ADD COLUMN withdrawn_at_s REAL",
        "ALTER TABLE note ADD COLUMN withdrawn_time TEXT",
        "ALTER TABLE note ADD COLUMN withdrawn_by TEXT",
    ),
)
"""What each version of the file adds to the one before; the first makes version 1."""

VERSION = len(MIGRATIONS)

READINGS_PER_FIRING = 1 << 32
"""Room for readings between one firing's row numbers and the next's."""


class UnwritableError(RecordError):
    """The disk, or what is on it, does not let the record be written now; that may pass."""


def open_for_writing(path: Path) -> sqlite3.Connection:
    """The file, made or brought to this version, for the one thread that writes.

    Raises RecordError if it is not a record or is of a newer version, UnwritableError if it can't
    be written, or is damaged.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableError(
            f"the data folder {path.parent} can't be made ({error.strerror}): "
            "name a folder that can be written"
        ) from None
    connection = _connect(path, "rwc")
    try:
        _check(connection, path)
        connection.execute(f"PRAGMA page_size = {_PAGE_BYTES}")
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        _migrate(connection, path)
        # An unchanged file opens on a read-only disk too: ask now, not at the first reading.
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("COMMIT")
    except sqlite3.Error as error:
        connection.close()
        raise UnwritableError(explain(error, path)) from None
    except RecordError:
        connection.close()
        raise
    return connection


def open_for_reading(path: Path) -> sqlite3.Connection:
    """The file for one look at it. Raises RecordError if there is none or it is no record."""
    if not path.exists():
        raise RecordError(f"there is no record in {path.parent} yet")
    connection = _connect(path, "ro")
    try:
        try:
            _check(connection, path)
        except RecordError:
            # Without its WAL beside it SQLite can't open a file in a folder it may not write
            # to, unless it is told that nobody else writes either.
            if path.with_name(f"{path.name}-wal").exists() or os.access(path.parent, os.W_OK):
                raise
            connection.close()
            connection = _connect(path, "ro&immutable=1")
            _check(connection, path)
        if connection.execute("PRAGMA user_version").fetchone()[0] != VERSION:
            raise RecordError(
                f"the record {path} is of an older version: start `spyhole watch` once, which "
                "brings it up to this one"
            )
    except RecordError:
        connection.close()
        raise
    return connection


def explain(error: sqlite3.Error, path: Path) -> str:
    """What is wrong with the file or its disk, in one sentence."""
    name = getattr(error, "sqlite_errorname", "") or type(error).__name__
    # What lies beside the file to look at it by wants room as well.
    if name in ("SQLITE_FULL", "SQLITE_IOERR_SHMSIZE"):
        return f"the record {path} can't grow: the disk is full, make room on it"
    if name.startswith("SQLITE_READONLY"):
        return f"the record {path} can't be written: the file or its disk is read-only"
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return f"the record {path} is held by another program: wait for it or end it"
    if name.startswith(("SQLITE_NOTADB", "SQLITE_CORRUPT")):
        return f"{path} is not a sound SQLite file: move it away or put a copy back"
    if name.startswith(("SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        return f"the record {path} can't be opened: check the folder and its permissions"
    return f"the record {path} can't be read or written: the disk reports {name} ({error})"


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    if path.is_dir():
        raise RecordError(f"the record {path} can't be opened: it is a folder, not a file")
    try:
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}",
            uri=True,
            timeout=_BUSY_S,
            isolation_level=None,
            check_same_thread=False,
        )
        connection.execute(f"PRAGMA cache_size = -{_CACHE_KIB}")
        return connection
    except sqlite3.Error as error:
        raise UnwritableError(explain(error, path)) from None


def _check(connection: sqlite3.Connection, path: Path) -> None:
    """Raise RecordError unless the file is a record that this version can take."""
    try:
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    except sqlite3.Error as error:
        raise UnwritableError(explain(error, path)) from None
    if tables and application != APPLICATION_ID:
        raise RecordError(f"{path} is some other program's database: name another data folder")
    if version > VERSION:
        raise RecordError(
            f"the record {path} was written by a newer spyhole (its version {version}, "
            f"this program knows up to {VERSION}): install the newer one"
        )


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    """Bring the file to this version, whole or not at all, one version at a time."""
    while True:
        connection.execute("BEGIN IMMEDIATE")
        try:
            version = connection.execute("PRAGMA user_version").fetchone()[0]
            if version >= VERSION:
                connection.execute("ROLLBACK")
                _check(connection, path)
                return
            for statement in MIGRATIONS[version]:
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {version + 1}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
