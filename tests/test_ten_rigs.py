"""A studio: ten rigs, each a process of its own, and one broker. Each tells its own story."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from supervisor.messaging.topics import slug
from tests.daemons import Daemon, wait_until
from tests.messaging.brokers import Ear, Mosquitto
from tests.messaging.test_asyncapi import check

pytestmark = [pytest.mark.broker, pytest.mark.timeout(180)]

SPEED = 1800
INTERVAL_S = 60
TWINS = "Ofen"
STUDIO = {
    "Big Bertha": "healthy-midfire",
    "big bertha 2": "tripped-breaker",
    "Ofen 1/2": "stall",
    "Ofen 1-2": "healthy-lowfire",
    "Großer Ofen (Öl) #1": "healthy-bisque",
    "+/kiln/#": "broken-probe",
    "$SYS": "power-cut",
    "窯": "cold-bottom",
    TWINS: "worn-elements",
}
"""What a studio may call its kilns, and what happens in each."""


@dataclass
class Rig:
    """One Pi: its kiln's name, its process, the data that outlives it."""

    kiln: str
    words: tuple[str | Path, ...]
    daemon: Daemon

    @property
    def firing(self) -> str:
        return self.daemon.wait_for("firing: ").split(",")[0].split(" ")[0]


def rig_in(folder: Path, port: int, kiln: str, scenario: str) -> Rig:
    folder.mkdir()
    config = folder / "spyhole.toml"
    config.write_text(
        f"[kiln]\nname = {json.dumps(kiln, ensure_ascii=False)}\n"
        f"[watch]\ninterval_s = {INTERVAL_S}\n"
        f'[mqtt]\nhost = "127.0.0.1"\nport = {port}\ndiscovery = true\n'
        "[page]\nport = 0\n"
    )
    words = ("watch", "--simulate", scenario, "--config", config, "--speed", str(SPEED))
    all_words = (*words, "--data", folder / "data")
    return Rig(kiln, all_words, Daemon(*all_words))


class Stories:
    """What was told, by the kiln's name in the topic and the topic's last word."""

    def __init__(self, ear: Ear) -> None:
        self._ear = ear
        self._place = 0
        self._told: dict[str, dict[str, list[Any]]] = {}

    @property
    def told(self) -> dict[str, dict[str, list[Any]]]:
        """All of it till now; each message is read once, however often this is asked."""
        while self._place < len(self._ear.heard):
            topic, payload, _ = self._ear.heard[self._place]
            self._place += 1
            matched = re.fullmatch(r"spyhole/([^/]+)/(\w+)", topic)
            if matched is not None:
                said = json.loads(payload) if payload.startswith("{") else payload
                self._told.setdefault(matched[1], {}).setdefault(matched[2], []).append(said)
        return self._told


def test_ten_rigs_and_one_broker(
    tmp_path: Path, mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    ear = hear(mosquitto.port, "everything", "#")
    stories = Stories(ear)

    def now(name: str, word: str = "availability") -> Any:
        return stories.told.get(name, {}).get(word, [None])[-1]

    with ExitStack() as stack:

        def begin(kiln: str, scenario: str, place: str) -> Rig:
            rig = rig_in(tmp_path / place, mosquitto.port, kiln, scenario)
            stack.enter_context(rig.daemon)
            return rig

        rigs = {
            slug(kiln): begin(kiln, scenario, str(number))
            for number, (kiln, scenario) in enumerate(STUDIO.items())
        }
        assert len(rigs) == len(STUDIO), "no two share a topic"
        for name in rigs:
            wait_until(lambda name=name: now(name) == "online", f"{name} is online")  # type: ignore[misc]
        twin = begin(TWINS, "healthy-lowfire", "twin")
        wait_until(lambda: bool(twin.daemon.complaints), "the tenth notices that its name is used")
        (said,) = twin.daemon.complaints
        renamed = re.search(r"goes on as spyhole/(ofen-[0-9a-f]{4})/; give each kiln", said)
        assert renamed is not None, said
        assert f"has the name “{TWINS}” already" in said
        rigs[renamed[1]] = twin
        wait_until(lambda: now(renamed[1]) == "online", "the tenth is online")

        victim = slug("Ofen 1/2")
        speaks = lambda: "alerts" in stories.told.get(victim, {})  # noqa: E731
        wait_until(speaks, "it has had something to say")
        offline_before = {
            name: told["availability"].count("offline") for name, told in stories.told.items()
        }
        rigs[victim].daemon.kill()
        wait_until(lambda: now(victim) == "offline", "its last will tells of it")
        for name in rigs.keys() - {victim}:
            assert now(name) == "online"
            assert stories.told[name]["availability"].count("offline") == offline_before[name]
        again = Rig(rigs[victim].kiln, rigs[victim].words, Daemon(*rigs[victim].words))
        stack.enter_context(again.daemon)
        wait_until(lambda: now(victim) == "online", "it is back under its own name")
        assert again.firing == rigs[victim].firing

        rigs[victim] = again
        ids = {name: rig.firing for name, rig in rigs.items()}
        have_alerts = lambda: all("alerts" in stories.told.get(name, {}) for name in rigs)  # noqa: E731
        wait_until(have_alerts, "each has had something to say")
        for name, rig in rigs.items():
            code, took_s = rig.daemon.stop()
            assert code == 0
            assert took_s < 8.0
            if rig not in (twin, rigs["ofen"]):
                assert rig.daemon.complaints == [], name
        for name in rigs:
            wait_until(lambda name=name: now(name) == "offline", f"{name} says good-bye")  # type: ignore[misc]

    told = stories.told
    assert set(told) == set(rigs), "nobody else has said anything"
    for name, rig in rigs.items():
        story = told[name]
        assert {status["kiln"] for status in story["status"]} == {rig.kiln}
        assert {status["firing"] for status in story["status"]} == {ids[name]}
        assert {alert["kiln"] for alert in story["alerts"]} == {rig.kiln}
        assert {alert["firing"] for alert in story["alerts"]} == {ids[name]}
        assert all(alert["id"].startswith(ids[name]) for alert in story["alerts"])
        times_s = [reading["elapsed_s"] for reading in story["readings"]]
        assert len(times_s) > 3
        assert times_s == sorted(times_s)
        channels = set(story["status"][-1]["channels"])
        assert {frozenset(reading["temps_c"]) for reading in story["readings"]} == {
            frozenset(channels)
        }
    assert len(set(ids.values())) == len(rigs), "each firing has an id of its own"
    for topic, payload, _ in ear.heard:
        if payload:
            check(topic, payload)
    hubs = {
        (message["device"]["identifiers"][0], message["state_topic"].split("/")[1])
        for topic, payload, _ in ear.heard
        if topic.startswith("homeassistant/")
        for message in [json.loads(payload)]
    }
    assert len(hubs) == len({node for node, _ in hubs}) == len(rigs)
    assert {name for _, name in hubs} == set(rigs)
    log = mosquitto.log.read_text(errors="replace")
    assert not re.search(r"SUBSCRIBE from spyhole-", log)
    clients = set(re.findall(r"New client connected from \S+ as (spyhole-\S+) ", log))
    assert clients == {f"spyhole-{name}" for name in rigs}
