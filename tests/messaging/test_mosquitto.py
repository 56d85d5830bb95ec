"""The link against a real Mosquitto, heard by a client that is not ours."""

from __future__ import annotations

import asyncio
import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from supervisor.core.alerts import AlertBook, AlertRules
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.messaging.mqtt import LinkState
from supervisor.record.rows import NewFiring, NewMessage
from supervisor.record.store import Record
from tests.messaging.brokers import Ear, Mosquitto
from tests.messaging.shelf import (
    ALERTS,
    AVAILABILITY,
    KILN,
    READINGS,
    STATUS,
    Shelf,
    running,
)

pytestmark = pytest.mark.broker


async def heard(ear: Ear, is_so: Callable[[], bool]) -> None:
    await asyncio.to_thread(ear.wait, is_so)


async def test_it_says_online_and_then_offline_before_it_leaves(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    async with running(mosquitto.port, Shelf()) as (link, _, states):
        await states.wait_for(LinkState.CONNECTED)
        assert link.why is None
        await heard(ear, lambda: ear.on(AVAILABILITY)[:1] == ["online"])
    await heard(ear, lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    assert states.seen == [LinkState.AWAY, LinkState.CONNECTED, LinkState.OFF]
    late = hear(mosquitto.port, "late")
    await heard(late, lambda: (AVAILABILITY, "offline", True) in late.heard)
    assert ear.on(AVAILABILITY).count("offline") == 1


def test_the_last_will_tells_of_a_killed_process(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    victim = subprocess.Popen(
        [sys.executable, "-m", "tests.messaging.publisher", str(mosquitto.port)],
        stdout=subprocess.PIPE,
    )
    try:
        assert victim.stdout is not None
        assert victim.stdout.readline() == b"connected\n"
        ear.wait(lambda: "online" in ear.on(AVAILABILITY))
        assert "offline" not in ear.on(AVAILABILITY)
    finally:
        victim.kill()
        victim.communicate(timeout=10.0)
    ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    late = hear(mosquitto.port, "late")
    late.wait(lambda: (AVAILABILITY, "offline", True) in late.heard)


def test_the_last_will_tells_of_a_process_that_hangs(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    """One and a half times the keep-alive after the last sign (MQTT 5, section 3.1.2.10)."""
    ear = hear(mosquitto.port)
    victim = subprocess.Popen(
        [sys.executable, "-m", "tests.messaging.publisher", str(mosquitto.port), "2"],
        stdout=subprocess.PIPE,
    )
    try:
        assert victim.stdout is not None
        assert victim.stdout.readline() == b"connected\n"
        ear.wait(lambda: ear.on(AVAILABILITY) == ["online"])
        victim.send_signal(signal.SIGSTOP)
        ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
        # It wakes up, and finds its way back.
        victim.send_signal(signal.SIGCONT)
        ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["online"])
    finally:
        victim.kill()
        victim.communicate(timeout=10.0)


async def test_what_an_earlier_run_has_left_is_replaced_before_anybody_is_said_to_be_there(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    async with running(mosquitto.port, Shelf()) as (link, _, states):
        link.set_status('{"firing": "of last week"}')
        await states.wait_for(LinkState.CONNECTED)
    ear = hear(mosquitto.port)
    await heard(ear, lambda: (STATUS, '{"firing": "of last week"}', True) in ear.heard)
    async with running(mosquitto.port, Shelf()) as (link, _, states):
        link.set_status('{"firing": "of today"}')
        await states.wait_for(LinkState.CONNECTED)
        await heard(ear, lambda: ear.on(AVAILABILITY)[-1:] == ["online"])
        told = [payload for topic, payload, retained in ear.heard if not retained]
        assert told[:2] == ['{"firing": "of today"}', "online"]


async def test_status_is_kept_for_those_who_come_late(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    async with running(mosquitto.port, Shelf()) as (link, _, states):
        link.set_status('{"n": 1}')
        await states.wait_for(LinkState.CONNECTED)
        ear = hear(mosquitto.port)
        await heard(ear, lambda: ear.on(STATUS) == ['{"n": 1}'])
        link.set_status('{"n": 2}')
        await heard(ear, lambda: ear.on(STATUS)[-1:] == ['{"n": 2}'])
        late = hear(mosquitto.port, "late")
        await heard(late, lambda: (STATUS, '{"n": 2}', True) in late.heard)


async def test_status_is_repeated_though_nothing_changes(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    async with running(mosquitto.port, Shelf(), status_every_s=0.05) as (link, _, _):
        link.set_status("{}")
        await heard(ear, lambda: len(ear.on(STATUS)) >= 3)
        await heard(ear, lambda: ear.on(AVAILABILITY).count("online") >= 3)


async def test_readings_are_told_while_connected_and_dropped_while_not(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    async with running(mosquitto.port, Shelf()) as (link, _, states):
        link.send_reading("too early")
        await states.wait_for(LinkState.CONNECTED)
        for number in range(5):
            link.send_reading(str(number))
        await heard(ear, lambda: len(ear.on(READINGS)) >= 5)
    assert ear.on(READINGS) == ["0", "1", "2", "3", "4"]


async def test_alerts_come_in_order_and_at_least_once_over_a_stop_of_the_broker(
    mosquitto: Mosquitto, hear: Callable[..., Ear], tmp_path: Path
) -> None:
    ear = hear(mosquitto.port)
    with Record.open(tmp_path / "data") as record:
        firing = await record.start_firing(NewFiring(KILN, ("top",)))
        book = AlertBook(firing.id, KILN, rules=AlertRules(gather_s=0.0, flapping_every_s=0.0))
        told: list[str] = []

        async def happens(number: int) -> None:
            state = State.RAISED if number % 2 == 0 else State.CLEARED
            event = Event(float(number), Kind.STALL, Severity.WARNING, state, f"Look ({number}).")
            change = book.take(event)
            assert change is not None
            told.append(change.message_json())
            await record.add_events(
                firing.id,
                [event],
                alerts=[change.alert],
                messages=[NewMessage(ALERTS, told[-1])],
            )
            outbox.wake()

        async with running(mosquitto.port, record) as (_, outbox, states):
            await states.wait_for(LinkState.CONNECTED)
            for number in range(4):
                await happens(number)
            await heard(ear, lambda: len(ear.on(ALERTS)) >= 4)
            await asyncio.to_thread(mosquitto.stop)
            await states.wait_for(LinkState.AWAY, times=2)
            for number in range(4, 8):
                await happens(number)
            assert len(record.waiting_messages()) == 4
            await asyncio.to_thread(mosquitto.start)
            await states.wait_for(LinkState.CONNECTED, times=2)
            for number in range(8, 10):
                await happens(number)
            await heard(ear, lambda: bool(ear.on(ALERTS)) and ear.on(ALERTS)[-1] == told[-1])
        await record.flush()
        assert record.waiting_messages() == []

    seen: set[str] = set()
    without_repeats = []
    for payload in ear.on(ALERTS):
        if (number_of := json.loads(payload)["id"]) not in seen:
            seen.add(number_of)
            without_repeats.append(payload)
    assert without_repeats == told


async def test_a_second_life_takes_over_the_first_ones_connection(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    async with running(mosquitto.port, Shelf()) as (_, _, first):
        await first.wait_for(LinkState.CONNECTED)
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "tests.messaging.publisher",
            str(mosquitto.port),
            stdout=asyncio.subprocess.PIPE,
        )
        assert process.stdout is not None
        assert await process.stdout.readline() == b"connected\n"
        await first.wait_for(LinkState.AWAY, times=2)
        process.kill()
        await process.wait()
        await first.wait_for(LinkState.CONNECTED, times=2)
        await heard(ear, lambda: ear.on(AVAILABILITY)[-1:] == ["online"])


async def test_the_link_subscribes_to_nothing(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port)
    async with running(mosquitto.port, Shelf("alert")) as (link, _, _):
        link.set_status("{}")
        await heard(ear, lambda: ear.on(ALERTS) == ["alert"])
        await heard(ear, lambda: ear.on(STATUS) == ["{}"])
    mosquitto.stop()
    text = mosquitto.log.read_text()
    assert "Received SUBSCRIBE from ear" in text
    assert "Received PUBLISH from spyhole-big-bertha" in text
    assert "SUBSCRIBE from spyhole-big-bertha" not in text
