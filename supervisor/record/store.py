"""The record as the rest of the program meets it.

Knows firings, readings, events, notes, alerts, what was seen of witness cones, accepted offsets
and messages to be delivered, and keeps them. What they mean is the core's business; who is told
is messaging's.

Writing goes through one thread. Whatever a person or another program is told of (an event, a
note, an acknowledgement) is on disk before the answer says so. Looking is ``RecordReader``'s.
"""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from contextlib import closing
from pathlib import Path
from typing import TypeVar

from supervisor.core.alerts import Alert
from supervisor.core.errors import InputError, RecordError
from supervisor.core.events import Event
from supervisor.core.readings import Reading
from supervisor.record.audit import NewDeed, insert_deed
from supervisor.record.noted import Noted
from supervisor.record.packing import pack_rows
from supervisor.record.readings import BLOCK_READINGS, ReadingAppender, firing_number
from supervisor.record.rows import LONGEST_NOTE as LONGEST_NOTE
from supervisor.record.rows import (
    Firing,
    NewFiring,
    NewMessage,
    NewNote,
    must_be_a_note,
    must_fit,
    row_of_reading,
)
from supervisor.record.schema import FILE_NAME, UnwritableError, explain, open_for_writing
from supervisor.record.stand_in import StandIn
from supervisor.record.tables import (
    close_firing,
    end_waiting,
    find_firing,
    insert_events,
    insert_firing,
    insert_note,
    move_notes,
    set_awaits_rest,
    upsert_alert,
    upsert_alert_book,
)
from supervisor.record.unloading import hand_over
from supervisor.record.writer import IN_MEMORY, Away, Job, Pending, Trouble, Writer

COMMIT_AFTER_S = 9.0
"""Readings wait for a commit no longer than this: 10 s of them may be at risk, no more."""
CLOSE_WITHIN_S = 3.0
"""How long closing waits for a disk that refuses."""

T = TypeVar("T")


class Record(Noted):
    """The record of a studio: one file in its data folder. Made by ``open``."""

    def __init__(self, path: Path, writer: Writer, stand_in: StandIn | None = None) -> None:
        super().__init__(path if stand_in is None else stand_in.path, writer)
        self._stand_in = stand_in
        self._home_path = path
        self._at_home: Future[None] = Future()
        self._at_home.set_running_or_notify_cancel()
        if stand_in is None:
            self._at_home.set_result(None)
        self._channels: dict[str, tuple[str, ...]] = {}
        self._closing: set[str] = set()

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
        at each commit that the disk refuses, from whoever hands something in while it is silent,
        and with ``None`` once it takes things again; it must not raise. Raises RecordError if the
        file can't be opened, made or written, is damaged, not a record, or of a newer version.
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
    def open_or_stand_in(
        cls,
        data_dir: Path,
        *,
        clock: Callable[[], float] = time.monotonic,
        commit_after_s: float = COMMIT_AFTER_S,
        on_trouble: Callable[[Trouble | None], None] | None = None,
    ) -> Record:
        """As ``open``; where the disk does not allow it, a record in memory until it does.

        It begins with what can be read of the file, is in trouble (``stands_in``) and goes into
        the file as soon as that can be written. What an earlier process has left in memory goes
        into the file first. Raises RecordError if the file is not a record, or of a newer version,
        or if there is no memory either.
        """
        path = data_dir / FILE_NAME
        stand_in = StandIn.left_for(path)
        try:
            if stand_in is not None:
                with closing(open_for_writing(stand_in.path)) as source:
                    stand_in.go_home(source).close()
                stand_in.forget()
                stand_in = None
            return cls.open(
                data_dir, clock=clock, commit_after_s=commit_after_s, on_trouble=on_trouble
            )
        except (UnwritableError, sqlite3.Error) as error:
            what = explain(error, path) if isinstance(error, sqlite3.Error) else str(error)
        stand_in = stand_in or StandIn.make(path)
        record: Record | None = None

        def on_home() -> None:
            # The writer's thread may be faster than this one.
            made.wait()
            assert record is not None  # noqa: S101 - it is made by now
            record._is_home()

        made = threading.Event()
        away = Away(f"{what}; {IN_MEMORY}", stand_in.go_home, on_home)
        writer = Writer(
            open_for_writing(stand_in.path),
            path,
            clock=clock,
            commit_after_s=commit_after_s,
            on_trouble=on_trouble,
            away=away,
        )
        record = cls(path, writer, stand_in)
        made.set()
        if on_trouble is not None:
            on_trouble(record.trouble)
        return record

    @property
    def path(self) -> Path:
        """Where the file lies, or is to lie."""
        return self._home_path

    @property
    def stands_in(self) -> bool:
        """Whether all of it is in memory, because the file can't be written."""
        return not self._at_home.done()

    def at_home(self) -> Pending[None]:
        """Done once what was written is in the file: at once, unless the record stands in."""
        return Pending(self._at_home)

    def _is_home(self) -> None:
        """All of it is in the file by now. Called from the writing thread."""
        self._path = self._home_path
        self._at_home.set_result(None)
        if self._stand_in is not None:
            self._stand_in.forget()

    def is_written(self, longest_s: float) -> bool:
        """Whether its writer is at work, and no commit has taken longer than that."""
        return self._writer.is_at_work(longest_s)

    def close(self, timeout_s: float = CLOSE_WITHIN_S) -> None:
        """Write all that was accepted and let go of the file. May be called twice.

        Raises RecordError if the disk refuses for longer than ``timeout_s``.
        """
        self._writer.close(timeout_s)

    # Writing

    def start_firing(
        self, new: NewFiring, *, waited: str | None = None, waited_until: str | None = None
    ) -> Pending[Firing]:
        """Begin a firing; it gets its id here.

        It takes the place of the firing ``waited``, if one is named, and its notes: that one
        ends, at the label ``waited_until``, or leaves no trace where nothing else was kept in it.
        All of it is one transaction. The answer raises RecordError if a firing of the same kiln
        and mode is still open.
        """
        must_fit(new)

        def job(connection: sqlite3.Connection) -> Firing:
            if waited is None:
                return begin(connection)
            waited_n = firing_number(connection, waited)
            close_firing(connection, waited_n, 0.0, waited_until)
            firing = begin(connection)
            firing_n = firing_number(connection, firing.id)
            move_notes(connection, waited_n, firing_n)
            hand_over(connection, waited_n, firing_n)
            end_waiting(connection, waited_n, waited_until)
            return firing

        def begin(connection: sqlite3.Connection) -> Firing:
            still_open = connection.execute(
                "SELECT id FROM firing WHERE state = 'open' AND kiln = ? AND mode = ?",
                (new.kiln, new.mode.value),
            ).fetchone()
            if still_open is not None:
                raise RecordError(
                    f'firing {still_open[0]} of kiln "{new.kiln}" is still open: close it first'
                )
            return insert_firing(connection, new)

        return self._submit(job) if waited is None else self._submit_end(waited, job)

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
            if not firing.is_open or firing_id in self._closing:
                raise RecordError(f"firing {firing_id} is closed: it takes no more readings")
            channels = self._channels[firing_id] = firing.channels
        self._writer.append(row_of_reading(firing_id, channels, reading))

    def add_events(
        self,
        firing_id: str,
        events: Sequence[Event] = (),
        *,
        alerts: Sequence[Alert] = (),
        book: str | None = None,
        messages: Sequence[NewMessage] = (),
        closes_at: tuple[float, str | None] | None = None,
        awaits_rest: bool = False,
    ) -> Pending[None]:
        """Keep events, the alerts that they changed and the messages about them, all or none.

        One transaction holds them together with every reading accepted before. An event that
        the firing already has, letter for letter, is not kept twice. ``book`` is what the alert
        book keeps beside its alerts. ``closes_at`` (elapsed seconds and the wall clock's label)
        ends the firing in the same transaction; with ``awaits_rest`` the kiln is to stop climbing
        before a climb begins the next one.
        """
        tokens = self._messages.accept(tuple(messages))

        def job(connection: sqlite3.Connection) -> None:
            firing_n = firing_number(connection, firing_id)
            insert_events(connection, firing_n, events)
            for alert in alerts:
                upsert_alert(connection, firing_n, alert)
            if book is not None:
                upsert_alert_book(connection, firing_n, book)
            if closes_at is not None:
                close_firing(connection, firing_n, *closes_at)
            if awaits_rest:
                set_awaits_rest(connection, firing_n, awaits_rest=True)
            self._messages.insert(connection, tokens)

        try:
            pending = self._submit(job) if closes_at is None else self._submit_end(firing_id, job)
        except RecordError:
            self._messages.withdraw(tokens)
            raise
        pending.when_kept(lambda: self._messages.settle(tokens))
        pending.when_failed(lambda _error: self._messages.withdraw(tokens))
        return pending

    def acknowledge(
        self, firing_id: str, alert: Alert, messages: Sequence[NewMessage] = ()
    ) -> Pending[None]:
        """Keep that an alert was acknowledged, and the message about it."""
        return self.add_events(firing_id, alerts=(alert,), messages=messages)

    def close_firing(
        self, firing_id: str, ended_at_s: float, ended_label: str | None = None
    ) -> Pending[None]:
        """End a firing; closing it again changes nothing."""
        return self.add_events(firing_id, closes_at=(ended_at_s, ended_label))

    def end_waiting(self, firing_id: str, ended_label: str | None = None) -> Pending[bool]:
        """End a firing that only waited; one in which nothing at all was kept leaves no trace.

        The answer is whether it is gone.
        """

        def job(connection: sqlite3.Connection) -> bool:
            return end_waiting(connection, firing_number(connection, firing_id), ended_label)

        return self._submit_end(firing_id, job)

    def has_rested(self, firing_id: str) -> Pending[None]:
        """Keep that the kiln has stopped climbing since this firing's log was ended."""

        def job(connection: sqlite3.Connection) -> None:
            set_awaits_rest(connection, firing_number(connection, firing_id), awaits_rest=False)

        return self._submit(job)

    def keep_blind(self, firing_id: str, line: str) -> Pending[None]:
        """Keep, as JSON, when nobody watched the firing last."""

        def job(connection: sqlite3.Connection) -> None:
            connection.execute(
                "UPDATE firing SET blind = ? WHERE n = ?",
                (line, firing_number(connection, firing_id)),
            )

        return self._submit(job)

    def mend_start(self, firing_id: str, started_label: str) -> Pending[None]:
        """Keep when the firing began by a clock that has been set meanwhile."""

        def job(connection: sqlite3.Connection) -> None:
            connection.execute(
                "UPDATE firing SET started_label = ? WHERE n = ?",
                (started_label, firing_number(connection, firing_id)),
            )

        return self._submit(job)

    def import_readings(
        self,
        new: NewFiring,
        readings: Iterable[Reading],
        events: Iterable[Event] = (),
        notes: Sequence[NewNote] = (),
    ) -> Pending[Firing]:
        """Take in a whole recorded firing, all or nothing, as a closed one.

        ``readings`` is drawn from in the writing thread, which keeps everybody else from
        writing meanwhile: whatever takes long is better done before. An error that it raises
        comes out of the answer. Raises InputError for an empty or an endless note; the answer
        raises InputError if there are no readings, RecordError if the disk refuses.
        """
        must_fit(new)
        for note in notes:
            must_be_a_note(note)

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
            firing_n = firing_number(connection, firing.id)
            appender = ReadingAppender()
            last_s: float | None = None
            last_label: str | None = None
            for count, reading in enumerate(readings, start=1):
                appender.add(connection, row_of_reading(firing.id, firing.channels, reading))
                last_s, last_label = reading.elapsed_s, reading.time
                if count % BLOCK_READINGS == 0:
                    pack_rows(connection, firing_n, len(firing.channels))
            if last_s is None:
                raise InputError("there are no readings to take in")
            insert_events(connection, firing_n, events)
            for note in notes:
                insert_note(connection, firing_n, note)
            close_firing(connection, firing_n, last_s, last_label)
            pack_rows(connection, firing_n, len(firing.channels))
            return find_firing(connection, firing.id)

        return self._submit(job)

    def add_deed(self, deed: NewDeed) -> Pending[None]:
        """Keep who did what on the page."""
        return self._submit(lambda connection: insert_deed(connection, deed))

    def flush(self) -> Pending[None]:
        """Done once everything accepted so far is on disk."""
        return self._submit(lambda _connection: None)

    def _exact(self, firing_id: str) -> Firing:
        firing = self.firing(firing_id)
        if firing.id != firing_id:
            raise InputError(f'there is no firing "{firing_id}" in the record')
        return firing

    def _submit_end(self, firing_id: str, job: Job[T]) -> Pending[T]:
        """Accept what ends a firing: from now on it takes no readings, unless that fails."""
        pending = self._submit(job)
        self._closing.add(firing_id)
        self._channels.pop(firing_id, None)
        pending.when_failed(lambda _error: self._closing.discard(firing_id))
        return pending
