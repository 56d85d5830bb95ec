"""The link against brokers that misbehave, and what it does while there is none."""

from __future__ import annotations

import asyncio
import contextlib
import sys
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from supervisor.core.errors import RecordError
from supervisor.messaging import client
from supervisor.messaging.mqtt import (
    RETRY_LONGEST_S,
    BrokerSettings,
    LinkState,
    MqttLink,
)
from supervisor.messaging.name import LISTEN_S
from supervisor.messaging.outbox import Outbox
from supervisor.record.rows import QueuedMessage
from tests.messaging.brokers import free_port
from tests.messaging.shelf import ALERTS, KILN, LABEL, Shelf, running

CONNECT, PUBLISH = 1, 3
"""Packet types of MQTT, section 2.1.2 of version 5."""
LEVEL_AT = 6
"""Where in a CONNECT the protocol's level stands (section 3.1.2.2): 5, or 4 for 3.1.1."""


class SilentBroker:
    """Speaks enough MQTT to be believed, and keeps silent where it is told to."""

    def __init__(self, *, answers_connect: bool = True, answers_alerts: bool = False) -> None:
        self.answers_connect = answers_connect
        self.answers_alerts = answers_alerts
        self.connections = 0
        self.alerts: list[str] = []
        self.port = 0
        self.changed = asyncio.Event()
        self.levels: list[int] = []

    def connack(self, level: int) -> bytes:
        """The answer to a CONNECT: welcome, with no properties."""
        return b"\x20\x03\x00\x00\x00" if level == 5 else b"\x20\x02\x00\x00"

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """One connection."""
        self.connections += 1
        self.changed.set()
        try:
            while True:
                first = (await reader.readexactly(1))[0]
                length, shift = 0, 0
                while True:
                    digit = (await reader.readexactly(1))[0]
                    length |= (digit & 0x7F) << shift
                    shift += 7
                    if digit < 0x80:
                        break
                body = await reader.readexactly(length)
                if first >> 4 == CONNECT and self.answers_connect:
                    self.levels.append(body[LEVEL_AT])
                    writer.write(self.connack(body[LEVEL_AT]))
                if first >> 4 == PUBLISH and first & 0x06:
                    self._answer_publish(body, writer)
        except (asyncio.IncompleteReadError, ConnectionError):
            pass
        finally:
            writer.close()

    def _answer_publish(self, body: bytes, writer: asyncio.StreamWriter) -> None:
        end = 2 + int.from_bytes(body[:2], "big")
        is_alert = body[2:end].decode() == ALERTS
        if is_alert:
            # By MQTT 5 an empty list of properties stands before the payload.
            begin = end + 2 + (self.levels[-1] == 5)
            self.alerts.append(body[begin:].decode())
            self.changed.set()
        if self.answers_alerts or not is_alert:
            writer.write(b"\x40\x02" + body[end : end + 2])

    async def wait_for_alerts(self, number: int) -> None:
        """Wait until so many alerts have come."""
        async with asyncio.timeout(15.0):
            while len(self.alerts) < number:
                self.changed.clear()
                await self.changed.wait()


@asynccontextmanager
async def serving(broker: SilentBroker) -> AsyncIterator[SilentBroker]:
    server = await asyncio.start_server(broker.serve, "127.0.0.1", 0)
    broker.port = server.sockets[0].getsockname()[1]
    async with server:
        yield broker


class CuttingBroker(SilentBroker):
    """Hangs up on its first guest at the first message, as for another of the same name."""

    def _answer_publish(self, body: bytes, writer: asyncio.StreamWriter) -> None:
        if self.connections == 1:
            writer.transport.abort()
            return
        super()._answer_publish(body, writer)


async def test_who_is_cut_off_at_the_first_word_is_back_at_once() -> None:
    """Else a newcomer of the same name takes the silence for absence, and both claim the name."""
    assert client.ANSWER_WITHIN_S > LISTEN_S
    broker = CuttingBroker(answers_alerts=True)
    async with serving(broker), running(broker.port, Shelf("one")) as (_, _, states):
        async with asyncio.timeout(LISTEN_S):
            while broker.connections < 2:
                broker.changed.clear()
                await broker.changed.wait()
        await states.wait_for(LinkState.CONNECTED)
        await broker.wait_for_alerts(1)


async def test_nothing_is_marked_as_sent_without_an_acknowledgement(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(client, "ANSWER_WITHIN_S", 0.2)
    shelf = Shelf("one", "two")
    async with serving(SilentBroker()) as broker, running(broker.port, shelf) as (_, _, states):
        await broker.wait_for_alerts(1)
        assert shelf.sent == []
        await broker.wait_for_alerts(2)
        assert shelf.sent == []
        assert broker.alerts == ["one", "one"]
        assert broker.connections == 2
        broker.answers_alerts = True
        await broker.wait_for_alerts(4)
        assert broker.alerts == ["one", "one", "one", "two"]
        async with asyncio.timeout(10.0):
            while shelf.sent != [1, 2]:
                await asyncio.sleep(0.01)
        assert states.seen.count(LinkState.CONNECTED) == 3


async def test_a_broker_that_never_answers_is_left_at_once() -> None:
    async with serving(SilentBroker(answers_connect=False)) as broker:
        async with running(broker.port, Shelf()) as (link, _, states):
            async with asyncio.timeout(10.0):
                while broker.connections == 0:
                    await asyncio.sleep(0.01)
            await asyncio.sleep(0.05)
            assert link.state is LinkState.AWAY
            assert LinkState.CONNECTED not in states.seen
            leaves_at_s = time.monotonic()
        assert time.monotonic() - leaves_at_s < 4.0


@pytest.mark.skipif(sys.platform != "linux", reason="open files are counted in /proc")
async def test_a_hundred_attempts_leave_no_socket_open(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client, "ANSWER_WITHIN_S", 0.01)
    open_files = Path("/proc/self/fd")

    async def none(_delay_s: float) -> None:
        await asyncio.sleep(0)

    async with serving(SilentBroker(answers_connect=False)) as broker:
        link = MqttLink(
            BrokerSettings("127.0.0.1", broker.port),
            KILN,
            Outbox(Shelf(), lambda: LABEL),
            sleep=none,
        )
        task = asyncio.create_task(link.run())
        counts = []
        for number in (20, 120):
            async with asyncio.timeout(30.0):
                while broker.connections < number:
                    await asyncio.sleep(0.01)
            counts.append(len(list(open_files.iterdir())))
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
    assert counts[1] - counts[0] < 10


@pytest.mark.parametrize("host", ["127.0.0.1", "no-such-host.invalid", "a..b", "x" * 80])
async def test_a_broker_that_is_not_there_is_said_and_tried_again(host: str) -> None:
    port = free_port()
    async with running(port, Shelf("one"), settings=BrokerSettings(host, port)) as (link, _, _):
        async with asyncio.timeout(15.0):
            while link.why is None or "does not answer" not in link.why:
                await asyncio.sleep(0.01)
        assert link.state is LinkState.AWAY
        assert f"{host}:{port}" in link.why


async def test_pauses_grow_to_a_limit_and_are_spread() -> None:
    waited: list[float] = []
    enough = asyncio.Event()

    async def sleep(delay_s: float) -> None:
        waited.append(delay_s)
        if len(waited) == 9:
            enough.set()
        await asyncio.sleep(0)

    for chance, share in ((0.0, 1.0), (1.0, 0.5)):
        waited.clear()
        enough.clear()
        link = MqttLink(
            BrokerSettings("127.0.0.1", free_port()),
            KILN,
            Outbox(Shelf(), lambda: LABEL),
            sleep=sleep,
            chance=lambda chance=chance: chance,  # type: ignore[misc]
        )
        task = asyncio.create_task(link.run())
        await asyncio.wait_for(enough.wait(), 15.0)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        expected = [1, 2, 4, 8] + [RETRY_LONGEST_S] * 5
        assert waited[:9] == [pause_s * share for pause_s in expected]


async def test_a_record_that_cannot_be_read_is_not_blamed_on_the_broker() -> None:
    class Broken(Shelf):
        def waiting_messages(self, limit: int = 50) -> list[QueuedMessage]:
            raise RecordError("the record can't be read")

    async with serving(SilentBroker()) as broker, running(broker.port, Broken()) as (link, _, _):
        async with asyncio.timeout(10.0):
            while link.why != "the record can't be read":
                await asyncio.sleep(0.01)


async def test_a_fault_of_our_own_ends_the_link_loudly() -> None:
    class Wrong(Shelf):
        def waiting_messages(self, limit: int = 50) -> list[QueuedMessage]:
            raise ZeroDivisionError

    async with serving(SilentBroker()) as broker:
        link = MqttLink(
            BrokerSettings("127.0.0.1", broker.port), KILN, Outbox(Wrong(), lambda: LABEL)
        )
        with pytest.raises(ExceptionGroup) as caught:
            await asyncio.wait_for(link.run(), 10.0)
        assert caught.group_contains(ZeroDivisionError)
        assert link.state is LinkState.OFF


async def test_a_cancellation_that_comes_with_an_answer_still_ends_the_link(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    as_it_is = client.Client.publish

    async def forgetful(self: client.Client, topic: str, payload: str, **options: object) -> None:
        """As asyncio.wait_for of Python 3.11 does when both come at once."""
        with contextlib.suppress(asyncio.CancelledError):
            await as_it_is(self, topic, payload, **options)  # type: ignore[arg-type]

    async with serving(SilentBroker(answers_alerts=True)) as broker:
        monkeypatch.setattr(client.Client, "publish", forgetful)
        async with asyncio.timeout(10.0):
            async with running(broker.port, Shelf("one")) as (_, _, states):
                broker.answers_alerts = False
                await states.wait_for(LinkState.CONNECTED)
                await broker.wait_for_alerts(1)
