"""User and password: the right ones, the wrong ones, and what an access list holds back."""

from __future__ import annotations

import asyncio
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from supervisor.messaging.mqtt import REFUSED_PAUSE_S, BrokerSettings, LinkState
from tests.messaging.brokers import Ear, Mosquitto, program
from tests.messaging.shelf import ALERTS, AVAILABILITY, READINGS, STATUS, Shelf, running

pytestmark = pytest.mark.broker

RULES = f"""\
user potter
topic readwrite #

user watcher
topic write {AVAILABILITY}
topic write {STATUS}
topic write {READINGS}
"""
"""Mosquitto's own form of an access list (mosquitto.conf(5), acl_file)."""


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Mosquitto]:
    """A broker that lets in two, and lets one of them say everything but alerts."""
    passwords, rules = tmp_path / "passwords", tmp_path / "rules"
    for first, user in ((("-c",), "potter"), ((), "watcher")):
        subprocess.run(
            [program("mosquitto_passwd"), "-b", *first, str(passwords), user, "clay"],
            check=True,
            capture_output=True,
        )
    rules.write_text(RULES)
    started = Mosquitto(
        program("mosquitto"),
        tmp_path,
        "allow_anonymous false",
        f"password_file {passwords}",
        f"acl_file {rules}",
    )
    started.start()
    yield started
    started.stop()


async def test_the_right_password_opens(broker: Mosquitto, hear: Callable[..., Ear]) -> None:
    settings = BrokerSettings("127.0.0.1", broker.port, user="potter", password="clay")
    ear = await asyncio.to_thread(hear, broker.port, user="potter", password="clay")
    async with running(broker.port, Shelf("alert"), settings=settings) as (_, _, states):
        await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS) == ["alert"])
        assert states.trouble == []


@pytest.mark.parametrize("user", ["potter", "nobody", None])
async def test_the_wrong_one_is_one_sentence_and_no_storm(
    broker: Mosquitto, user: str | None
) -> None:
    password = None if user is None else "mud"
    settings = BrokerSettings("127.0.0.1", broker.port, user=user, password=password)
    assert "mud" not in repr(settings)
    pauses: list[float] = []
    async with running(broker.port, Shelf("alert"), settings=settings, pauses=pauses) as (
        link,
        _,
        states,
    ):
        async with asyncio.timeout(20.0):
            while len(pauses) < 4:
                await asyncio.sleep(0.01)
        assert link.state is LinkState.AWAY
        assert LinkState.CONNECTED not in states.seen
        (sentence,) = states.trouble
    assert all(REFUSED_PAUSE_S / 2 <= pause_s <= REFUSED_PAUSE_S for pause_s in pauses)
    assert "mud" not in sentence
    assert sentence.startswith(f"the broker at 127.0.0.1:{broker.port} refuses: it ")
    if user is None:
        assert "wants a user and a password; set `user` and `password_file`" in sentence
    else:
        assert f'does not let "{user}" in' in sentence


async def test_an_alert_that_an_access_list_holds_back_is_kept_and_told(
    broker: Mosquitto, hear: Callable[..., Ear]
) -> None:
    """By MQTT 3.1.1 it would be acknowledged and thrown away (MQTT 5, section 3.4.2.1: 0x87)."""
    settings = BrokerSettings("127.0.0.1", broker.port, user="watcher", password="clay")
    shelf = Shelf("one", "two")
    ear = await asyncio.to_thread(hear, broker.port, user="potter", password="clay")
    async with running(broker.port, shelf, settings=settings) as (link, _, states):
        sentence = await states.wait_for_trouble("does not let spyhole publish on")
        assert ALERTS in sentence
        assert "Not authorized" in sentence
        await states.wait_for(LinkState.AWAY, times=6)
        assert shelf.sent == []
        assert link.why is None or ALERTS in link.why
        assert states.trouble == [sentence], "said once, and nothing else is suspected"
    assert ear.on(ALERTS) == []
    again = BrokerSettings("127.0.0.1", broker.port, user="potter", password="clay")
    async with running(broker.port, shelf, settings=again):
        await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS) == ["one", "two"])
