"""The tables of firings, events, notes and alerts: how a row is written and a firing is found.

Knows SQL within somebody else's transaction; knows nothing of threads or of reading rows.
"""

from __future__ import annotations

import re
import secrets
import sqlite3
from collections.abc import Iterable

from supervisor.core.alerts import Alert
from supervisor.core.errors import InputError
from supervisor.core.events import Event
from supervisor.core.reasons import Reason
from supervisor.record.readings import extent, firing_number
from supervisor.record.rows import (
    FIRING_COLUMNS,
    NOTE_COLUMNS,
    Firing,
    NewFiring,
    NewNote,
    Note,
    firing_from_row,
    to_json,
)
from supervisor.record.schema import READINGS_PER_FIRING

_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def insert_firing(connection: sqlite3.Connection, new: NewFiring) -> Firing:
    """Write a new, open firing and give it its id."""
    firing_id = _free_id(connection, new.started_label)
    connection.execute(
        f"INSERT INTO firing ({FIRING_COLUMNS}) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)",  # noqa: S608 - constant text
        (
            firing_id,
            new.kiln,
            new.name,
            new.schedule_toml,
            new.mode.value,
            "open",
            to_json(list(new.channels)),
            new.units.value,
            new.started_label,
            new.boot_id,
            new.boottime_start_s,
            None,
            None,
            to_json(dict(new.settings)),
        ),
    )
    return find_firing(connection, firing_id)


def _free_id(connection: sqlite3.Connection, started_label: str | None) -> str:
    """An id that people can read and type: the day and four more characters."""
    dated = _DAY.match(started_label or "")
    day = "undated" if dated is None else dated[0]
    while True:
        firing_id = f"{day}-{secrets.token_hex(2)}"
        if not connection.execute("SELECT 1 FROM firing WHERE id = ?", (firing_id,)).fetchone():
            return firing_id


def find_firing(connection: sqlite3.Connection, prefix: str) -> Firing:
    """The firing whose id is or begins with ``prefix``. Raises InputError unless it is one."""
    rows = connection.execute(
        f"SELECT {FIRING_COLUMNS} FROM firing WHERE substr(id, 1, length(:p)) = :p "  # noqa: S608 - constant text
        "ORDER BY id = :p DESC, n LIMIT 4",
        {"p": prefix},
    ).fetchall()
    if not rows or not prefix:
        raise InputError(f'there is no firing "{prefix}" in the record')
    if len(rows) > 1 and rows[0][0] != prefix:
        raise InputError(
            f'"{prefix}" is the beginning of more than one firing: '
            f"{', '.join(row[0] for row in rows[:3])}{' …' if len(rows) > 3 else ''}"
        )
    return firing_from_row(rows[0])


def close_firing(
    connection: sqlite3.Connection, firing_n: int, ended_at_s: float, ended_label: str | None
) -> None:
    """End a firing; one that has ended already keeps its end."""
    connection.execute(
        "UPDATE firing SET state = 'closed', ended_at_s = ?, ended_label = ? "
        "WHERE n = ? AND state = 'open'",
        (ended_at_s, ended_label, firing_n),
    )


def move_notes(connection: sqlite3.Connection, from_n: int, to_n: int) -> None:
    """Give a firing the notes of another, as written when it began, and taken back then."""
    connection.execute(
        "UPDATE note SET firing_n = ?, elapsed_s = 0, "
        "withdrawn_at_s = CASE WHEN withdrawn_at_s IS NULL THEN NULL ELSE 0 END "
        "WHERE firing_n = ?",
        (to_n, from_n),
    )


def set_awaits_rest(connection: sqlite3.Connection, firing_n: int, *, awaits_rest: bool) -> None:
    """Write whether the kiln has to stop climbing before the next log may begin with a climb."""
    connection.execute(
        "UPDATE firing SET awaits_rest = ? WHERE n = ?", (int(awaits_rest), firing_n)
    )


def last_log(connection: sqlite3.Connection, kiln: str) -> tuple[str, bool] | None:
    """The kiln's last log that was kept and has ended, and whether it waits for a rest since."""
    rows = connection.execute(
        "SELECT n, id, awaits_rest FROM firing "
        "WHERE kiln = ? AND mode = 'live' AND state = 'closed' ORDER BY n DESC",
        (kiln,),
    )
    for n, firing_id, awaits_rest in rows:
        if extent(connection, n) is not None:
            return str(firing_id), bool(awaits_rest)
    return None


_AFTERWARDS = ("account", "finding", "photo")
_KEPT_IN = ("event", "note", "alert", "observation", "offset_change", *_AFTERWARDS)
_KEPT_AFTER = ("offset_change", "probe_change")
"""Tables whose rows say after which firing they begin to count: its number must not come again."""


def end_waiting(connection: sqlite3.Connection, firing_n: int, ended_label: str | None) -> bool:
    """Leave no trace of a firing in which nothing was kept, or end it; whether it is gone."""
    questions = [
        *(f"SELECT 1 FROM {table} WHERE firing_n = :n" for table in _KEPT_IN),  # noqa: S608 - constant text
        *(f"SELECT 1 FROM {table} WHERE after_firing_n >= :n" for table in _KEPT_AFTER),  # noqa: S608 - constant text
        "SELECT 1 FROM reading WHERE n >= :first AND n < :last",
        "SELECT 1 FROM block WHERE n >= :first AND n < :last",
    ]
    first = firing_n * READINGS_PER_FIRING
    places = {"n": firing_n, "first": first, "last": first + READINGS_PER_FIRING}
    if any(connection.execute(f"{question} LIMIT 1", places).fetchone() for question in questions):
        close_firing(connection, firing_n, 0.0, ended_label)
        return False
    connection.execute("DELETE FROM firing WHERE n = ?", (firing_n,))
    return True


def insert_note(
    connection: sqlite3.Connection, firing_n: int, new: NewNote, client_id: str | None = None
) -> Note:
    """Write a note; one whose ``client_id`` the firing has already is left as it is."""
    if client_id is not None:
        found = connection.execute(
            f"SELECT {NOTE_COLUMNS} FROM note WHERE firing_n = ? AND client_id = ?",  # noqa: S608 - constant text
            (firing_n, client_id),
        ).fetchone()
        if found is not None:
            return Note(*found)
    note_id = connection.execute(
        "INSERT INTO note (firing_n, elapsed_s, time, text, by, client_id) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (firing_n, new.elapsed_s, new.time, new.text, new.by, client_id),
    ).lastrowid
    return Note(int(note_id or 0), new.elapsed_s, new.text, new.by, new.time)


def withdraw_note(
    connection: sqlite3.Connection,
    firing_n: int,
    number: int,
    elapsed_s: float,
    time: str | None,
    by: str | None,
) -> None:
    """Let a note count no longer; of one that was taken back already, the first time stands.

    Raises InputError if the firing has none of that number.
    """
    has_it = connection.execute(
        "SELECT 1 FROM note WHERE id = ? AND firing_n = ?", (number, firing_n)
    ).fetchone()
    if has_it is None:
        raise InputError(f"this firing has no note with the number {number}").because(
            Reason.NO_NOTE, number=number
        )
    connection.execute(
        "UPDATE note SET withdrawn_at_s = ?, withdrawn_time = ?, withdrawn_by = ? "
        "WHERE id = ? AND withdrawn_at_s IS NULL",
        (elapsed_s, time, by, number),
    )


def select_notes(
    connection: sqlite3.Connection, firing_n: int, *, withdrawn: bool = False
) -> list[Note]:
    """The firing's notes that count, or those taken back, in the order of writing."""
    rows = connection.execute(
        f"SELECT {NOTE_COLUMNS} FROM note "  # noqa: S608 - constant text
        "WHERE firing_n = ? AND (withdrawn_at_s IS NOT NULL) = ? ORDER BY id",
        (firing_n, withdrawn),
    )
    return [Note(*row) for row in rows]


def insert_events(connection: sqlite3.Connection, firing_n: int, events: Iterable[Event]) -> None:
    """Write events after those that the firing has; one that it has already is left out."""
    for event in events:
        connection.execute(
            "INSERT INTO event (firing_n, seq, elapsed_s, kind, severity, state, channel, line) "
            "VALUES (:n, (SELECT coalesce(max(seq), 0) + 1 FROM event WHERE firing_n = :n), "
            ":elapsed_s, :kind, :severity, :state, :channel, :line) "
            "ON CONFLICT (firing_n, line) DO NOTHING",
            {
                "n": firing_n,
                "elapsed_s": event.elapsed_s,
                "kind": event.kind.value,
                "severity": event.severity.value,
                "state": event.state.value,
                "channel": event.channel,
                "line": event.to_json(),
            },
        )


def upsert_alert_book(connection: sqlite3.Connection, firing_n: int, line: str) -> None:
    """Write what a firing's alert book keeps beside its alerts."""
    connection.execute(
        "INSERT INTO alert_book (firing_n, line) VALUES (?, ?) "
        "ON CONFLICT (firing_n) DO UPDATE SET line = excluded.line",
        (firing_n, line),
    )


def upsert_alert(connection: sqlite3.Connection, firing_n: int, alert: Alert) -> None:
    """Write an alert, new or changed."""
    connection.execute(
        "INSERT INTO alert (id, firing_n, line) VALUES (?, ?, ?) "
        "ON CONFLICT (id) DO UPDATE SET line = excluded.line",
        (alert.id, firing_n, alert.to_json()),
    )


def number_in_kiln(connection: sqlite3.Connection, firing_id: str | None, kiln: str) -> int | None:
    """The firing's number; raises InputError unless it is the kiln's. None for no firing."""
    if firing_id is None:
        return None
    if find_firing(connection, firing_id).kiln != kiln:
        raise InputError(f'firing {firing_id} is not one of kiln "{kiln}"')
    return firing_number(connection, firing_id)
