"""The record as those who only look at it meet it: reports, exports, lists, the page.

Knows how to ask; can't change anything. Each question opens a connection of its own, so it may
be asked from any thread, beside a daemon that writes, and sees what has been committed.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Generator, Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from supervisor.core.alerts import Alert
from supervisor.core.alerts.alert import NOTICES
from supervisor.core.alerts.sorts import PASSING
from supervisor.core.errors import RecordError
from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.record.archive import Found, FoundFiring, Wanted, find, find_one, kilns
from supervisor.record.audit import KeptDeed, select_deeds
from supervisor.record.blocks import Block
from supervisor.record.cones import (
    is_real,
    offsets_in_force,
    select_observations,
    select_offset_changes,
    select_seen_in_kiln,
    witness_mark,
)
from supervisor.record.gist import Gist, SummedUp
from supervisor.record.packing import MARK
from supervisor.record.readings import (
    chunks,
    columns,
    extent,
    fault_texts,
    firing_number,
    has_labels,
    iterate,
)
from supervisor.record.rows import (
    FIRING_COLUMNS,
    AcceptedOffset,
    Columns,
    Extent,
    Firing,
    KeptObservation,
    Mode,
    Note,
    OffsetChange,
    SeenFiring,
    event_from_line,
    firing_from_row,
)
from supervisor.record.schema import FILE_NAME, READINGS_PER_FIRING, explain, open_for_reading
from supervisor.record.summary import SUMMARY_VERSION, overview_from
from supervisor.record.tables import find_firing, last_log, select_notes
from supervisor.record.unloading import (
    Account,
    Finding,
    Photo,
    select_accounts,
    select_findings,
    select_photos,
)


class RecordReader:
    """Looks into the record at ``path``. Made by ``open_to_read``, or as part of a ``Record``."""

    def __init__(self, path: Path) -> None:
        self._path = path

    @staticmethod
    def open_to_read(data_dir: Path) -> RecordReader:
        """The record in ``data_dir``, for looking only; its disk may be read-only.

        Raises RecordError if there is none, or if it is damaged, not a record, or of another
        version.
        """
        path = data_dir / FILE_NAME
        open_for_reading(path).close()
        return RecordReader(path)

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self._path

    @property
    def lies_at(self) -> Path:
        """Where it is read just now: elsewhere than at ``path`` while it stands in."""
        return self._path

    def close(self) -> None:
        """Let go of the file; nothing is held between two questions."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

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

    def find(self, wanted: Wanted) -> Found:
        """The firings that are wanted, one page of them, the latest first.

        One that waits for its kiln to climb is left out.
        """
        with self._reading() as connection:
            return find(connection, wanted)

    def found(self, firing: Firing) -> FoundFiring:
        """The firing as it is in such a list."""
        with self._reading() as connection:
            return find_one(connection, firing)

    def kilns(self) -> list[str]:
        """The names of the kilns that have firings."""
        with self._reading() as connection:
            return kilns(connection)

    def to_put_away(self) -> list[Firing]:
        """The closed firings that are not summed up as this version does it, newest first.

        Nor with all notes and looks that there are by now. Those that are summed up are packed
        as well.
        """
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT {FIRING_COLUMNS} FROM firing WHERE state = 'closed' AND n NOT IN "  # noqa: S608 - constant text
                "(SELECT firing_n FROM summary WHERE version = :version AND "
                f"mark = {MARK}) AND (EXISTS "
                "(SELECT 1 FROM reading WHERE reading.n BETWEEN firing.n * :room AND "
                "firing.n * :room + :room - 1) OR EXISTS (SELECT 1 FROM block WHERE block.n "
                "BETWEEN firing.n * :room AND firing.n * :room + :room - 1)) ORDER BY n DESC",
                {"version": SUMMARY_VERSION, "room": READINGS_PER_FIRING},
            )
            return [firing_from_row(row) for row in rows]

    def summary_mark(self, firing_id: str) -> str:
        """What differs once something was written that the firing's summary is made of."""
        with self._reading() as connection:
            (mark,) = connection.execute(
                f"SELECT {MARK} FROM firing WHERE id = ?",  # noqa: S608 - constant text
                (firing_id,),
            ).fetchone()
            return str(mark)

    def facts(self, firing_id: str) -> Mapping[str, Any] | None:
        """The firing's facts (``supervisor.core.review``, as ``document_of`` writes them).

        None until it is summed up. Quickly read: nothing is worked out.
        """
        with self._reading() as connection:
            row = connection.execute(
                "SELECT json_extract(line, '$.facts') FROM summary WHERE firing_n = ?",
                (firing_number(connection, firing_id),),
            ).fetchone()
            return None if row is None else dict(json.loads(row[0]))

    def overview(self, firing_id: str) -> Columns | None:
        """The whole firing in two thousand rows without losing a peak; None until summed up."""
        with self._reading() as connection:
            channels = find_firing(connection, firing_id).channels
            row = connection.execute(
                "SELECT overview FROM summary WHERE firing_n = ?",
                (firing_number(connection, firing_id),),
            ).fetchone()
            return None if row is None else overview_from(row[0], channels)

    def gist(self, firing_id: str) -> Gist | None:
        """What the firing is compared and followed by; None until it is summed up."""
        with self._reading() as connection:
            row = connection.execute(
                "SELECT trace, works, point FROM summary WHERE firing_n = ? AND version = ?",
                (firing_number(connection, firing_id), SUMMARY_VERSION),
            ).fetchone()
            return None if row is None else Gist(*row)

    def summed_up(self, firing_id: str) -> SummedUp | None:
        """The firing's facts with its gist; None until it is summed up."""
        with self._reading() as connection:
            row = connection.execute(
                f"SELECT json_extract(line, '$.facts'), mark = {MARK}, trace, works, point "  # noqa: S608 - constant text
                "FROM summary JOIN firing ON firing.n = firing_n "
                "WHERE firing_n = ? AND version = ?",
                (firing_number(connection, firing_id), SUMMARY_VERSION),
            ).fetchone()
            if row is None:
                return None
            line, is_latest, *gist = row
            return SummedUp(json.loads(line), Gist(*gist), bool(is_latest))

    def points(self, kiln: str) -> dict[str, str]:
        """By its id, the ``Gist.point`` of every firing of the kiln that is summed up."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT firing.id, summary.point FROM firing JOIN summary ON "
                "summary.firing_n = firing.n WHERE firing.kiln = ? AND summary.version = ?",
                (kiln, SUMMARY_VERSION),
            )
            return dict(rows.fetchall())

    def accounts(self, firing_id: str) -> list[Account]:
        """What people tell of the firing, the latest under each topic."""
        with self._reading() as connection:
            return select_accounts(connection, firing_number(connection, firing_id))

    def findings(self, firing_id: str) -> list[Finding]:
        """What stands of what was found at unloading."""
        with self._reading() as connection:
            return select_findings(connection, firing_number(connection, firing_id))

    def photos(self, firing_id: str) -> list[Photo]:
        """The firing's photos in the order in which they came."""
        with self._reading() as connection:
            return select_photos(connection, firing_number(connection, firing_id))

    def alerts_of(self, kiln: str, kind: Kind) -> list[Alert]:
        """The alerts of a kind in all firings of a kiln, the oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                "SELECT line FROM alert JOIN firing ON firing.n = firing_n "
                "WHERE kiln = ? AND json_extract(line, '$.kind') = ? ORDER BY alert.n",
                (kiln, kind.value),
            )
            return [Alert.from_json(line) for (line,) in rows]

    def open_firing(self, kiln: str | None = None, mode: Mode | None = Mode.LIVE) -> Firing | None:
        """The firing that goes on, of this kiln and mode or of any; ``None`` if there is none."""
        return next(
            (
                firing
                for firing in self.firings()
                if firing.is_open and mode in (None, firing.mode) and kiln in (None, firing.kiln)
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

    def columns(
        self, firing_id: str, *, from_s: float | None = None, to_s: float | None = None
    ) -> Columns:
        """The same readings as columns of numbers, ten times as quick; all of them in memory."""
        with self._reading() as connection:
            channels = find_firing(connection, firing_id).channels
            firing_n = firing_number(connection, firing_id)
            return columns(connection, firing_n, channels, from_s, to_s)

    def blocks(self, firing_id: str) -> Iterator[Block]:
        """The same readings an hour at a time, as they are packed."""
        with self._reading() as connection:
            channels = find_firing(connection, firing_id).channels
            firing_n = firing_number(connection, firing_id)
            for _, block in chunks(connection, firing_n, len(channels)):
                yield block

    def has_labels(self, firing_id: str) -> bool:
        """True if any of the firing's readings has a wall-clock label."""
        with self._reading() as connection:
            return has_labels(connection, firing_number(connection, firing_id))

    def faulty_channels(self, firing_id: str) -> frozenset[str]:
        """The channels for which the hardware ever reported a fault in this firing."""
        with self._reading() as connection:
            firing_n = firing_number(connection, firing_id)
            texts = fault_texts(
                connection, firing_n, len(find_firing(connection, firing_id).channels)
            )
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

    def alert_book(self, firing_id: str) -> str | None:
        """What the firing's alert book kept beside its alerts; ``None`` if it kept nothing."""
        with self._reading() as connection:
            row = connection.execute(
                "SELECT line FROM alert_book WHERE firing_n = ?",
                (firing_number(connection, firing_id),),
            ).fetchone()
            return None if row is None else str(row[0])

    def with_untold_alerts(self) -> list[Firing]:
        """The firings that have ended with something that was still to be told."""
        return self._closed_with("json_array_length(line, '$.untold') > 0")

    def with_standing_alerts(self) -> list[Firing]:
        """The firings that have ended with an alert that stands, and is no mere notice."""
        return self._closed_with(
            "json_extract(line, '$.cleared_at_s') IS NULL AND json_extract(line, '$.kind') "
            f"NOT IN ({', '.join(repr(kind.value) for kind in sorted(NOTICES - PASSING))})"
        )

    def _closed_with(self, such_an_alert: str) -> list[Firing]:
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT {FIRING_COLUMNS} FROM firing WHERE state = 'closed' AND n IN "  # noqa: S608 - constant text
                f"(SELECT firing_n FROM alert WHERE {such_an_alert}) ORDER BY n"
            )
            return [firing_from_row(row) for row in rows]

    def blind(self, firing_id: str) -> str | None:
        """What was kept, as JSON, of when nobody watched the firing last; ``None`` for nothing."""
        with self._reading() as connection:
            (line,) = connection.execute(
                "SELECT blind FROM firing WHERE n = ?", (firing_number(connection, firing_id),)
            ).fetchone()
            return None if line is None else str(line)

    def awaiting_rest(self, kiln: str) -> str | None:
        """The kiln's last log, where it was ended in a climb that may still go on; its id."""
        with self._reading() as connection:
            last = last_log(connection, kiln)
            return last[0] if last is not None and last[1] else None

    def notes(self, firing_id: str) -> list[Note]:
        """The firing's notes that count, in the order in which they were written."""
        with self._reading() as connection:
            return select_notes(connection, firing_number(connection, firing_id))

    def withdrawn_notes(self, firing_id: str) -> list[Note]:
        """The firing's notes that were taken back, in the order in which they were written."""
        with self._reading() as connection:
            return select_notes(connection, firing_number(connection, firing_id), withdrawn=True)

    def observations(self, firing_id: str) -> list[KeptObservation]:
        """What was seen of real cones in the firing, in the order of its time."""
        with self._reading() as connection:
            return select_observations(connection, firing_number(connection, firing_id))

    def is_real(self, kiln: str) -> bool:
        """Whether the kiln has a firing that was not simulated."""
        with self._reading() as connection:
            return is_real(connection, kiln)

    def seen_in_kiln(self, kiln: str) -> list[SeenFiring]:
        """The kiln's firings as they were fired, oldest first, with the real cones seen in each.

        Simulated firings count only for a kiln that has no others: a trial of a configuration
        says nothing of the real kiln.
        """
        with self._reading() as connection:
            return select_seen_in_kiln(connection, kiln)

    def witness_mark(self) -> tuple[int, ...]:
        """Figures that differ once ``seen_in_kiln`` may, whoever wrote; quickly asked."""
        with self._reading() as connection:
            return witness_mark(connection)

    def offsets(self, kiln: str, mode: Mode | None = None) -> dict[str, AcceptedOffset]:
        """The accepted offset of each channel that has one, for a firing that begins now.

        ``mode`` is the firing's: what cones of a simulation showed counts for simulations alone,
        and only until the kiln has a real firing. None: a real one, if the kiln had any.
        """
        with self._reading() as connection:
            return offsets_in_force(connection, kiln, mode)

    def offsets_at_start(self, firing_id: str) -> dict[str, AcceptedOffset]:
        """The accepted offsets that were in force when the firing began."""
        with self._reading() as connection:
            firing_n = firing_number(connection, firing_id)
            firing = find_firing(connection, firing_id)
            return offsets_in_force(connection, firing.kiln, firing.mode, firing_n)

    def offset_changes(self, firing_id: str) -> list[OffsetChange]:
        """Acceptances and withdrawals made for the firing while it went on, in their order."""
        with self._reading() as connection:
            return select_offset_changes(connection, firing_number(connection, firing_id))

    def deeds(self, limit: int) -> list[KeptDeed]:
        """Who did what on the page, the newest first."""
        with self._reading() as connection:
            return select_deeds(connection, limit)

    def _lines(self, table: str, order: str, firing_id: str) -> list[str]:
        with self._reading() as connection:
            rows = connection.execute(
                f"SELECT line FROM {table} WHERE firing_n = ? ORDER BY {order}",  # noqa: S608 - constant names
                (firing_number(connection, firing_id),),
            )
            return [line for (line,) in rows]

    @contextmanager
    def _reading(self) -> Generator[sqlite3.Connection]:
        with closing(self._opened()) as connection:
            try:
                # What is asked one after the other is told of the same moment.
                connection.execute("BEGIN")
                yield connection
            except sqlite3.Error as error:
                raise RecordError(explain(error, self._path)) from None

    def _opened(self) -> sqlite3.Connection:
        path = self._path
        try:
            return open_for_reading(path)
        except RecordError:
            if path == self._path:
                raise
            # It has gone from memory to where it belongs just now.
            return open_for_reading(self._path)
