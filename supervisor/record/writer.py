"""The one thread that writes the record, and the queue before it.

Knows when to commit and what to do while the disk refuses; knows nothing of what is written.

Everything is written in the order of acceptance. A *task* (events, a note, an alert) is
committed at once, in one transaction with all readings accepted before it. Readings alone wait
for at most ``commit_after_s``, because each commit costs a page of the card. While the disk
refuses, everything is kept in memory, the trouble is reported and the commit is tried again.
"""

from __future__ import annotations

import sqlite3
import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias, TypeVar, cast

from supervisor.core.errors import RecordError
from supervisor.record.pending import Pending as Pending
from supervisor.record.readings import ReadingAppender
from supervisor.record.rows import ReadingRow
from supervisor.record.schema import explain

T = TypeVar("T")
Job: TypeAlias = Callable[[sqlite3.Connection], T]

MAX_KEPT_READINGS = 50_000
"""Readings kept in memory while the disk refuses: 13 hours at one a second, about 20 MB."""
MAX_KEPT_TASKS = 10_000
"""Tasks kept in memory while the disk refuses; more than a firing has by far."""
SILENT_AFTER_S = 15.0
"""A disk that has taken so long over one commit is in trouble, though it has refused nothing.
Longer than another program may hold the file (``schema``)."""
_RETRY_FIRST_S = 1.0
_RETRY_LONGEST_S = 30.0
_RETRY_CLOSING_S = 0.1
_LEAVE_S = 0.5
_HOME_EVERY_S = 5.0
IN_MEMORY = "THE KILN IS WATCHED FROM MEMORY, and all of it is lost with this machine's power"
"""What a person is told while nothing can be written where it belongs."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """The disk refuses: what a person can do, what waits in memory and what is lost for good.

    ``is_silent`` says that it does not even refuse: it has not answered for long, and whoever
    asks it for anything waits as well.
    """

    message: str
    waiting_readings: int
    waiting_tasks: int
    lost_readings: int
    is_silent: bool = False


@dataclass(frozen=True, slots=True)
class _Task:
    job: Job[Any]
    future: Future[Any]


@dataclass(frozen=True, slots=True)
class _Accepted:
    """A reading and when it was accepted, by the writer's clock."""

    row: ReadingRow
    at_s: float


@dataclass(slots=True)
class Away:
    """What is written lies elsewhere than in the file that it belongs to, and ``why``.

    ``go_home`` moves it there and gives the file, open for writing; it raises RecordError or
    sqlite3.Error while that can't be done. ``on_home`` is called once it is done.
    """

    why: str
    go_home: Callable[[sqlite3.Connection], sqlite3.Connection]
    on_home: Callable[[], None]


class Writer:
    """Owns the connection that writes, and its thread.

    With ``away`` it writes elsewhere than it should, which is a trouble, and sees to it that all
    gets home.
    """

    def __init__(
        self,
        connection: sqlite3.Connection,
        path: Path,
        *,
        clock: Callable[[], float],
        commit_after_s: float,
        on_trouble: Callable[[Trouble | None], None] | None,
        away: Away | None = None,
    ) -> None:
        self._away = away
        self._home_at_s = clock() + _HOME_EVERY_S
        self._connection = connection
        self._path = path
        self._clock = clock
        self._commit_after_s = commit_after_s
        self._on_trouble = on_trouble
        self._appender = ReadingAppender()
        self._changed = threading.Condition()
        self._queue: deque[_Task | _Accepted] = deque()
        self._batch: list[_Task | _Accepted] = []
        self._waiting_tasks = 0
        self._waiting_readings = 0
        self._lost_readings = 0
        self._trouble: str | None = None
        self._silence_told_s: float | None = None
        self._retry_at_s: float | None = None
        self._retry_s = _RETRY_FIRST_S
        self._busy_since_s: float | None = None
        self._is_closing = False
        self._gives_up_at_s: float | None = None
        self._failure: RecordError | None = None
        self._thread = threading.Thread(target=self._run, name="record writer", daemon=True)
        self._thread.start()

    @property
    def trouble(self) -> Trouble | None:
        """What is wrong with the disk now, ``None`` if nothing is."""
        with self._changed:
            silent_s = self._silent_s()
            if silent_s is not None:
                why = (
                    f"the record {self._path} is not written: the disk has not answered for "
                    f"{silent_s:.0f} seconds"
                )
            elif self._trouble is not None:
                why = self._trouble
            elif self._away is not None:
                why = self._away.why
            else:
                return None
            return Trouble(
                why,
                self._waiting_readings,
                self._waiting_tasks,
                self._lost_readings,
                is_silent=silent_s is not None,
            )

    def _silent_s(self) -> float | None:
        """For how long the disk has not answered, where that is too long."""
        busy_since_s = self._busy_since_s
        if busy_since_s is None:
            return None
        silent_s = self._clock() - busy_since_s
        return silent_s if silent_s >= SILENT_AFTER_S else None

    def _tell_silence(self) -> None:
        """Report a disk that does not answer, now and then; its own thread can't, it waits."""
        with self._changed:
            now_s, told_s = self._clock(), self._silence_told_s
            if self._silent_s() is None or (told_s is not None and now_s - told_s < SILENT_AFTER_S):
                return
            self._silence_told_s = now_s
        self._report()

    def is_at_work(self, longest_s: float) -> bool:
        """Whether the thread lives, and has been at its present commit for no longer than that.

        A disk that refuses and is tried again is at work.
        """
        busy_since_s = self._busy_since_s
        is_stuck = busy_since_s is not None and self._clock() - busy_since_s > longest_s
        return self._thread.is_alive() and not is_stuck

    def append(self, row: ReadingRow) -> None:
        """Accept a reading; never waits for the disk.

        If the disk has refused for so long that memory is full, the oldest reading gives way,
        and the trouble counts it.
        """
        with self._changed:
            self._must_be_open()
            if self._waiting_readings >= MAX_KEPT_READINGS:
                self._drop_oldest_reading()
            self._queue.append(_Accepted(row, self._clock()))
            self._waiting_readings += 1
            self._changed.notify()
        self._tell_silence()

    def submit(self, job: Job[T]) -> Pending[T]:
        """Accept a task; it is durable when the answer is done.

        Raises RecordError if the record is closed, or if too much is waiting for the disk.
        """
        future: Future[T] = Future()
        # From here on nobody who waits for it can take it back.
        future.set_running_or_notify_cancel()
        with self._changed:
            self._must_be_open()
            if self._waiting_tasks >= MAX_KEPT_TASKS:
                raise RecordError(f"{self._waiting_tasks} changes wait for the disk: mend it first")
            self._queue.append(_Task(job, future))
            self._waiting_tasks += 1
            self._changed.notify()
        self._tell_silence()
        return Pending(future)

    def close(self, timeout_s: float) -> None:
        """Write all that was accepted, then end the thread and close the file.

        Raises RecordError if the disk still refuses after ``timeout_s``. May be called twice.
        """
        with self._changed:
            if not self._is_closing:
                self._is_closing = True
                self._gives_up_at_s = self._clock() + timeout_s
                self._retry_at_s = None
            self._changed.notify()
        # A disk that does not answer holds the thread for as long as it likes, but not us.
        self._thread.join(timeout_s + _LEAVE_S)
        if self._thread.is_alive():
            raise RecordError(
                f"the record {self._path} can't be closed: the disk does not answer; "
                f"{self._waiting_readings} readings could not be kept"
            )
        if self._failure is not None:
            failure, self._failure = self._failure, None
            raise failure

    def _must_be_open(self) -> None:
        if self._is_closing:
            raise RecordError(f"the record {self._path} is closed")

    def _drop_oldest_reading(self) -> None:
        for place, item in enumerate(self._queue):
            if isinstance(item, _Accepted):
                del self._queue[place]
                self._waiting_readings -= 1
                self._lost_readings += 1
                return

    def _run(self) -> None:
        try:
            while True:
                with self._changed:
                    while (wait_s := self._due_in_s()) is None or wait_s > 0.0:
                        self._changed.wait(wait_s)
                    is_leaving = self._is_closing and not self._queue
                    goes_home = self._away is not None and (
                        is_leaving or self._clock() >= self._home_at_s
                    )
                    if is_leaving and not goes_home:
                        return
                if goes_home:
                    self._go_home()
                    if is_leaving:
                        self._leave_away()
                        return
                    continue
                with self._changed:
                    self._batch = list(self._queue)
                    self._queue.clear()
                self._busy_since_s = self._clock()
                if not self._write():
                    return
        except BaseException:
            self._fail_all(f"the writer of the record {self._path} has failed: see the log")
            raise
        finally:
            self._connection.close()

    def _go_home(self) -> None:
        """Move all that was written to where it belongs, if that can be done by now."""
        away = self._away
        assert away is not None  # noqa: S101 - that is why we are here
        try:
            connection = away.go_home(self._connection)
        except sqlite3.Error as error:
            self._still_away(explain(error, self._path))
            return
        except RecordError as error:
            self._still_away(str(error))
            return
        self._connection.close()
        self._connection = connection
        self._appender.forget()
        with self._changed:
            self._away = None
        away.on_home()
        self._report()

    def _still_away(self, why: str) -> None:
        with self._changed:
            self._home_at_s = self._clock() + _HOME_EVERY_S
            away = self._away
            is_news = away is not None and why not in away.why
            if away is not None and is_news:
                away.why = f"{why}; {IN_MEMORY}"
        if is_news:
            self._report()

    def _leave_away(self) -> None:
        """Say, on closing, that what was kept never got home."""
        if self._away is not None:
            self._failure = RecordError(
                f"{self._away.why}; what was kept there since could not be kept for good, and is "
                "taken up by the next start unless this machine is switched off"
            )

    def _due_in_s(self) -> float | None:
        """Seconds until there is something to do; ``None`` if nothing waits."""
        due_s = self._queue_due_in_s()
        if self._away is None:
            return due_s
        home_s = self._home_at_s - self._clock()
        return home_s if due_s is None else min(due_s, home_s)

    def _queue_due_in_s(self) -> float | None:
        """Seconds until something that was accepted is to be written."""
        if not self._queue:
            return 0.0 if self._is_closing else None
        now_s = self._clock()
        if self._retry_at_s is not None:
            return self._retry_at_s - now_s
        first = self._queue[0]
        if self._is_closing or self._waiting_tasks or isinstance(first, _Task):
            return 0.0
        return first.at_s + self._commit_after_s - now_s

    def _write(self) -> bool:
        """Commit the batch, or put it back for another try; False to end the thread."""
        try:
            outcomes = self._commit(self._batch)
        except sqlite3.Error as error:
            return self._put_back(explain(error, self._path))
        with self._changed:
            self._busy_since_s = None
            self._waiting_tasks -= len(outcomes)
            self._waiting_readings -= len(self._batch) - len(outcomes)
            self._batch = []
            self._retry_at_s, self._retry_s = None, _RETRY_FIRST_S
            had_trouble = self._trouble is not None or self._silence_told_s is not None
            self._trouble = self._silence_told_s = None
        for future, outcome in outcomes:
            if isinstance(outcome, Exception):
                future.set_exception(outcome)
            else:
                future.set_result(outcome)
        if had_trouble:
            self._report()
        return True

    def _commit(self, batch: list[_Task | _Accepted]) -> list[tuple[Future[Any], object]]:
        connection = self._connection
        outcomes: list[tuple[Future[Any], object]] = []
        connection.execute("BEGIN IMMEDIATE")
        try:
            for item in batch:
                if isinstance(item, _Accepted):
                    self._appender.add(connection, item.row)
                else:
                    outcomes.append((item.future, self._try(item.job)))
            connection.execute("COMMIT")
        except BaseException:
            self._appender.forget()
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
        return outcomes

    def _try(self, job: Job[Any]) -> object:
        """The job's answer, or why the job itself (not the disk) failed; then nothing is kept."""
        connection = self._connection
        connection.execute("SAVEPOINT task")
        try:
            outcome = job(connection)
        except Exception as error:
            if isinstance(error, sqlite3.DatabaseError) and not isinstance(
                error, sqlite3.IntegrityError | sqlite3.ProgrammingError | sqlite3.DataError
            ):
                raise
            connection.execute("ROLLBACK TO task")
            self._appender.forget()
            outcome = error
        connection.execute("RELEASE task")
        return cast("object", outcome)

    def _put_back(self, why: str) -> bool:
        with self._changed:
            self._queue.extendleft(reversed(self._batch))
            self._batch = []
            self._trouble = why
            self._busy_since_s = self._silence_told_s = None
            now_s = self._clock()
            if self._gives_up_at_s is None:
                self._retry_at_s = now_s + self._retry_s
                self._retry_s = min(2.0 * self._retry_s, _RETRY_LONGEST_S)
                is_over = False
            else:
                self._retry_at_s = now_s + _RETRY_CLOSING_S
                is_over = now_s >= self._gives_up_at_s
        if is_over:
            self._fail_all(f"{why}; {self._waiting_readings} readings could not be kept")
            return False
        self._report()
        return True

    def _fail_all(self, why: str) -> None:
        with self._changed:
            self._is_closing = True
            self._failure = RecordError(why)
            items = [*self._batch, *self._queue]
            left = [item.future for item in items if isinstance(item, _Task)]
            self._batch = []
            self._queue.clear()
        for future in left:
            if not future.done():
                future.set_exception(RecordError(why))

    def _report(self) -> None:
        if self._on_trouble is not None:
            self._on_trouble(self.trouble)
