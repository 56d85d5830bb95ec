"""Two kilns of one name at one broker: the second notices, says so, and goes on under another."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from pathlib import Path

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from supervisor.messaging.memory import FILE_NAME, Memory
from supervisor.messaging.mqtt import LinkState
from supervisor.messaging.name import LISTEN_S, OWNED_S, Name
from tests.messaging.brokers import LOCAL, Ear, Mosquitto
from tests.messaging.shelf import ALERTS, AVAILABILITY, KILN, STATUS, Shelf, running
from tests.messaging.test_link import SilentBroker, serving


def name(memory: Memory | None = None) -> Name:
    suffixes = iter(("one", "two"))
    return Name("kiln", memory or Memory(), make_suffix=lambda: next(suffixes))


def test_a_name_in_use_is_listened_to_unless_it_was_ours_a_moment_ago() -> None:
    ours = name()
    assert not ours.must_listen(is_in_use=False, at_s=0.0)
    assert ours.must_listen(is_in_use=True, at_s=0.0)
    assert not ours.settle()
    ours.leave(100.0)
    assert not ours.must_listen(is_in_use=True, at_s=100.0 + OWNED_S)
    ours.leave(104.0)
    assert ours.must_listen(is_in_use=True, at_s=100.1 + OWNED_S), "attempts do not prolong it"


def test_another_name_is_kept_only_once_the_broker_has_answered_under_it() -> None:
    memory = Memory()
    ours = name(memory)
    ours.give_way()
    assert ours.now == "kiln-one"
    assert ours.take_back(), "the broker was away: nobody has our name"
    assert ours.now == "kiln"
    assert not ours.take_back()
    ours.give_way()
    assert ours.settle()
    assert not ours.settle()
    assert ours.now == "kiln-two"
    assert name(memory).now == "kiln-two"


def test_what_is_remembered_is_remembered_by_the_next_run(tmp_path: Path) -> None:
    file = tmp_path / FILE_NAME
    Memory(file).keep_suffix("kiln", "a1b2")
    Memory(file).keep_retained("broker:1883", {"x/y", "x/z"})
    again = Memory(file)
    assert again.suffix("kiln") == "a1b2"
    assert again.suffix("other") is None
    assert again.retained("broker:1883") == {"x/y", "x/z"}
    assert again.retained("other:1883") == set()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"suffixes": {"a": 1}, "retained": {}}', "\0"])
def test_a_file_that_says_nothing_is_no_trouble(tmp_path: Path, text: str) -> None:
    file = tmp_path / FILE_NAME
    file.write_text(text)
    memory = Memory(file)
    assert memory.suffix("a") is None
    memory.keep_suffix("a", "b")
    assert json.loads(file.read_text())["suffixes"] == {"a": "b"}
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]


def test_a_disk_that_refuses_costs_the_memory_of_the_next_run_alone(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "no such folder" / FILE_NAME)
    memory.keep_suffix("a", "b")
    assert memory.suffix("a") == "b"


@pytest.mark.broker
async def test_the_second_kiln_of_a_name_says_so_and_keeps_out_of_the_firsts_topics(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = await asyncio.to_thread(hear, mosquitto.port)
    memory = Memory()
    async with running(mosquitto.port, Shelf()) as (first, _, ours):
        first.set_status('{"n": 1}')
        await ours.wait_for(LinkState.CONNECTED)
        async with running(mosquitto.port, Shelf("of the second"), memory=memory) as (
            second,
            _,
            theirs,
        ):
            second.set_status('{"n": 2}')
            sentence = await theirs.wait_for_trouble("has the name “Big Bertha” already")
            await theirs.wait_for(LinkState.CONNECTED)
            base = f"spyhole/{second.name}"
            assert second.name.startswith("big-bertha-")
            assert sentence == (
                f"another kiln at the broker has the name “{KILN}” already: this one goes on as "
                f"{base}/; give each kiln a name of its own under [kiln]"
            )
            await asyncio.to_thread(ear.wait, lambda: ear.on(f"{base}/alerts") == ["of the second"])
            await asyncio.to_thread(ear.wait, lambda: '{"n": 2}' in ear.on(f"{base}/status"))
            assert first.state is LinkState.CONNECTED
            assert first.name == "big-bertha"
        await asyncio.to_thread(
            ear.wait, lambda: ear.on(f"{base}/availability")[-1:] == ["offline"]
        )
        assert theirs.trouble == [sentence]
        assert len(ours.trouble) <= 1, "the first may say that it was cut off, once"
        # The next run of the second does not even try.
        async with running(mosquitto.port, Shelf("again"), memory=memory) as (third, _, later):
            await later.wait_for(LinkState.CONNECTED)
            assert f"spyhole/{third.name}" == base
            await asyncio.to_thread(ear.wait, lambda: ear.on(f"{base}/alerts")[-1:] == ["again"])
            assert later.trouble == []
    await asyncio.to_thread(ear.wait, lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    assert set(ear.on(STATUS)) == {'{"n": 1}'}
    assert ear.on(ALERTS) == []
    told = ear.on(AVAILABILITY)
    assert (told[0], told[-1], told.count("offline")) == ("online", "offline", 1)


@pytest.mark.broker
async def test_two_that_begin_together_agree_on_who_is_who(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    """As after a power cut in the studio."""
    ear = await asyncio.to_thread(hear, mosquitto.port)
    async with (
        running(mosquitto.port, Shelf("a")) as (one, _, ones),
        running(mosquitto.port, Shelf("b")) as (other, _, others),
    ):
        await asyncio.sleep(2.5 * LISTEN_S)
        await ones.wait_for(LinkState.CONNECTED)
        await others.wait_for(LinkState.CONNECTED)
        assert one.state is other.state is LinkState.CONNECTED
        assert one.name != other.name
        assert "big-bertha" in (one.name, other.name)
        spoken = [s for s in ones.trouble + others.trouble if "already" in s]
        assert len(spoken) == 1
        topics = {f"spyhole/{link.name}/alerts" for link in (one, other)}
        await asyncio.to_thread(ear.wait, lambda: all(ear.on(topic) for topic in topics))


@pytest.mark.broker
async def test_our_own_connection_of_before_is_no_stranger(
    mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    """A program killed and started again within the broker's memory of it."""
    ear = await asyncio.to_thread(hear, mosquitto.port)
    ghost = paho.Client(
        CallbackAPIVersion.VERSION2, client_id="spyhole-big-bertha", protocol=paho.MQTTv5
    )
    ghost.reconnect_delay_set(600, 600)
    ghost.connect(LOCAL, mosquitto.port, clean_start=True)
    properties = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
    properties.SessionExpiryInterval = 60
    ghost.disconnect()
    ghost.connect(LOCAL, mosquitto.port, clean_start=False, properties=properties)
    ghost.loop_start()
    try:
        async with asyncio.timeout(10.0):
            while not ghost.is_connected():
                await asyncio.sleep(0.01)
        async with running(mosquitto.port, Shelf("alert")) as (link, _, states):
            await states.wait_for(LinkState.CONNECTED)
            await asyncio.to_thread(ear.wait, lambda: ear.on(ALERTS) == ["alert"])
            assert link.name == "big-bertha"
            assert states.trouble == []
    finally:
        ghost.loop_stop()


@pytest.mark.broker
async def test_a_stranger_that_does_not_give_way_is_told_of_once_and_not_fought(
    mosquitto: Mosquitto,
) -> None:
    """Another program under our client id that comes back as often as it is cut off."""
    stranger = paho.Client(CallbackAPIVersion.VERSION2, client_id="spyhole-big-bertha")
    stranger.reconnect_delay_set(1, 1)
    pauses: list[float] = []
    async with running(mosquitto.port, Shelf(), pauses=pauses) as (_, _, states):
        await states.wait_for(LinkState.CONNECTED)
        stranger.connect(LOCAL, mosquitto.port)
        stranger.loop_start()
        try:
            sentence = await states.wait_for_trouble("does another client use the name")
            assert "spyhole-big-bertha" in sentence
            await states.wait_for(LinkState.CONNECTED, times=5)
        finally:
            await asyncio.to_thread(stranger.loop_stop)
            stranger.disconnect()
        assert states.trouble.count(sentence) == 1
        assert len(states.trouble) <= 3
    assert pauses[3] > pauses[0], "it is tried less and less often"


class JealousBroker(SilentBroker):
    """Gives the name to somebody else, twice, and says so (MQTT 5, section 3.14.2.1: 0x8E)."""

    def __init__(self) -> None:
        super().__init__(answers_alerts=True)

    def _answer_publish(self, body: bytes, writer: asyncio.StreamWriter) -> None:
        super()._answer_publish(body, writer)
        if self.connections <= 2:
            writer.write(b"\xe0\x01\x8e")


async def test_a_broker_that_says_who_has_the_name_is_believed_the_second_time() -> None:
    async with (
        serving(JealousBroker()) as broker,
        running(broker.port, Shelf()) as (link, _, states),
    ):
        said = await states.wait_for_trouble("has the name “Big Bertha” already")
        await states.wait_for(LinkState.CONNECTED, times=3)
        assert link.name in said
        assert link.name.startswith("big-bertha-")
        assert broker.connections == 3
        cut_off, last = states.trouble
    assert cut_off == (
        f"the broker at 127.0.0.1:{broker.port} has given the connection to another client of "
        "the same name; it is tried again"
    )
    assert last == said
