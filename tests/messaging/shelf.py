"""A store of messages in memory, and a running link, for the tests of messaging."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager, suppress

from supervisor.messaging.memory import Memory
from supervisor.messaging.mqtt import BrokerSettings, LinkState, MqttLink
from supervisor.messaging.outbox import MessageStore, Outbox
from supervisor.messaging.topics import Topics
from supervisor.record.rows import QueuedMessage

KILN = "Big Bertha"
ALERTS = "spyhole/big-bertha/alerts"
AVAILABILITY = "spyhole/big-bertha/availability"
STATUS = "spyhole/big-bertha/status"
READINGS = "spyhole/big-bertha/readings"
LABEL = "2026-11-25T20:00:00+00:00"


class Shelf:
    """Messages in the order in which they were put, and which were marked as sent."""

    def __init__(self, *payloads: str) -> None:
        self.messages: list[QueuedMessage] = []
        self.sent: list[int] = []
        for payload in payloads:
            self.put(payload)

    def put(self, payload: str) -> None:
        """Add an alert."""
        number = len(self.messages) + 1
        self.messages.append(QueuedMessage(number, ALERTS, payload, 1, False, None))

    def waiting_messages(self, limit: int = 50) -> list[QueuedMessage]:
        """As the record does."""
        return [one for one in self.messages if one.id not in self.sent][:limit]

    def mark_sent(self, message_id: int, label: str | None = None) -> None:
        """As the record does."""
        assert label == LABEL
        self.sent.append(message_id)


class States:
    """Follows a link's state without asking again and again."""

    def __init__(self) -> None:
        self.seen: list[LinkState] = []
        self.trouble: list[str] = []
        self.notices: list[str] = []
        self._news = asyncio.Event()

    def note(self, state: LinkState) -> None:
        """Take down a change."""
        self.seen.append(state)
        self._news.set()

    def hear(self, sentence: str, is_trouble: bool) -> None:
        """Take down what a person should read."""
        (self.trouble if is_trouble else self.notices).append(sentence)
        self._news.set()

    async def wait_for_trouble(self, part: str) -> str:
        """Wait until a person has been told something with this in it; the whole sentence."""
        async with asyncio.timeout(30.0):
            while True:
                found = [sentence for sentence in self.trouble if part in sentence]
                if found:
                    return found[0]
                self._news.clear()
                await self._news.wait()

    async def wait_for(self, state: LinkState, times: int = 1) -> None:
        """Wait until the state has been entered so often."""
        async with asyncio.timeout(15.0):
            while self.seen.count(state) < times:
                self._news.clear()
                await self._news.wait()


@asynccontextmanager
async def running(
    port: int,
    store: MessageStore,
    *,
    settings: BrokerSettings | None = None,
    kiln: str = KILN,
    status_every_s: float = 60.0,
    steady_s: float = 10.0,
    memory: Memory | None = None,
    for_hubs: Callable[[str, Topics], Mapping[str, str]] | None = None,
    pauses: list[float] | None = None,
) -> AsyncIterator[tuple[MqttLink, Outbox, States]]:
    """A link that runs for the length of the block and is cancelled at its end.

    It waits a moment in place of each pause between attempts, and notes it in ``pauses``.
    """
    states = States()
    outbox = Outbox(store, lambda: LABEL)

    async def soon(delay_s: float) -> None:
        if pauses is not None:
            pauses.append(delay_s)
        await asyncio.sleep(0.05)

    link = MqttLink(
        settings or BrokerSettings("127.0.0.1", port),
        kiln,
        outbox,
        memory=memory,
        for_hubs=for_hubs,
        on_change=states.note,
        on_notice=states.hear,
        sleep=soon,
        status_every_s=status_every_s,
        steady_s=steady_s,
    )
    complaints: list[dict[str, object]] = []
    loop = asyncio.get_running_loop()
    loop.set_exception_handler(lambda _loop, context: complaints.append(context))
    task = asyncio.create_task(link.run())
    try:
        yield link, outbox, states
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
        assert link.state is LinkState.OFF
        await asyncio.sleep(0)
        assert complaints == [], complaints
        loop.set_exception_handler(None)
