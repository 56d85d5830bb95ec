"""The part of the record that takes what comes after a firing, or beside it.

Accounts, findings and photos from people; blocks and summaries from the program itself. All of it
goes through the one thread that writes, also while a firing goes on.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from supervisor.record.gist import Gist
from supervisor.record.outgoing import Outgoing
from supervisor.record.packing import keep_summary, pack_next
from supervisor.record.readings import firing_number
from supervisor.record.summary import Summary
from supervisor.record.unloading import (
    Account,
    Finding,
    NewPhoto,
    Photo,
    insert_account,
    insert_findings,
    insert_photo,
    must_be_a_finding,
    must_be_an_account,
    select_findings,
    withdraw_photo,
)
from supervisor.record.writer import Pending


class Afterwards(Outgoing):
    """A record that takes what is told of its firings."""

    def tell(self, firing_id: str, new: Account, client_id: str | None = None) -> Pending[Account]:
        """Keep an account of the firing; it counts in place of the one under the same topic.

        An empty text takes that back. ``client_id`` is the writer's own name for it: sent again,
        it is not kept twice. Raises InputError for a topic that is none, or an endless text.
        """
        must_be_an_account(new)

        def job(connection: sqlite3.Connection) -> Account:
            return insert_account(connection, firing_number(connection, firing_id), new, client_id)

        return self._submit(job)

    def find_at_unloading(
        self, firing_id: str, findings: Sequence[Finding]
    ) -> Pending[list[Finding]]:
        """Keep findings, all or none; the answer is what stands of the firing's then.

        Level 0 takes one back. Raises InputError for one that does not fit.
        """
        for one in findings:
            must_be_a_finding(one)

        def job(connection: sqlite3.Connection) -> list[Finding]:
            firing_n = firing_number(connection, firing_id)
            insert_findings(connection, firing_n, findings)
            return select_findings(connection, firing_n)

        return self._submit(job)

    def add_photo(
        self, firing_id: str, new: NewPhoto, client_id: str | None = None
    ) -> Pending[Photo]:
        """Keep that a photo, whose file is on disk already, belongs to the firing.

        The same photo is not kept twice. The answer raises InputError for too many.
        """

        def job(connection: sqlite3.Connection) -> Photo:
            return insert_photo(connection, firing_number(connection, firing_id), new, client_id)

        return self._submit(job)

    def withdraw_photo(self, firing_id: str, number: int) -> Pending[str | None]:
        """Show a photo no longer; once more changes nothing.

        The answer is the sha256 of its file where nothing else needs that, and raises InputError
        if the firing has no such photo.
        """

        def job(connection: sqlite3.Connection) -> str | None:
            return withdraw_photo(connection, firing_number(connection, firing_id), number)

        return self._submit(job)

    def pack_next(self, firing_id: str) -> Pending[int]:
        """Pack the next hour of a closed firing; how many readings, 0 if nothing is left."""
        return self._submit(lambda connection: pack_next(connection, firing_id))

    def keep_summary(
        self, firing_id: str, summary: Summary, overview: bytes, gist: Gist, mark: str
    ) -> Pending[None]:
        """Keep what a closed firing comes to; ``mark`` is what ``summary_mark`` was before."""
        return self._submit(
            lambda connection: keep_summary(connection, firing_id, summary, overview, gist, mark)
        )
