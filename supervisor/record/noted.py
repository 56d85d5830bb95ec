"""The part of the record that takes what people write while they fire, and lets them take it back.

A note that was taken back counts nowhere; its row stays, with who did that and when.
"""

from __future__ import annotations

import sqlite3

from supervisor.record.readings import firing_number
from supervisor.record.rows import NewNote, Note, must_be_a_note
from supervisor.record.tables import insert_note, withdraw_note
from supervisor.record.witnessed import Witnessed
from supervisor.record.writer import Pending


class Noted(Witnessed):
    """A record that takes notes."""

    def add_note(
        self,
        firing_id: str,
        elapsed_s: float,
        text: str,
        *,
        by: str | None = None,
        time: str | None = None,
        client_id: str | None = None,
    ) -> Pending[Note]:
        """Keep what a person wrote. Raises InputError for an empty or an endless note.

        ``client_id`` is the writer's own name for the note: sent again, after an answer that got
        lost, it is not kept twice, and the answer is the note that is there already.
        """
        new = NewNote(elapsed_s, text, by, time)
        must_be_a_note(new)

        def job(connection: sqlite3.Connection) -> Note:
            return insert_note(connection, firing_number(connection, firing_id), new, client_id)

        return self._submit(job)

    def withdraw_note(
        self,
        firing_id: str,
        number: int,
        elapsed_s: float,
        *,
        time: str | None = None,
        by: str | None = None,
    ) -> Pending[None]:
        """Let a note, written by mistake, count no longer; once more changes nothing.

        It stays in the record, with who took it back (``by``) and when: the firing's second
        ``elapsed_s`` and the wall clock's label ``time``. The answer raises InputError if the
        firing has no such note.
        """

        def job(connection: sqlite3.Connection) -> None:
            firing_n = firing_number(connection, firing_id)
            withdraw_note(connection, firing_n, number, elapsed_s, time, by)

        return self._submit(job)
