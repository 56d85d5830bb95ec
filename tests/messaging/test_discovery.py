"""What home-automation hubs are told: by the convention, to look at only, and taken back.

The convention is that of MQTT discovery as https://www.home-assistant.io/integrations/mqtt/ and
its pages on MQTT sensors and binary sensors publish it; the names below are theirs.
"""

from __future__ import annotations

import asyncio
import json
import re
import tempfile
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment, StrictUndefined

from supervisor.core.units import Unit
from supervisor.messaging.discovery import EXPIRE_S, Discovery
from supervisor.messaging.memory import FILE_NAME, Memory
from supervisor.messaging.mqtt import STATUS_EVERY_S, LinkState
from supervisor.messaging.topics import topics_under
from supervisor.record.store import Record
from supervisor.service.status import status_json
from tests.messaging.brokers import Ear, Mosquitto, program
from tests.messaging.shelf import KILN, Shelf, running
from tests.service.firings import begin, keep, night

SHARED = {
    "availability_topic",
    "device",
    "device_class",
    "entity_category",
    "expire_after",
    "json_attributes_template",
    "json_attributes_topic",
    "name",
    "origin",
    "payload_available",
    "payload_not_available",
    "qos",
    "state_topic",
    "unique_id",
    "value_template",
}
ALLOWED = {
    "sensor": SHARED
    | {"options", "state_class", "suggested_display_precision", "unit_of_measurement"},
    "binary_sensor": SHARED | {"payload_off", "payload_on"},
}
"""Of each component, the convention's keys that we use; every other is a mistake."""
DEVICE = {"identifiers", "manufacturer", "model", "name", "sw_version"}
CLASSES = {
    "sensor": {"temperature", "duration", "enum", "timestamp"},
    "binary_sensor": {"connectivity", "problem"},
}
TOPIC = re.compile(r"hub/(sensor|binary_sensor)/([a-zA-Z0-9_-]+)/([a-zA-Z0-9_-]+)/config")
"""``<discovery_prefix>/<component>/<node_id>/<object_id>/config``, and what ids are made of."""


def told(
    name: str = "big-kiln",
    channels: tuple[str, ...] = ("top", "bottom"),
    units: Unit = Unit.C,
    kiln: str = "Big kiln",
) -> dict[str, dict[str, Any]]:
    messages = Discovery("hub", kiln, channels, units, "1.2.3").messages(name, topics_under(name))
    return {topic: json.loads(payload) for topic, payload in messages.items()}


def by_object(**how: Any) -> dict[str, dict[str, Any]]:
    return {topic.split("/")[3]: message for topic, message in told(**how).items()}


@pytest.mark.parametrize("name", ["big-kiln", "窯", "grosser-ofen-ab12"])
@pytest.mark.parametrize("channels", [("top",), ("top", "Top", "t_op", "süd", "北")])
def test_every_message_is_as_the_convention_has_it(name: str, channels: tuple[str, ...]) -> None:
    messages = told(name, channels)
    for topic, message in messages.items():
        matched = TOPIC.fullmatch(topic)
        assert matched is not None, topic
        component = matched[1]
        assert set(message) <= ALLOWED[component], (topic, set(message) - ALLOWED[component])
        assert {"name", "unique_id", "state_topic", "device", "origin"} <= set(message)
        assert message.get("device_class") in CLASSES[component] | {None}
        assert set(message["device"]) == DEVICE
        assert message["origin"]["name"] == "spyhole"
        if "options" in message:
            assert message["device_class"] == "enum"
            assert not {"state_class", "unit_of_measurement"} & set(message)
        if message["state_topic"].endswith("/status"):
            assert message["availability_topic"] == f"spyhole/{name}/availability"
            assert message["expire_after"] == EXPIRE_S >= 2 * STATUS_EVERY_S
    ids = [message["unique_id"] for message in messages.values()]
    assert len(set(ids)) == len(ids) == len(set(messages))
    assert len({str(message["device"]) for message in messages.values()}) == 1


def test_there_is_nothing_that_a_hub_could_switch() -> None:
    """No key, at any depth, of anything that acts, and no component that does."""

    def keys(value: object) -> set[str]:
        if isinstance(value, dict):
            return set(value).union(*map(keys, value.values()))
        return set().union(*map(keys, value)) if isinstance(value, list) else set()

    for units in Unit:
        for topic, message in told(units=units).items():
            assert topic.split("/")[1] in ("sensor", "binary_sensor")
            acting = {
                key for key in keys(message) if re.search("command|cmd|^set|_set|press|_mode", key)
            }
            assert acting == set()
            assert not re.search(r"/(set|cmd|command)\b", json.dumps(message))


def test_two_kilns_share_nothing() -> None:
    ours, theirs = told("a"), told("b")
    assert not set(ours) & set(theirs)
    assert not {m["unique_id"] for m in ours.values()} & {m["unique_id"] for m in theirs.values()}


@cache
def statuses() -> tuple[dict[str, Any], ...]:
    """Statuses of a firing that stalls, from before the first reading to its end."""
    with tempfile.TemporaryDirectory() as folder, Record.open(Path(folder)) as record:
        kept = keep(record, begin(record))
        found = [status_json(kept.keeper, is_time_believed=None)]
        readings = night()
        marks = {len(readings) * part // 40 for part in range(1, 40)}
        for number, reading in enumerate(readings):
            kept.feed(reading)
            if number in marks:
                found.append(status_json(kept.keeper, is_time_believed=True))
        found.append(status_json(kept.keeper, is_time_believed=False))
    return tuple(json.loads(text) for text in found)


def shown(template: str, status: dict[str, Any]) -> str:
    """As a hub takes a value out; what is not there at all would be a mistake."""
    made = Environment(undefined=StrictUndefined, autoescape=False).from_string(template)
    return made.render(value_json=status)


def test_every_template_finds_its_value_in_every_status() -> None:
    channels = tuple(statuses()[0]["channels"])
    for units in Unit:
        for message in told(channels=channels, units=units).values():
            if "value_template" not in message:
                continue
            values = {shown(message["value_template"], status) for status in statuses()}
            assert all(len(value) <= 255 for value in values), "a hub shows no more"
            if "options" in message:
                assert values <= set(message["options"])
            elif message.get("device_class") == "problem":
                assert values <= {"ON", "OFF"}
            elif "state_class" in message:
                numbers = [float(value) for value in values - {"None"}]
                assert numbers, message["name"]
            elif message.get("device_class") == "timestamp":
                times = [datetime.fromisoformat(value) for value in values - {"None"}]
                assert times
                assert all(time.tzinfo is not None for time in times)
            if "json_attributes_template" in message:
                for status in statuses():
                    found = json.loads(shown(message["json_attributes_template"], status))
                    assert isinstance(found, dict)


def test_the_values_are_those_of_the_status_in_either_scale() -> None:
    channels = tuple(statuses()[0]["channels"])
    celsius, fahrenheit = (by_object(channels=channels, units=units) for units in (Unit.C, Unit.F))
    assert celsius["temperature"]["unit_of_measurement"] == "°C"
    assert fahrenheit["temperature"]["unit_of_measurement"] == "°F"
    assert fahrenheit["rate"]["unit_of_measurement"] == "°F/h"
    assert celsius["temperature"]["suggested_display_precision"] == 0

    def value(of: dict[str, dict[str, Any]], key: str, status: dict[str, Any]) -> float:
        return float(shown(of[key]["value_template"], status))

    hot = [s for s in statuses() if s["temp_c"] is not None and s["late_s"] is not None]
    assert len(hot) > 10
    for status in hot:
        assert value(celsius, "temperature", status) == status["temp_c"]
        # °F = °C · 9/5 + 32 (definition).
        assert value(fahrenheit, "temperature", status) == pytest.approx(
            status["temp_c"] * 9 / 5 + 32, abs=0.051
        )
        assert value(fahrenheit, "rate", status) == pytest.approx(
            status["rate_c_per_h"] * 9 / 5, abs=0.051
        )
        assert value(celsius, "late", status) == pytest.approx(status["late_s"] / 60, abs=0.051)
        for channel in channels:
            own = status["channels"][channel]["temp_c"]
            assert shown(celsius[f"channel_{channel}"]["value_template"], status) == str(own)
        work = status["target_cone"]["work"]
        assert value(celsius, "cone", status) == pytest.approx(100 * min(work, 1), abs=0.51)


def test_the_worst_alert_is_the_worst_and_what_is_told_of_it_is_its_own() -> None:
    things = by_object(channels=tuple(statuses()[0]["channels"]))
    worst, problem = things["worst_alert"], things["alert"]
    rank = ["info", "warning", "critical"]
    seen = set()
    for status in statuses():
        grave = [rank.index(alert["severity"]) for alert in status["open_alerts"]]
        expected = rank[max(grave)] if grave else "none"
        seen.add(expected)
        assert shown(worst["value_template"], status) == expected
        is_grave = expected in ("warning", "critical")
        assert shown(problem["value_template"], status) == ("ON" if is_grave else "OFF")
        attributes = json.loads(shown(worst["json_attributes_template"], status))
        assert attributes == (status["worst_alert"] or {})
    assert {"none"} < seen


def test_when_the_cone_is_expected_is_the_status_own_time_and_none_by_a_wrong_clock() -> None:
    found = 0
    for status in statuses():
        cone = status["target_cone"]
        assert cone == {"cone": cone["cone"], **status["cones"][cone["cone"]]}
        assert cone["role"] == "target"
        if status["time_believed"] is False:
            assert cone["expected_time"] is None
        elif cone["expected_in_s"] is not None:
            found += 1
            away = datetime.fromisoformat(cone["expected_time"]) - datetime.fromisoformat(
                status["time"]
            )
            assert away.total_seconds() == pytest.approx(cone["expected_in_s"], abs=1.0)
    assert found > 3


def discovery(*channels: str) -> Callable[..., dict[str, str]]:
    return Discovery("hub", KILN, channels, Unit.C, "1").messages


@pytest.mark.broker
async def test_hubs_find_what_there_is_and_lose_what_is_there_no_more(
    mosquitto: Mosquitto, hear: Callable[..., Ear], tmp_path: Path
) -> None:
    file = tmp_path / FILE_NAME
    hub = await asyncio.to_thread(hear, mosquitto.port, "hub", "hub/#")
    node = "spyhole_big-bertha"

    def standing() -> dict[str, str]:
        now = {topic: payload for topic, payload, _ in list(hub.heard)}
        return {topic: payload for topic, payload in now.items() if payload}

    async def told_to_hub(for_hubs: Callable[..., dict[str, str]] | None) -> None:
        async with running(
            mosquitto.port, Shelf("last"), memory=Memory(file), for_hubs=for_hubs
        ) as (link, _, states):
            await states.wait_for(LinkState.CONNECTED)
            wanted = {} if for_hubs is None else for_hubs(link.name, topics_under(link.name))
            await asyncio.to_thread(hub.wait, lambda: standing() == wanted)
            assert states.trouble == []

    await told_to_hub(discovery("top", "bottom"))
    assert f"hub/sensor/{node}/channel_bottom/config" in standing()
    late = await asyncio.to_thread(hear, mosquitto.port, "late", "hub/#")
    await asyncio.to_thread(late.wait, lambda: len(late.heard) == len(standing()))
    assert all(retained for _, _, retained in late.heard)
    await told_to_hub(discovery("top"))
    assert f"hub/sensor/{node}/channel_bottom/config" not in standing()
    assert f"hub/sensor/{node}/channel_top/config" in standing()
    await told_to_hub(None)
    assert standing() == {}
    after = await asyncio.to_thread(hear, mosquitto.port, "after", "hub/#")
    await asyncio.sleep(0.2)
    assert after.heard == [], "nothing is retained any more"


@pytest.mark.broker
async def test_a_broker_that_keeps_the_hubs_topics_to_others_is_told_of_and_does_no_harm(
    tmp_path: Path, hear: Callable[..., Ear]
) -> None:
    rules = tmp_path / "rules"
    rules.write_text("topic readwrite spyhole/#\n")
    broker = Mosquitto(program("mosquitto"), tmp_path, "allow_anonymous true", f"acl_file {rules}")
    broker.start()
    try:
        async with running(broker.port, Shelf(), for_hubs=discovery("top")) as (link, _, states):
            sentence = await states.wait_for_trouble("hubs are told nothing")
            assert "does not let spyhole publish on hub/" in sentence
            assert link.state is LinkState.CONNECTED
    finally:
        broker.stop()
