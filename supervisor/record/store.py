"""The record as the rest of the program meets it.

Knows firings, readings, events, notes, alerts and messages to be delivered, and keeps them. What
they mean is the core's business; who is told is messaging's.

Writing goes through one thread. Whatever a person or another program is told of (an event, a
note, an acknowledgement) is on disk before the answer says so. Reading opens a connection of its
own for each question, and sees what has been committed.
"""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from types import TracebackType
from typing import TypeVar

from supervisor.core.alerts import Alert
from supervisor.core.errors import InputError, RecordError
from supervisor.core.events import Event
from supervisor.core.readings import Reading
from supervisor.record.messages import MessageTable
from supervisor.record.readings import (
    ReadingAppender,
    extent,
    fault_columns,
    firing_number,
    has_labels,
    iterate,
)
from supervisor.record.rows import (
    FIRING_COLUMNS,
    Extent,
    Firing,
    Mode,
    NewFiring,
    NewMessage,
    Note,
    QueuedMessage,
    event_from_line,
    firing_from_row,
    row_of_reading,
)
from supervisor.record.schema import FILE_NAME, explain, open_for_reading, open_for_writing
from supervisor.record.tables import find_firing, insert_events, insert_firing, upsert_alert
from supervisor.record.writer import Job, Pending, Trouble, Writer

COMMIT_AFTER_S = 5.0
"""Readings are on disk at the latest so long after they were accepted."""
CLOSE_WITHIN_S = 3.0
"""How long closing waits for a disk that refuses."""
LONGEST_NOTE = 10_000
"""Characters in a note, at most."""

T = TypeVar("T")


class Record:
    """The record of a studio: one file in its data folder. Made by ``open`` or ``open_to_read``."""

    def __init__(self, path: Path, writer: Writer | None) -> None:
        self._path = path
        self._writer = writer
        self._messages = MessageTable()
        self._channels: dict[str, tuple[str, ...]] = {}

    @classmethod
    def open(
        cls,
        data_dir: Path,
        *,
        clock: Callable[[], float] = time.monotonic,
        commit_after_s: float = COMMIT_AFTER_S,
        on_trouble: Callable[[Trouble | None], None] | None = None,
    ) -> Record:
        """The record in ``data_dir``, made if there is none.

        ``clock`` gives seconds that never jump. ``on_trouble`` is called from the writing thread
        at every commit that the disk refuses, and with ``None`` once it takes them again; it
        must not raise. Raises RecordError if the file can't be opened, made or written, is
        damaged, not a record, or of a newer version.
        """
        path = data_dir / FILE_NAME
        writer = Writer(
            open_for_writing(path),
            path,
            clock=clock,
            commit_after_s=commit_after_s,
            on_trouble=on_trouble,
        )
        return cls(path, writer)

    @classmethod
    def open_to_read(cls, data_dir: Path) -> Record:
        """The record in ``data_dir``, for looking only; the disk may be read-only.

        Raises RecordError if there is none, or as ``open`` does.
        """
        path = data_dir / FILE_NAME
        open_for_reading(path).close()
        return cls(path, None)

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self._path

    @property
    def trouble(self) -> Trouble | None:
        """What keeps the disk from taking what was accepted; ``None`` if nothing does."""
        return None if self._writer is None else self._writer.trouble

    def close(self, timeout_s: float = CLOSE_WITHIN_S) -> None:
        """Write all that was accepted and let go of the file. May be called twice.

        Raises RecordError if the disk refuses for longer than ``timeout_s``.
        """
        if self._writer is not None:
            self._writer.close(timeout_s)

    def __enter__(self) -> Record:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # Writing

    def start_firing(self, new: NewFiring) -> Pending[Firing]:
        """Begin a firing; it gets its id here.

        The answer raises RecordError if a firing of the same kiln and mode is still open.
        """
        _must_fit(new)

        def job(connection: sqlite3.Connection) -> Firing:
            still_open = connection.execute(
                "SELECT id FROM firing WHERE state = 'open' AND kiln = ? AND mode = ?",
                (new.kiln, new.mode.value),
            ).fetchone()
            if still_open is not None:
                raise RecordError(
                    f'firing {still_open[0]} of kiln "{new.kiln}" is still open: close it first'
                )
            return insert_firing(connection, new)

        return self._submit(job)

    def note_boot(
        self, firing_id: str, boot_id: str | None, boottime_start_s: float
    ) -> Pending[None]:
        """Keep on which boot the firing goes on, and when elapsed second 0 was on its clock."""

        def job(connection: sqlite3.Connection) -> None:
            connection.execute(
                "UPDATE firing SET boot_id = ?, boottime_start_s = ? WHERE n = ?",
                (boot_id, boottime_start_s, firing_number(connection, firing_id)),
            )

        return self._submit(job)

    def append(self, firing_id: str, reading: Reading) -> None:
        """Accept a reading of an open firing; never waits for the disk.

        Readings are kept in the order in which they come. Raises InputError if the reading's
        channels are not the firing's, RecordError if the firing is closed.
        """
        channels = self._channels.get(firing_id)
        if channels is None:
            firing = self._exact(firing_id)
            if not firing.is_open:
                raise RecordError(f"firing {firing_id} is closed: it takes no more readings")
            channels = self._channels[firing_id] = firing.channels
        self._write_side().append(row_of_reading(firing_id, channels, reading))

    def add_events(
        self,
        firing_id: str,
        events: Sequence[Event] = (),
        *,
        alerts: Sequence[Alert] = (),
        messages: Sequence[NewMessage] = (),
    ) -> Pending[None]:
        """Keep events, the alerts that they changed and the messages about them, all or none.

        One transaction holds them together with every reading accepted before. An event that
        the firing already has, letter for letter, is not kept twice.
        """
        tokens = self._messages.accept(tuple(messages))

        def job(connection: sqlite3.Connection) -> None:
            firing_n = firing_number(connection, firing_id)
            insert_events(connection, firing_n, events)
            for alert in alerts:
                upsert_alert(connection, firing_n, alert)
            self._messages.insert(connection, tokens)

        try:
            pending = self._submit(job)
        except RecordError:
            self._messages.withdraw(tokens)
            raise
        pending.when_done(lambda: self._messages.settle(tokens))
        return pending

    def acknowledge(
        self, firing_id: str, alert: Alert, messages: Sequence[NewMessage] = ()
    ) -> Pending[None]:
        """Keep that an alert was acknowledged, and the message about it."""
        return self.add_events(firing_id, alerts=(alert,), messages=messages)

    def add_note(
        self,
        firing_id: str,
        elapsed_s: float,
        text: str,
        *,
        by: str | None = None,
        time: str | None = None,
    ) -> Pending[Note]:
        """Keep what a person wrote. Raises InputError for an empty or an endless note."""
        if not text.strip():
            raise InputError("the note is empty")
        if len(text) > LONGEST_NOTE:
            raise InputError(
                f"the note has {len(text):,} characters: at most {LONGEST_NOTE:,} are kept"
            )

        def job(connection: sqlite3.Connection) -> Note:
            note_id = connection.execute(
                "INSERT INTO note (firing_n, elapsed_s, time, text, by) VALUES (?, ?, ?, ?, ?)",
                (firing_number(connection, firing_id), elapsed_s, time, text, by),
            ).lastrowid
            return Note(int(note_id or 0), elapsed_s, text, by, time)

        return self._submit(job)

    def close_firing(
        self, firing_id: str, ended_at_s: float, ended_label: str | None = None
    ) -> Pending[None]:
        """End a firing; closing it again changes nothing."""
        self._channels.pop(firing_id, None)

        def job(connection: sqlite3.Connection) -> None:
            firing_number(connection, firing_id)
            connection.execute(
                "UPDATE firing SET state = 'closed', ended_at_s = ?, ended_label = ? "
                "WHERE id = ? AND state = 'open'",
                (ended_at_s, ended_label, firing_id),
            )

        return self._submit(job)

    def import_readings(
        self,
        new: NewFiring,
        readings: Iterable[Reading],
        events: Iterable[Event] = (),
    ) -> Pending[Firing]:
        """Take in a whole recorded firing, all or nothing, as a closed one.

        ``readings`` is drawn from in the writing thread, then ``events``, so that one pass over
        a log can give both. An error that either raises comes out of the answer. The answer
        raises InputError if there are no readings, RecordError if the disk refuses.
        """
        _must_fit(new)

        has_begun = False

        def job(connection: sqlite3.Connection) -> Firing:
            nonlocal has_begun
            if has_begun:
                # What was drawn from the readings is gone, so this can't be tried again as
                # other tasks are.
                raise RecordError(
                    f"the log was not taken in: the disk refused the record {self._path}; "
                    "mend that and take it in again"
                )
            has_begun = True
            firing = insert_firing(connection, new)
            appender = ReadingAppender()
            last_s: float | None = None
            last_label: str | None = None
            for reading in readings:
                appender.add(connection, row_of_reading(firing.id, firing.channels, reading))
                last_s, last_label = reading.elapsed_s, reading.time
            if last_s is None:
                raise InputError("there are no readings to take in")
            firing_n = firing_number(connection, firing.id)
            insert_events(connection, firing_n, events)
            connection.execute(
                "UPDATE firing SET state = 'closed', ended_at_s = ?, ended_label = ? WHERE n = ?",
                (last_s, last_label, firing_n),
            )
            return find_firing(connection, firing.id)

        return self._submit(job)

    def flush(self) -> Pending[None]:
        """Done once everything accepted so far is on disk."""
        return self._submit(lambda _connection: None)

    # Messages to be delivered

    def waiting_messages(self, limit: int = 50) -> list[QueuedMessage]:
        """The oldest messages that nobody has marked as sent, in order."""
        with self._reading() as connection:
            return self._messages.waiting(connection, limit, with_unsaved=self.trouble is not None)

    def mark_sent(self, message_id: int, label: str | None = None) -> Pending[None]:
        """Don't hand the message out again; durable once the answer is done."""
        pending = self._submit(self._messages.mark(message_id, label))
        pending.when_done(lambda: self._messages.unmark(message_id))
        return pending

    # Looking

    def firings(self) -> list[Firing]:
        """Every firing, the newest first."""
        with self._reading() as connection:
            rows = connection.execute(f"SELECT {FIRING_COLUMNS} FROM firing ORDER BY n DESC")  # noqa: S608 - constant text
            return [firing_from_row(row) for row in rows]

    def firing(self, prefix: str) -> Firing:
        """The firing whose id is or begins with ``prefix``.

        Raises InputError if there is none, or more than one.
        """
        with self._reading() as connection:
            return find_firing(connection, prefix)

    def open_firing(self, kiln: str | None = None, mode: Mode = Mode.LIVE) -> Firing | None:
        """The firing that goes on, of this kiln or of any; ``None`` if there is none."""
        return next(
            (
                firing
                for firing in self.firings()
                if firing.is_open and firing.mode is mode and kiln in (None, firing.kiln)
            ),
            None,
        )

    def extent(self, firing_id: str) -> Extent | None:
        """How much of the firing is on disk; ``None`` before its first reading."""
        with self._reading() as connection:
            return extent(connection, firing_number(connection, firing_id))

    def readings(
        self, firing_id: str, *, from_s: float | None = None, to_s: float | None = None
    ) -> Iterator[Reading]:
        """The firing's readings on disk, in order, between two elapsed times (both included)."""
        with self._reading() as connection:
            channels = find_firing(connection, firing_id).channels
            firing_n = firing_number(connection, firing_id)
            yield from iterate(connection, firing_n, channels, from_s, to_s)

    def has_labels(self, firing_id: str) -> bool:
        """True if any of the firing's readings has a wall-clock label."""
        with self._reading() as connection:
            return has_labels(connection, firing_number(connection, firing_id))

    def faulty_channels(self, firing_id: str) -> frozenset[str]:
        """The channels for which the hardware ever reported a fault in this firing."""
        with self._reading() as connection:
            texts = fault_columns(connection, firing_number(connection, firing_id))
            return frozenset(channel for text in texts for channel in json.loads(text))

    def events(self, firing_id: str) -> list[Event]:
        """The firing's events in the order in which they were kept."""
        return [event_from_line(line) for line in self.event_lines(firing_id)]

    def event_lines(self, firing_id: str) -> list[str]:
        """The firing's events as the lines of JSON that were kept."""
        return self._lines("event", "seq", firing_id)

    def alerts(self, firing_id: str) -> list[Alert]:
        """The firing's alerts in the order in which they were raised."""
        return [Alert.from_json(line) for line in self._lines("alert", "n", firing_id)]

    def notes(self, firing_id: str) -> list[Note]:
        """The firing's notes in the order in which they were written."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT id, elapsed_s, text, by, time FROM note WHERE firing_n = ? ORDER BY id",
                (firing_number(connection, firing_id),),
            )
            return [Note(*row) for row in rows]

    def _lines(self, table: str, order: str, firing_id: str) -> list[str]:
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT line FROM {table} WHERE firing_n = ? ORDER BY {order}",  # noqa: S608 - constant names
                (firing_number(connection, firing_id),),
            )
            return [line for (line,) in rows]

    def _exact(self, firing_id: str) -> Firing:
        firing = self.firing(firing_id)
        if firing.id != firing_id:
            raise InputError(f'there is no firing "{firing_id}" in the record')
        return firing

    def _write_side(self) -> Writer:
        if self._writer is None:
            raise RecordError(f"the record {self._path} was opened for reading only")
        return self._writer

    def _submit(self, job: Job[T]) -> Pending[T]:
        return self._write_side().submit(job)

    @contextmanager
    def _reading(self) -> Generator[sqlite3.Connection]:
        with closing(open_for_reading(self._path)) as connection:
            try:
                yield connection
            except sqlite3.Error as error:
                raise RecordError(explain(error, self._path)) from None


def _must_fit(new: NewFiring) -> None:
    if not new.channels:
        raise InputError("a firing needs at least one channel")
    if len(set(new.channels)) != len(new.channels):
        raise InputError(f"two channels share a name in {', '.join(new.channels)}")
