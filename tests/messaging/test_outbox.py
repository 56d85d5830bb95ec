"""The outbox: in order, and marked only after the acknowledgement."""

from __future__ import annotations

import asyncio

import pytest

from supervisor.messaging.outbox import Outbox, StoredMessage
from tests.messaging.shelf import LABEL, Shelf


class RefusedError(Exception):
    """The broker went away."""


async def test_a_message_is_marked_only_after_its_acknowledgement() -> None:
    shelf = Shelf("one", "two")
    told: list[str] = []
    acknowledged = asyncio.Event()

    async def publish(message: StoredMessage) -> None:
        told.append(message.payload)
        await acknowledged.wait()

    task = asyncio.create_task(Outbox(shelf, lambda: LABEL).deliver(publish))
    while not told:
        await asyncio.sleep(0)
    assert shelf.sent == []
    acknowledged.set()
    while len(shelf.sent) < 2:
        await asyncio.sleep(0)
    assert told == ["one", "two"]
    assert shelf.sent == [1, 2]
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


async def test_what_was_not_acknowledged_comes_first_the_next_time() -> None:
    shelf = Shelf("one", "two", "three")
    told: list[str] = []

    async def publish(message: StoredMessage) -> None:
        told.append(message.payload)
        if told == ["one", "two"]:
            raise RefusedError

    outbox = Outbox(shelf, lambda: LABEL)
    with pytest.raises(RefusedError):
        await outbox.deliver(publish)
    assert shelf.sent == [1]
    task = asyncio.create_task(outbox.deliver(publish))
    while len(shelf.sent) < 3:
        await asyncio.sleep(0)
    assert told == ["one", "two", "two", "three"]
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


async def test_waking_delivers_what_has_come() -> None:
    shelf = Shelf()
    told: list[str] = []

    async def publish(message: StoredMessage) -> None:
        told.append(message.payload)

    outbox = Outbox(shelf, lambda: LABEL)
    task = asyncio.create_task(outbox.deliver(publish))
    for number in range(120):
        shelf.put(str(number))
        outbox.wake()
    async with asyncio.timeout(10.0):
        while len(shelf.sent) < 120:
            await asyncio.sleep(0)
    assert told == [str(number) for number in range(120)]
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
