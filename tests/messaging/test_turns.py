"""Turns at the socket are granted by the socket, never by a number that may be somebody else's."""

from __future__ import annotations

import asyncio
import socket
import subprocess
import sys

import pytest

from supervisor.messaging import client as connection
from supervisor.messaging.mqtt import BrokerSettings, LinkState, MqttLink
from supervisor.messaging.outbox import Outbox
from supervisor.messaging.topics import topics_of
from tests.messaging.brokers import free_port
from tests.messaging.shelf import KILN, LABEL, Shelf, running
from tests.messaging.test_link import SilentBroker, serving


async def test_a_turn_asked_for_at_a_socket_that_closes_meanwhile_is_given_to_nobody() -> None:
    client = connection.Client(BrokerSettings("127.0.0.1"), "spyhole-test", None, topics_of(KILN))
    loop = asyncio.get_running_loop()
    ours, far = socket.socketpair()
    number = ours.fileno()
    client._on_socket_open(client._client, None, ours)
    client._on_socket_register_write(client._client, None, ours)
    ours.close()
    others, other_far = socket.socketpair()
    try:
        assert number in (others.fileno(), other_far.fileno()), "the number is somebody else's now"
        await asyncio.sleep(0)
        assert not loop.remove_reader(number)
        assert not loop.remove_writer(number)
    finally:
        for one in (far, others, other_far):
            one.close()


@pytest.mark.parametrize("delay_s", [0.0, 0.001, 0.002, 0.005, 0.02, 0.2])
async def test_leaving_at_any_moment_asks_nothing_of_a_closed_socket(delay_s: float) -> None:
    async with serving(SilentBroker(answers_alerts=True)) as broker:
        async with running(broker.port, Shelf("one")) as (link, _, _):
            await asyncio.sleep(delay_s)
        # `running` fails when the event loop had anything to complain of.
        assert link.state is LinkState.OFF


class Waiting(SilentBroker):
    """Never says that a connection stands, and notes when one has ended."""

    def __init__(self) -> None:
        super().__init__(answers_connect=False)
        self.ended = asyncio.Event()

    async def serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await super().serve(reader, writer)
        self.ended.set()


async def test_leaving_before_the_broker_has_answered_closes_the_connection() -> None:
    broker = Waiting()
    async with serving(broker):
        async with running(broker.port, Shelf()):
            async with asyncio.timeout(10.0):
                while broker.connections == 0:
                    await asyncio.sleep(0.01)
            await asyncio.sleep(0.05)
            assert not broker.ended.is_set()
        await asyncio.wait_for(broker.ended.wait(), 5.0)


def test_what_the_libraries_log_of_an_outage_does_not_reach_a_terminal() -> None:
    program = """
import asyncio
from paho.mqtt.enums import LogLevel
from supervisor.messaging import client, settings
from supervisor.messaging.topics import topics_of

async def main():
    one = client.Client(settings.BrokerSettings("127.0.0.1"), "test", None, topics_of("kiln"))
    one._client._easy_log(LogLevel.MQTT_LOG_ERR, "failed to receive on socket")
    one._logger.warning("There are many pending calls.")

asyncio.run(main())
"""
    ended = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=30, check=False
    )
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, "", "")


async def test_an_outage_is_told_once_with_its_reason_however_often_it_is_tried() -> None:
    told: list[tuple[LinkState, str | None]] = []
    attempts = 0
    enough = asyncio.Event()

    async def sleep(_delay_s: float) -> None:
        nonlocal attempts
        attempts += 1
        if attempts == 4:
            enough.set()
        await asyncio.sleep(0)

    port = free_port()
    link = MqttLink(
        BrokerSettings("127.0.0.1", port),
        KILN,
        Outbox(Shelf(), lambda: LABEL),
        on_change=lambda state: told.append((state, link.why)),
        sleep=sleep,
    )
    task = asyncio.create_task(link.run())
    await asyncio.wait_for(enough.wait(), 15.0)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert told == [
        (LinkState.AWAY, None),
        (LinkState.AWAY, f"the broker at 127.0.0.1:{port} does not answer: Connection refused"),
        (LinkState.OFF, None),
    ]
