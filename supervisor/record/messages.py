"""The outbox's table: messages that wait for delivery, in the order in which they were made.

Knows which messages are stored, handed out and marked as sent, for each destination by itself;
knows nothing of MQTT.

A message is handed out once it is on disk, so that nobody is told what a power cut then
unmakes. Only while the disk refuses are messages handed out from memory: a full card must not
keep a warning from a potter.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterable
from dataclasses import dataclass

from supervisor.record.rows import NewMessage, QueuedMessage, to_json
from supervisor.record.writer import Job

KEPT_AFTER_SENDING = 1_000
"""Sent messages kept for looking into what was told; older ones are deleted."""


@dataclass(slots=True)
class _Unsaved:
    message: NewMessage
    row_id: int | None = None
    is_stored: bool = False
    is_handed_out: bool = False
    is_marked: bool = False


class MessageTable:
    """Bookkeeping of the outbox beside its table; every method may be called from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._unsaved: dict[int, _Unsaved] = {}
        self._last_token = 0
        self._marked: set[int] = set()

    def accept(self, messages: tuple[NewMessage, ...]) -> tuple[int, ...]:
        """Note messages that are about to be stored; the answer names them until they are."""
        with self._lock:
            tokens = []
            for message in messages:
                self._last_token -= 1
                self._unsaved[self._last_token] = _Unsaved(message)
                tokens.append(self._last_token)
            return tuple(tokens)

    def insert(self, connection: sqlite3.Connection, tokens: tuple[int, ...]) -> None:
        """Store accepted messages, within the transaction of what they tell of.

        If one of them can't be stored, none of them has a row: its number may soon be another
        message's.
        """
        taken = [self._unsaved[token] for token in tokens]
        try:
            for unsaved in taken:
                message = unsaved.message
                unsaved.row_id = connection.execute(
                    "INSERT INTO outbox (topic, payload, qos, retain, created_label, destination) "
                    "VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        message.topic,
                        message.payload,
                        message.qos,
                        int(message.retain),
                        message.created_label,
                        message.destination,
                    ),
                ).lastrowid
        except sqlite3.Error:
            for unsaved in taken:
                unsaved.row_id = None
            raise

    def withdraw(self, tokens: tuple[int, ...]) -> None:
        """The messages were not accepted after all, or could not be stored for good."""
        with self._lock:
            for token in tokens:
                self._unsaved.pop(token, None)

    def settle(self, tokens: tuple[int, ...]) -> None:
        """The messages are on disk: from now on they go by their row's id."""
        with self._lock:
            for token in tokens:
                unsaved = self._unsaved[token]
                unsaved.is_stored = True
                if unsaved.is_marked and unsaved.row_id is not None:
                    self._marked.add(unsaved.row_id)
                elif not unsaved.is_handed_out:
                    del self._unsaved[token]

    def waiting(
        self, connection: sqlite3.Connection, limit: int, destination: str, *, with_unsaved: bool
    ) -> list[QueuedMessage]:
        """The destination's oldest messages not yet marked as sent, in order."""
        with self._lock:
            marked = set(self._marked)
            self._forget_undelivered(destination)
            unsaved = self._hand_out_unsaved(destination) if with_unsaved else []
        rows = connection.execute(
            "SELECT id, topic, payload, qos, retain, created_label FROM outbox "
            "WHERE is_sent = 0 AND destination = ? ORDER BY id LIMIT ?",
            (destination, limit + len(marked)),
        )
        stored = [
            QueuedMessage(row[0], row[1], row[2], row[3], bool(row[4]), row[5])
            for row in rows
            if row[0] not in marked
        ]
        return [*stored, *unsaved][:limit]

    def waiting_in_memory(self, limit: int, destination: str) -> list[QueuedMessage]:
        """The destination's oldest messages that are not on disk yet, in order; asks no disk.

        What is on disk already waits until the disk answers again.
        """
        with self._lock:
            self._forget_undelivered(destination)
            return self._hand_out_unsaved(destination)[:limit]

    def mark(self, message_id: int, label: str | None) -> Job[None]:
        """Never hand the message out again; the answer makes that durable."""
        with self._lock:
            unsaved = self._unsaved.get(message_id)
            if unsaved is None:
                self._marked.add(message_id)
            else:
                unsaved.is_marked = True
                if unsaved.is_stored and unsaved.row_id is not None:
                    self._marked.add(unsaved.row_id)

        def job(connection: sqlite3.Connection) -> None:
            row_id = message_id if unsaved is None else unsaved.row_id
            connection.execute(
                "UPDATE outbox SET is_sent = 1, sent_label = ? WHERE id = ?", (label, row_id)
            )
            connection.execute(
                "DELETE FROM outbox WHERE is_sent = 1 AND id <= ? - ?",
                (row_id, KEPT_AFTER_SENDING),
            )

        return job

    def unmark(self, message_id: int) -> None:
        """The mark is durable; nothing needs to be remembered of the message."""
        with self._lock:
            unsaved = self._unsaved.pop(message_id, None)
            row_id = message_id if unsaved is None else unsaved.row_id
            if row_id is not None:
                self._marked.discard(row_id)

    def _hand_out_unsaved(self, destination: str) -> list[QueuedMessage]:
        handed_out = []
        for token, unsaved in self._unsaved.items():
            m = unsaved.message
            if m.destination == destination and not unsaved.is_marked and not unsaved.is_stored:
                unsaved.is_handed_out = True
                handed_out.append(
                    QueuedMessage(token, m.topic, m.payload, m.qos, m.retain, m.created_label)
                )
        return handed_out

    def _forget_undelivered(self, destination: str) -> None:
        """What was handed out from memory, not delivered, and is stored now goes by its row."""
        for token, unsaved in list(self._unsaved.items()):
            is_its_own = unsaved.message.destination == destination
            if is_its_own and unsaved.is_stored and not unsaved.is_marked:
                del self._unsaved[token]


def forget(prefix: str, keep: Iterable[str]) -> Job[int]:
    """Drop what waits for destinations of that prefix that are not among ``keep``; how many."""
    kept = to_json(list(keep))

    def job(connection: sqlite3.Connection) -> int:
        return connection.execute(
            "DELETE FROM outbox WHERE is_sent = 0 AND substr(destination, 1, ?) = ? "
            "AND destination NOT IN (SELECT value FROM json_each(?))",
            (len(prefix), prefix, kept),
        ).rowcount

    return job
