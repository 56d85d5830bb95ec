"""A broker that is away for a night: everything waits on disk, in order, and little in memory."""

from __future__ import annotations

import asyncio
import json
import re
import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path

import paho.mqtt.client as paho
import pytest

from supervisor.messaging.mqtt import LinkState
from supervisor.record.rows import NewFiring, NewMessage
from supervisor.record.store import Record
from tests.messaging.brokers import Ear, Mosquitto, program
from tests.messaging.shelf import ALERTS, KILN, running

pytestmark = pytest.mark.broker

MESSAGES = 6_000
"""More than ten rigs say in a night, each of 1 kB."""
_MIB = 1024 * 1024


async def queue(record: Record, firing: str, numbers: range) -> None:
    """Store so many messages, as events do."""
    for begin in range(numbers.start, numbers.stop, 500):
        messages = [
            NewMessage(ALERTS, json.dumps({"id": number, "message": "x" * 1000}))
            for number in range(begin, min(begin + 500, numbers.stop))
        ]
        await record.add_events(firing, [], messages=messages)


def ids(ear: Ear) -> list[int]:
    return [json.loads(payload)["id"] for payload in ear.on(ALERTS)]


async def test_a_night_of_messages_arrives_in_order_once_each_and_memory_stays_flat(
    mosquitto: Mosquitto, hear: Callable[..., Ear], tmp_path: Path
) -> None:
    with Record.open(tmp_path / "data") as record:
        firing = await record.start_firing(NewFiring(KILN, ("top",)))
        await queue(record, firing.id, range(MESSAGES))
        counted: list[int] = []
        ear = await asyncio.to_thread(hear, mosquitto.port)

        def count(_client: object, _userdata: object, message: paho.MQTTMessage) -> None:
            # What the listener would keep is not ours to measure.
            if message.topic == ALERTS:
                counted.append(json.loads(message.payload)["id"])

        ear._client.on_message = count
        tracemalloc.start()
        try:
            async with running(mosquitto.port, record) as (_, _, states):
                await states.wait_for(LinkState.CONNECTED)
                async with asyncio.timeout(120.0):
                    while len(counted) < MESSAGES // 10:
                        await asyncio.sleep(0.01)
                    early, _ = tracemalloc.get_traced_memory()
                    tracemalloc.reset_peak()
                    while len(counted) < MESSAGES or record.waiting_messages():
                        await asyncio.sleep(0.05)
                _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
        await record.flush()
        assert record.waiting_messages() == []
    assert counted == list(range(MESSAGES))
    assert peak - early < 2 * _MIB, "nine tenths of the messages are 5 MB"


@pytest.fixture
def patient(tmp_path: Path) -> Iterator[Mosquitto]:
    """A broker that keeps for an absent listener more than Mosquitto's usual 1,000 messages."""
    folder = tmp_path / "patient"
    folder.mkdir()
    broker = Mosquitto(
        program("mosquitto"), folder, "allow_anonymous true", "max_queued_messages 0"
    )
    broker.start()
    yield broker
    broker.stop()


async def test_a_broker_that_comes_and_goes_loses_nothing_and_turns_nothing_round(
    patient: Mosquitto, hear: Callable[..., Ear], tmp_path: Path
) -> None:
    mosquitto = patient
    number = 1_500
    with Record.open(tmp_path / "data") as record:
        firing = await record.start_firing(NewFiring(KILN, ("top",)))
        await queue(record, firing.id, range(number))
        ear = await asyncio.to_thread(hear, mosquitto.port)
        async with running(mosquitto.port, record) as (_, outbox, states):
            for part in (1, 2, 3):
                await states.wait_for(LinkState.CONNECTED, times=part)
                async with asyncio.timeout(60.0):
                    while len(ear.on(ALERTS)) < part * 300:
                        await asyncio.sleep(0.005)
                await asyncio.to_thread(mosquitto.stop)
                await states.wait_for(LinkState.AWAY, times=part + 1)
                await queue(record, firing.id, range(number, number + 10))
                number += 10
                outbox.wake()
                await asyncio.to_thread(mosquitto.start)
            async with asyncio.timeout(60.0):
                while not ids(ear) or ids(ear)[-1] < number - 1 or record.waiting_messages():
                    await asyncio.sleep(0.05)
        await record.flush()
        assert record.waiting_messages() == []
    told = ids(ear)
    first_time = list(dict.fromkeys(told))
    assert first_time == list(range(number)), "in order, without a gap"
    # What the broker itself repeats to the listener after its own stop is not ours.
    published = re.findall(
        rf"Received PUBLISH from spyhole-big-bertha .*'{ALERTS}'", mosquitto.log.read_text()
    )
    assert len(published) - number <= 3, "a repeat at most for each break, known by its id"
