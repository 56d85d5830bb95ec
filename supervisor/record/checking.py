"""Whether a record is sound: SQLite's own checks, and what must be so of firings.

Looks only, beside a daemon that writes too. Says what is wrong in sentences; mends nothing
(``repair`` does).
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from supervisor.core.alerts import Alert
from supervisor.core.errors import InputError, RecordError
from supervisor.core.events import State
from supervisor.record.blocks import unpacked
from supervisor.record.photos import PhotoFiles, photo_name
from supervisor.record.readings import bounds, end_of_blocks, extent, row_chunks
from supervisor.record.rows import FIRING_COLUMNS, Firing, event_from_line, firing_from_row
from supervisor.record.schema import READINGS_PER_FIRING, explain, open_for_reading

_MOST_OF_A_KIND = 20


@dataclass(frozen=True, slots=True)
class Checked:
    """What was looked at and what is wrong, each a sentence.

    ``wrong`` is damage; ``odd`` is what should not be, and harms nothing.
    """

    firings: int
    readings: int
    photos: int
    wrong: tuple[str, ...]
    odd: tuple[str, ...]


def check(path: Path, *, with_photos: bool = True) -> Checked:
    """Look over the record at ``path``, every page and every reading of it.

    Its photos are looked for beside it, unless they lie elsewhere.

    Raises RecordError where there is none, or it can't be opened at all.
    """
    wrong: list[str] = []
    odd: list[str] = []
    firings = readings = photos = 0
    with closing(open_for_reading(path)) as connection:
        try:
            connection.execute("BEGIN")
            wrong += _of_sqlite(connection)
            rows = connection.execute(f"SELECT n, {FIRING_COLUMNS} FROM firing ORDER BY n")  # noqa: S608 - constant text
            for firing_n, *row in rows.fetchall():
                firings += 1
                firing = firing_from_row(row)
                try:
                    count, more, odder = _of_firing(connection, firing_n, firing)
                except (sqlite3.Error, ValueError, KeyError, TypeError, OSError) as error:
                    wrong.append(f"firing {firing.id} can't be read ({error})")
                    continue
                readings += count
                wrong += more
                odd += odder
            wrong += _strays(connection)
            if with_photos:
                photos, lost, left = _of_photos(connection, path.parent)
                wrong += lost
                odd += left
        except sqlite3.Error as error:
            wrong.append(explain(error, path))
        except (ValueError, KeyError, TypeError) as error:
            wrong.append(f"the record {path} can't be read to its end ({error})")
    return Checked(firings, readings, photos, tuple(_short(wrong)), tuple(_short(odd)))


def _short(said: list[str]) -> Iterator[str]:
    yield from said[:_MOST_OF_A_KIND]
    if len(said) > _MOST_OF_A_KIND:
        yield f"and {len(said) - _MOST_OF_A_KIND:,} more of the kind"


def _of_sqlite(connection: sqlite3.Connection) -> Iterator[str]:
    for (line,) in connection.execute(f"PRAGMA integrity_check({_MOST_OF_A_KIND})"):
        if line != "ok":
            yield f"the file is damaged: {' '.join(str(line).split())}"
    for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
        yield f"row {row} of {table} belongs to a {parent} that is not there"


def _of_firing(
    connection: sqlite3.Connection, firing_n: int, firing: Firing
) -> tuple[int, list[str], list[str]]:
    where = f"firing {firing.id}"
    count, wrong = _of_readings(connection, firing_n, firing, where)
    odd: list[str] = []
    events = [
        event_from_line(line)
        for (line,) in connection.execute(
            "SELECT line FROM event WHERE firing_n = ? ORDER BY seq", (firing_n,)
        )
    ]
    for before, after in pairwise(events):
        if after.elapsed_s < before.elapsed_s:
            odd.append(f"{where}: an event of {after.elapsed_s:g} s comes after one of later")
            break
    raised = {
        (event.kind, event.channel, event.elapsed_s)
        for event in events
        if event.state is State.RAISED
    }
    for alert_id, line in connection.execute(
        "SELECT id, line FROM alert WHERE firing_n = ?", (firing_n,)
    ):
        try:
            alert = Alert.from_json(line)
        except InputError:
            wrong.append(f"{where}: alert {alert_id} can't be read")
            continue
        if alert.id != alert_id or alert.firing != firing.id:
            wrong.append(f"{where}: alert {alert_id} says that it is another's")
        if (alert.kind, alert.channel, alert.raised_at_s) not in raised:
            odd.append(f"{where}: alert {alert_id} has no event that raised it")
        for later in (alert.cleared_at_s, alert.acknowledged_at_s):
            if later is not None and later < alert.raised_at_s:
                wrong.append(f"{where}: alert {alert_id} was over before it began")
    if not firing.is_open and firing.ended_at_s is None:
        wrong.append(f"{where} is closed and has no end")
    summed = connection.execute(
        "SELECT readings FROM summary WHERE firing_n = ?", (firing_n,)
    ).fetchone()
    if summed is not None and summed[0] != count:
        wrong.append(f"{where} has {count:,} readings and was summed up with {summed[0]:,}")
    return count, wrong, odd


def _of_readings(
    connection: sqlite3.Connection, firing_n: int, firing: Firing, where: str
) -> tuple[int, list[str]]:
    wrong: list[str] = []
    first_n, last_n = bounds(firing_n)
    expected_n, count, before_s = first_n, 0, float("-inf")
    for n, readings, first_s, last_s, data in connection.execute(
        "SELECT n, readings, first_s, last_s, data FROM block WHERE n BETWEEN ? AND ? ORDER BY n",
        (first_n, last_n),
    ):
        place = f"{where}, block from {first_s:g} s"
        if n != expected_n:
            wrong.append(f"{place}: {n - expected_n:,} readings before it are missing")
        expected_n = n + readings
        count += readings
        try:
            block = unpacked(data)
        except RecordError as error:
            wrong.append(f"{place}: {error}")
            continue
        times = block.elapsed_s
        if len(times) != readings or len(block.temps_c) != len(firing.channels):
            wrong.append(f"{place} has not the readings that it should have")
            continue
        if (times[0], times[-1]) != (first_s, last_s) or times[0] < before_s:
            wrong.append(f"{place} is not where it should be in time")
        if any(b < a for a, b in pairwise(times)):
            wrong.append(f"{place}: times go back")
        before_s = times[-1]
    if expected_n != end_of_blocks(connection, firing_n):
        wrong.append(f"{where}: its blocks overlap")
    for numbers, block in row_chunks(connection, firing_n, len(firing.channels)):
        if numbers[0] != expected_n or numbers[-1] - numbers[0] != len(numbers) - 1:
            wrong.append(f"{where}: readings from {block.elapsed_s[0]:g} s on are missing")
        expected_n = numbers[-1] + 1
        count += len(numbers)
        times = [before_s, *block.elapsed_s]
        back = next((b for a, b in pairwise(times) if b < a), None)
        if back is not None:
            wrong.append(f"{where}: a reading of {back:g} s comes after one of later")
        before_s = times[-1]
        told = {name for text in set(block.faults) - {None} for name in json.loads(text or "{}")}
        if not told <= set(firing.channels):
            wrong.append(f"{where}: a fault is of a channel that it does not have")
    reach = extent(connection, firing_n)
    if (0 if reach is None else reach.readings) != count and not wrong:
        wrong.append(f"{where}: its readings can't be counted")
    return count, wrong


def _strays(connection: sqlite3.Connection) -> Iterator[str]:
    for table in ("reading", "block", "label_segment"):
        (count,) = connection.execute(
            f"SELECT count(*) FROM {table} WHERE n / ? NOT IN (SELECT n FROM firing)",  # noqa: S608 - constant names
            (READINGS_PER_FIRING,),
        ).fetchone()
        if count:
            yield f"{count:,} rows of {table} belong to no firing"


def _of_photos(connection: sqlite3.Connection, data_dir: Path) -> tuple[int, list[str], list[str]]:
    files = PhotoFiles(data_dir)
    names = {path.name: path for path in files.names()}
    wrong: list[str] = []
    known = set()
    count = 0
    for firing_id, number, sha256, kind in connection.execute(
        "SELECT firing.id, photo.id, sha256, kind FROM photo JOIN firing ON firing.n = firing_n "
        "WHERE is_withdrawn = 0 ORDER BY photo.id"
    ):
        count += 1
        name = photo_name(sha256, kind)
        known.add(name)
        path = names.get(name)
        if path is None:
            wrong.append(f"firing {firing_id}: the file of photo {number} is gone ({name})")
            continue
        try:
            found = hashlib.sha256(path.read_bytes()).hexdigest()
        except OSError as error:
            wrong.append(f"firing {firing_id}: photo {number} can't be read ({error.strerror})")
            continue
        if found != sha256:
            wrong.append(f"firing {firing_id}: photo {number} is spoilt ({name})")
    left = sorted(set(names) - known)
    odd = [f"{len(left)} files of photos belong to no firing, such as {left[0]}"] if left else []
    return count, wrong, odd
