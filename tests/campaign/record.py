"""Looks into a record as a stranger would: at a copy, so that the daemon's own repair is its own.

Knows the record's file; changes nothing in it.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from supervisor.core.events import Event
from supervisor.core.schedule import parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record


@contextmanager
def copy_of(data: Path) -> Iterator[RecordReader]:
    """The record as it lies on the disk at this moment, after SQLite's own recovery."""
    with TemporaryDirectory(prefix="campaign-copy-") as folder:
        copy = Path(folder)
        # The WAL first: a checkpoint between the two copies then leaves its pages in both.
        for suffix in ("-wal", ""):
            file = data / f"{FILE_NAME}{suffix}"
            if file.exists():
                shutil.copyfile(file, copy / file.name)
        with Record.open_to_read(copy) as record:
            yield record


def damage(record: RecordReader) -> list[str]:
    """What SQLite finds wrong with the file; nothing when it is sound."""
    with closing(sqlite3.connect(record.path)) as connection:
        found = connection.execute("PRAGMA integrity_check").fetchall()
        found += connection.execute("PRAGMA foreign_key_check").fetchall()
    return [str(row) for row in found if row != ("ok",)]


def stored_messages(record: RecordReader, topic_end: str = "alerts") -> list[str]:
    """The alerts' messages of the outbox, sent or not, in their order."""
    with closing(sqlite3.connect(record.path)) as connection:
        rows = connection.execute(
            "SELECT payload FROM outbox WHERE topic LIKE ? ORDER BY id", (f"%/{topic_end}",)
        ).fetchall()
    return [payload for (payload,) in rows]


def watched_again(record: RecordReader, firing_id: str) -> list[Event]:
    """The events that the recorded readings give, as the firing was watched."""
    firing = record.firing(firing_id)
    schedule = parse_schedule(firing.schedule_toml or "", "the firing's own")
    settings = WatchSettings.of_kept(firing.settings.get("watch"))
    watch = Watch(schedule, firing.channels, settings)
    return [event for reading in record.readings(firing_id) for event in watch.feed(reading)]
