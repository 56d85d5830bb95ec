"""A record with a bit of everything in it, and ways to spoil it."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from supervisor.core.alerts import AlertBook
from supervisor.core.readings import Reading
from supervisor.record.photos import PhotoFiles
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from supervisor.record.unloading import Account, NewPhoto
from tests.record.firings import NEW, event, reading

READINGS = 9000
PAGE = 1024
"""Bytes of a page of the record (``schema``)."""


def a_record(folder: Path) -> tuple[Firing, Firing]:
    """One firing that is put away and one that goes on, checkpointed into one file."""
    with Record.open(folder) as record:
        past = record.import_readings(
            replace(NEW, mode=Mode.IMPORT, name="Past"),
            [
                Reading(float(n), {"top": n / 128.0, "bottom": (n * 7919 % 5000) / 128.0})
                for n in range(READINGS)
            ],
            [event(0)],
        ).result(30.0)
        put_away(record, past)
        firing = record.start_firing(NEW).result(10.0)
        book = AlertBook(firing.id, firing.kiln)
        change = book.take(event(1))
        assert change is not None
        for n in range(READINGS):
            label = f"2026-11-25T{20 + n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}+00:00"
            record.append(firing.id, reading(float(n), label))
        record.add_events(firing.id, [event(1)], alerts=[change.alert], book=book.kept)
        for n in range(40):
            record.add_note(firing.id, float(n), f"note {n} " + "x" * 300)
        record.tell(past.id, Account("load", "40 mugs"))
        data = b"a photo"
        sha256 = PhotoFiles(folder).keep(data, "jpeg")
        record.add_photo(past.id, NewPhoto(sha256, "jpeg", len(data), 4, 3)).result(10.0)
    with closing(sqlite3.connect(record.path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return past, firing


def pages_of(path: Path, table: str) -> list[int]:
    """The pages of a table's leaves, by number; needs SQLite's table dbstat."""
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute(
            "SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf' ORDER BY path", (table,)
        )
        return [number for (number,) in rows]


def has_dbstat() -> bool:
    """Whether this SQLite tells which page is whose."""
    with closing(sqlite3.connect(":memory:")) as connection:
        try:
            connection.execute("SELECT 1 FROM dbstat")
        except sqlite3.OperationalError:
            return False
    return True


def spoil_page(path: Path, page: int) -> None:
    """Overwrite one page with what was never there."""
    with path.open("r+b") as file:
        file.seek((page - 1) * PAGE)
        file.write(random.Random(page).randbytes(PAGE))


def change(path: Path, *statements: str) -> None:
    """Do to the file what the program never does."""
    with closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()
