"""Brokers that know less, take less or answer less than Mosquitto does by itself."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from supervisor.messaging import client
from supervisor.messaging.mqtt import LinkState
from tests.messaging.brokers import Ear, Mosquitto, program
from tests.messaging.shelf import ALERTS, READINGS, STATUS, Shelf, running
from tests.messaging.test_link import SilentBroker, serving


class OldBroker(SilentBroker):
    """Knows MQTT 3.1.1 only, and says so (section 3.2.2.3 there: return code 1)."""

    def connack(self, level: int) -> bytes:
        return b"\x20\x02\x00\x01" if level == 5 else super().connack(level)


class RudeBroker(SilentBroker):
    """Knows MQTT 3.1.1 only, and hangs up on everybody else."""

    def connack(self, level: int) -> bytes:
        if level == 5:
            raise ConnectionResetError
        return super().connack(level)


class PuzzledBroker(SilentBroker):
    """Knows MQTT 3.1.1 only, and waits for more when it hears of 5."""

    def connack(self, level: int) -> bytes:
        return b"" if level == 5 else super().connack(level)


async def delivered(broker: SilentBroker) -> list[str]:
    """Fail unless an alert gets through; what was said of it."""
    shelf = Shelf("alert")
    async with serving(broker), running(broker.port, shelf) as (_, _, states):
        await states.wait_for(LinkState.CONNECTED)
        await broker.wait_for_alerts(1)
        async with asyncio.timeout(10.0):
            while shelf.sent != [1]:
                await asyncio.sleep(0.01)
    return states.trouble


async def test_a_broker_that_refuses_mqtt_5_is_spoken_to_in_3_1_1_without_a_word() -> None:
    broker = OldBroker(answers_alerts=True)
    assert await delivered(broker) == []
    assert broker.levels == [5, 4]


@pytest.mark.parametrize("kind", [RudeBroker, PuzzledBroker])
async def test_a_broker_that_does_not_understand_mqtt_5_is_tried_in_3_1_1(
    kind: type[SilentBroker], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client, "ANSWER_WITHIN_S", 0.5)
    broker = kind(answers_alerts=True)
    assert len(await delivered(broker)) == 1
    assert broker.levels == [5, 4]


def limited(tmp_path: Path, *lines: str) -> Mosquitto:
    broker = Mosquitto(program("mosquitto"), tmp_path, "allow_anonymous true", *lines)
    broker.start()
    return broker


@pytest.mark.broker
async def test_one_message_at_a_time_is_enough_for_us(
    tmp_path: Path, hear: Callable[..., Ear]
) -> None:
    """A client that has more on its way is thrown out (MQTT 5, section 3.3.4: 0x93)."""
    broker = limited(tmp_path, "max_inflight_messages 1")
    try:
        ear = await asyncio.to_thread(hear, broker.port)
        wanted = [str(number) for number in range(200)]
        async with running(broker.port, Shelf(*wanted), status_every_s=0.005) as (link, _, states):
            link.set_status("{}")
            await asyncio.to_thread(ear.wait, lambda: len(ear.on(ALERTS)) >= len(wanted))
            assert states.trouble == []
        assert ear.on(ALERTS) == wanted
        assert len(ear.on(STATUS)) > 2
    finally:
        broker.stop()


@pytest.mark.broker
async def test_what_is_too_large_for_the_broker_is_told_of_and_holds_up_nothing(
    tmp_path: Path, hear: Callable[..., Ear]
) -> None:
    broker = limited(tmp_path, "max_packet_size 1000")
    try:
        ear = await asyncio.to_thread(hear, broker.port)
        large = json.dumps({"message": "Schau nach. " * 100})
        shelf = Shelf("one", large, "three")
        async with running(broker.port, shelf) as (link, _, states):
            link.set_status(large)
            await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS)[-1:] == ["three"])
            link.send_reading(large)
            link.send_reading("small")
            await asyncio.to_thread(ear.wait, lambda: ear.on(READINGS) == ["small"])
            link.set_status('{"small": true}')
            await asyncio.to_thread(ear.wait, lambda: ear.on(STATUS) == ['{"small": true}'])
            link.set_status(large)
            assert link.state is LinkState.CONNECTED
            assert states.seen.count(LinkState.CONNECTED) == 1
        assert ear.on(ALERTS) == ["one", "three"]
        assert shelf.sent == [1, 2, 3]
        assert len(states.trouble) == 3, "the status, the alert and the readings, once each"
        for sentence in states.trouble:
            assert "takes no message larger than 1,000 bytes" in sentence
            assert sentence.endswith("it can't be told there; the page and the record have it")
    finally:
        broker.stop()


@pytest.mark.broker
async def test_the_largest_that_is_taken_is_reckoned_right(
    tmp_path: Path, hear: Callable[..., Ear]
) -> None:
    """No packet that we send is larger than we reckon; the broker would hang up."""
    broker = limited(tmp_path, "max_packet_size 1000")
    try:
        ear = await asyncio.to_thread(hear, broker.port)
        room = 1000 - len(ALERTS) - client._PACKET_HEAD
        async with running(broker.port, Shelf("x" * room, "y" * (room + 1), "z")) as (_, _, states):
            await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS)[-1:] == ["z"])
            assert states.seen.count(LinkState.CONNECTED) == 1
        assert ear.on(ALERTS) == ["x" * room, "z"]
    finally:
        broker.stop()
