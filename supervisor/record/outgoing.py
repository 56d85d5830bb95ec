"""The part of the record that hands messages out: to each destination its own, in their order."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

from supervisor.record.looking import RecordReader
from supervisor.record.messages import MessageTable, forget
from supervisor.record.rows import MQTT, QueuedMessage
from supervisor.record.writer import Job, Pending, Trouble, Writer

T = TypeVar("T")


class Outgoing(RecordReader):
    """A record with its outbox."""

    def __init__(self, path: Path, writer: Writer) -> None:
        super().__init__(path)
        self._writer = writer
        self._messages = MessageTable()

    @property
    def trouble(self) -> Trouble | None:
        """What keeps the disk from taking what was accepted; ``None`` if nothing does."""
        return self._writer.trouble

    def waiting_messages(self, limit: int = 50, destination: str = MQTT) -> list[QueuedMessage]:
        """The destination's oldest messages that nobody has marked as sent, in order.

        While the disk does not answer, those that are in memory alone.
        """
        trouble = self.trouble
        if trouble is not None and trouble.is_silent:
            return self._messages.waiting_in_memory(limit, destination)
        with self._reading() as connection:
            is_in_trouble = trouble is not None
            return self._messages.waiting(
                connection, limit, destination, with_unsaved=is_in_trouble
            )

    def messages_to(self, destination: str) -> Waiting:
        """The messages to one destination, as an outbox wants them."""
        return Waiting(self, destination)

    def forget_messages(self, prefix: str, keep: Iterable[str]) -> Pending[int]:
        """Drop what waits for destinations of that prefix which are no more; how many."""
        return self._submit(forget(prefix, keep))

    def mark_sent(self, message_id: int, label: str | None = None) -> Pending[None]:
        """Don't hand the message out again; durable once the answer is done."""
        pending = self._submit(self._messages.mark(message_id, label))
        pending.when_kept(lambda: self._messages.unmark(message_id))
        return pending

    def _submit(self, job: Job[T]) -> Pending[T]:
        return self._writer.submit(job)


class Waiting:
    """The messages that wait for one destination; what is in the way of others is not in its."""

    def __init__(self, record: Outgoing, destination: str) -> None:
        self._record = record
        self._destination = destination

    def waiting_messages(self, limit: int = 50) -> list[QueuedMessage]:
        """Its oldest messages that nobody has marked as sent, in order."""
        return self._record.waiting_messages(limit, self._destination)

    def mark_sent(self, message_id: int, label: str | None = None) -> Pending[None]:
        """Don't hand the message out again; durable once the answer is done."""
        return self._record.mark_sent(message_id, label)
