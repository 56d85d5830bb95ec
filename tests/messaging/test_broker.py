"""The demo's own broker: publishes, keeps what is retained, and says when its port is taken."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable

import pytest

from supervisor.core.errors import PeerError
from supervisor.messaging.broker import EmbeddedBroker
from supervisor.messaging.mqtt import BrokerSettings, LinkState
from tests.messaging.brokers import Ear
from tests.messaging.shelf import ALERTS, AVAILABILITY, STATUS, Shelf, running


def known(broker: EmbeddedBroker) -> BrokerSettings:
    """As the demo reaches it: it knows MQTT 3.1.1 only, and hangs when it hears of another."""
    return BrokerSettings(broker.host, broker.port, speaks_5=False)


async def test_a_link_and_a_listener_meet_at_the_embedded_broker(
    hear: Callable[..., Ear], caplog: pytest.LogCaptureFixture
) -> None:
    async with EmbeddedBroker() as broker:
        assert broker.port > 0
        ear = await asyncio.to_thread(hear, broker.port)
        async with running(broker.port, Shelf("alert"), settings=known(broker)) as (
            link,
            _,
            states,
        ):
            link.set_status("{}")
            await states.wait_for(LinkState.CONNECTED)
            await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS) == ["alert"])
            await asyncio.to_thread(ear.wait, lambda: "{}" in ear.on(STATUS))
            late = await asyncio.to_thread(hear, broker.port, "late")
            await asyncio.to_thread(late.wait, lambda: (STATUS, "{}", True) in late.heard)
        await asyncio.to_thread(ear.wait, lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
        await asyncio.to_thread(late.close)
        await asyncio.to_thread(ear.close)
    assert [record.name for record in caplog.records if "amqtt" in record.name] == []


async def test_it_listens_to_this_machine_only_and_lets_go_of_its_port() -> None:
    async with EmbeddedBroker() as broker:
        port = broker.port
        assert broker.host == "127.0.0.1"
    with pytest.raises(PeerError, match="does not run"):
        assert broker.port
    async with EmbeddedBroker(port=port) as again:
        assert again.port == port


async def test_a_taken_port_is_said_in_one_sentence() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(PeerError, match=rf"can't listen on 127\.0\.0\.1:{port} \(") as caught:
            async with EmbeddedBroker(port=port):
                pass
    assert "in use" in str(caught.value)
    assert "\n" not in str(caught.value)


async def test_stopping_with_a_client_on_the_line_takes_no_time() -> None:
    async with (
        asyncio.timeout(10.0),
        EmbeddedBroker() as broker,
        running(broker.port, Shelf(), settings=known(broker)) as (_, _, states),
    ):
        await states.wait_for(LinkState.CONNECTED)
        await broker.__aexit__(None, None, None)
        await states.wait_for(LinkState.AWAY, times=2)
