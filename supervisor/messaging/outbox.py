"""Delivery of stored messages: in order, at least once, marked as sent only when acknowledged.

Knows the order of things; knows neither the broker (a ``publish`` is handed in) nor the disk (a
``MessageStore`` is).
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from typing import Protocol

BATCH = 50


class StoredMessage(Protocol):
    """A message that waits for delivery."""

    @property
    def id(self) -> int:
        """How it is marked as sent."""
        ...

    @property
    def topic(self) -> str:
        """Where it goes."""
        ...

    @property
    def payload(self) -> str:
        """What it says."""
        ...

    @property
    def qos(self) -> int:
        """MQTT's quality of service."""
        ...

    @property
    def retain(self) -> bool:
        """True if the broker is to keep it for later subscribers."""
        ...


class MessageStore(Protocol):
    """Where messages wait; the record is one."""

    def waiting_messages(self, limit: int = BATCH) -> Sequence[StoredMessage]:
        """The oldest messages not marked as sent, in order; called from another thread."""
        ...

    def mark_sent(self, message_id: int, label: str | None = None) -> object:
        """Don't hand the message out again.

        Takes effect at once and becomes durable in its own time; if the program dies in
        between, the message is delivered again.
        """
        ...


class Outbox:
    """Delivers what the store holds, whenever somebody says that there may be more."""

    def __init__(self, store: MessageStore, label: Callable[[], str]) -> None:
        """``label`` gives the wall clock's label of now, for the record only."""
        self._store = store
        self._label = label
        self._news = asyncio.Event()

    def wake(self) -> None:
        """There may be new messages in the store."""
        self._news.set()

    async def deliver(self, publish: Callable[[StoredMessage], Awaitable[None]]) -> None:
        """Deliver until cancelled, or until ``publish`` raises.

        ``publish`` returns once the broker has acknowledged the message. What it raises comes
        out of here; the message at fault then is the first one of the next ``deliver``.
        """
        while True:
            self._news.clear()
            messages = await asyncio.to_thread(self._store.waiting_messages, BATCH)
            for message in messages:
                await publish(message)
                self._store.mark_sent(message.id, self._label())
            if not messages:
                await self._news.wait()
