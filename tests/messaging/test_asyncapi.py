"""``asyncapi.yaml`` is true: it is a valid document, and says neither too little nor too much.

The document's form is AsyncAPI 3.0.0 (https://www.asyncapi.com/docs/reference/specification/v3.0.0)
as the package asyncapi3 models it; what is really published is held against its schemas.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
import warnings
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft7Validator, FormatChecker

from simulator.scenario import load_scenario
from supervisor import __version__
from supervisor.core.alerts import Step
from supervisor.core.events import Kind, Severity
from supervisor.core.readings import FaultCause
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit
from supervisor.core.watch.moves import Activity
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.messaging.topics import topics_under
from supervisor.service.run import run
from supervisor.service.simulated_rig import SimulatedRig
from tests.messaging.brokers import Ear, Mosquitto
from tests.messaging.test_destinations import morning, told
from tests.service.test_run import SPEED, setup_in


def is_date_time(value: object) -> bool:
    """ISO 8601 with offset, as RFC 3339 wants it."""
    return not isinstance(value, str) or datetime.fromisoformat(value).tzinfo is not None


FORMATS = FormatChecker(formats=())
FORMATS.checks("date-time", raises=ValueError)(is_date_time)


@cache
def document() -> dict[str, Any]:
    text = files("supervisor.messaging").joinpath("asyncapi.yaml").read_text(encoding="utf-8")
    found: dict[str, Any] = yaml.safe_load(text)
    return found


def schemas() -> dict[str, Any]:
    found: dict[str, Any] = document()["components"]["schemas"]
    return found


@cache
def channels() -> dict[str, tuple[re.Pattern[str], str, Any]]:
    """Of each channel the pattern of its topics, its message's type, and its payload's schema."""
    found = {}
    for name, channel in document()["channels"].items():
        pattern = re.sub(r"\\\{\w+\\\}", "[^/]+", re.escape(channel["address"]))
        (reference,) = (message["$ref"] for message in channel["messages"].values())
        message = document()["components"]["messages"][reference.rpartition("/")[2]]
        content = message.get("contentType", document()["defaultContentType"])
        found[name] = (re.compile(pattern), content, message["payload"])
    return found


def channel_of(topic: str) -> str:
    """The one channel whose topic it is; fails for one that the document does not name."""
    matching = [name for name, (pattern, _, _) in channels().items() if pattern.fullmatch(topic)]
    assert len(matching) == 1, topic
    return matching[0]


@cache
def validator_of(channel: str) -> Draft7Validator:
    """Made once: to find its way about the document takes it longer than to judge a message."""
    _, _, schema = channels()[channel]
    whole = {**schema, "components": document()["components"]}
    return Draft7Validator(whole, format_checker=FORMATS)


def check(topic: str, payload: str) -> str:
    """Fail unless the document says that this is published there; the channel."""
    name = channel_of(topic)
    _, content, _ = channels()[name]
    value = json.loads(payload) if content == "application/json" else payload
    errors = [f"{'/'.join(map(str, e.absolute_path))}: {e.message}"
              for e in validator_of(name).iter_errors(value)]  # fmt: skip
    assert errors == [], (topic, payload)
    return name


def test_the_document_is_one_of_asyncapi_3() -> None:
    with warnings.catch_warnings():
        # One of its fields has a name that pydantic keeps for itself.
        warnings.simplefilter("ignore", UserWarning)
        from asyncapi3.models import AsyncAPI3
    AsyncAPI3.model_validate(document())
    wrong = {**document(), "operations": {"listen": {"action": "obey"}}}
    with pytest.raises(ValueError, match="obey"):
        AsyncAPI3.model_validate(wrong)
    assert document()["info"]["version"] == __version__
    for schema in schemas().values():
        Draft7Validator.check_schema(schema)


def test_every_reference_leads_somewhere() -> None:
    def references(value: object) -> Iterator[str]:
        if isinstance(value, dict):
            if isinstance(value.get("$ref"), str):
                yield value["$ref"]
            value = list(value.values())
        if isinstance(value, list):
            for part in value:
                yield from references(part)

    found = set(references(document()))
    assert len(found) > 15
    for reference in found:
        assert reference.startswith("#/")
        place: Any = document()
        for part in reference[2:].split("/"):
            place = place[part]
    used = {reference for reference in found if reference.startswith("#/components/")}
    named = {
        f"#/components/{kind}/{name}"
        for kind in ("messages", "schemas")
        for name in document()["components"][kind]
    }
    assert used == named, "nothing is described that nobody says"


def test_spyhole_only_ever_sends() -> None:
    operations = document()["operations"].values()
    assert {operation["action"] for operation in operations} == {"send"}
    spoken = {operation["channel"]["$ref"].rpartition("/")[2] for operation in operations}
    assert spoken == set(document()["channels"])


def test_the_four_topics_of_a_kiln_are_named() -> None:
    topics = topics_under("big-kiln")
    for name in ("availability", "status", "readings", "alerts"):
        assert channel_of(getattr(topics, name)) == name
    for stranger in ("spyhole/a/b/alerts", "spyhole/a/set", "spyhole/alerts", "other/a/alerts"):
        with pytest.raises(AssertionError):
            channel_of(stranger)


@pytest.mark.parametrize(
    ("schema", "values"),
    [
        (("Kind", "enum"), {kind.value for kind in Kind}),
        (("Severity", "enum"), {severity.value for severity in Severity}),
        (("Fault", "enum"), {cause.value for cause in FaultCause}),
        (("Status", "properties", "activity", "enum"), {a.value for a in Activity}),
        (("Status", "properties", "log", "enum"), {"armed", "open", "closed"}),
        (("Status", "properties", "units", "enum"), {unit.value for unit in Unit}),
    ],
)
def test_every_word_of_ours_is_listed_and_no_other(
    schema: tuple[str, ...], values: set[str]
) -> None:
    found: Any = schemas()
    for part in schema:
        found = found[part]
    assert set(found) == values


def test_every_state_of_an_alert_is_listed() -> None:
    states = schemas()["Alert"]["properties"]["state"]["enum"]
    assert {step.value for step in Step} == set(states)


@pytest.mark.parametrize("night", [told, lambda: [morning()]], ids=["a night", "a morning"])
def test_what_the_alert_book_says_of_a_night_is_in_the_document(
    night: Callable[[], list[dict[str, Any]]],
) -> None:
    """Reminded, passed on, acknowledged, over, and gathered for the morning."""
    for message in night():
        whole = json.dumps({**message, "time_believed": True})
        assert check("spyhole/kiln/alerts", whole) == "alerts"


def test_the_check_can_fail() -> None:
    good = {"elapsed_s": 1.0, "time": None, "time_believed": None, "temps_c": {"a": 1.0}}
    topic = "spyhole/kiln/readings"
    assert check(topic, json.dumps(good | {"faults": {}})) == "readings"
    for bad in (
        good,
        good | {"faults": {"a": "gone"}},
        good | {"faults": {}, "extra": 1},
        good | {"faults": {}, "time": "2026-11-25T20:00:00"},
        good | {"faults": {}, "elapsed_s": -1},
        good | {"faults": {}, "temps_c": {"a": "hot"}},
    ):
        with pytest.raises((AssertionError, ValueError)):
            check(topic, json.dumps(bad))
    with pytest.raises(AssertionError):
        check("spyhole/kiln/availability", "perhaps")


@pytest.mark.broker
@pytest.mark.parametrize("name", ["tripped-breaker", "broken-probe"])
async def test_everything_that_a_firing_publishes_is_in_the_document(
    name: str, tmp_path: Path, mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = await asyncio.to_thread(hear, mosquitto.port, "everything", "#")
    plan = load_scenario(name)
    said: asyncio.Future[str] = asyncio.get_running_loop().create_future()

    def say(line: str) -> None:
        if line.startswith("page: ") and not said.done():
            said.set_result(line.removeprefix("page: "))

    setup = replace(
        setup_in(tmp_path, SimulatedRig(plan, 120.0)),
        schedule=plan.schedule,
        schedule_toml=schedule_toml(plan.schedule),
        broker=BrokerSettings("127.0.0.1", mosquitto.port, discovery_prefix="homeassistant"),
        speed=2 * SPEED,
        interval_s=120.0,
        say=say,
    )
    task = asyncio.create_task(run(setup))
    alerts = "spyhole/test-kiln/alerts"

    def is_over() -> bool:
        return any('"kind": "cool_to_open"' in payload for payload in ear.on(alerts))

    async with asyncio.timeout(120.0):
        while not is_over():
            assert not task.done(), task.exception()
            await asyncio.sleep(0.2)
    task.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await task
    gone = lambda: ear.on("spyhole/test-kiln/availability")[-1:] == ["offline"]  # noqa: E731
    await asyncio.to_thread(ear.wait, gone)

    spoken = {check(topic, payload) for topic, payload, _ in ear.heard}
    assert spoken == set(document()["channels"])
    kept = await asyncio.to_thread(hear, mosquitto.port, "kept", "#")
    await asyncio.sleep(0.3)
    retained = {channel_of(topic) for topic, _, _ in kept.heard}
    by_document = {
        operation["channel"]["$ref"].rpartition("/")[2]
        for operation in document()["operations"].values()
        if operation["bindings"]["mqtt"]["retain"]
    }
    assert retained == by_document
