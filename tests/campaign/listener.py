"""A client that is not ours and keeps what it gets, with the moment at which it got it.

Knows MQTT and the shape of an alert's message; knows nothing of the daemon's inside.
"""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import paho.mqtt.client as paho

from tests.messaging.brokers import Ear


@dataclass(frozen=True, slots=True)
class Heard:
    """One message: what it says, and when it came by this machine's monotonic clock."""

    topic: str
    payload: str
    at_s: float


class Listener(Ear):
    """Hears everything below ``spyhole/``, in a session that the broker keeps."""

    def __init__(self, port: int, name: str = "listener") -> None:
        self.kept: list[Heard] = []
        super().__init__(port, name)

    def _hear(self, client: object, userdata: object, message: paho.MQTTMessage) -> None:
        if not message.retain:
            self.kept.append(Heard(message.topic, message.payload.decode(), time.monotonic()))
        super()._hear(client, userdata, message)

    def documents(self, last_part: str) -> list[tuple[dict[str, Any], float]]:
        """What was heard on the topic that ends so, and when."""
        return [
            (json.loads(one.payload), one.at_s)
            for one in list(self.kept)
            if one.topic.endswith(f"/{last_part}")
        ]

    def alerts(self) -> list[dict[str, Any]]:
        """The alerts' messages in the order in which they came, repeats and all."""
        return [document for document, _ in self.documents("alerts")]

    def readings(self) -> list[tuple[dict[str, Any], float]]:
        """The readings' messages, and when they came."""
        return self.documents("readings")


@dataclass(frozen=True, slots=True)
class Delivery:
    """How the delivered messages compare with those that the record has."""

    lost: list[str]
    repeated: int
    out_of_order: int
    unknown: list[str]
    """Heard, though the record does not have it."""


def delivery(heard: list[dict[str, Any]], stored: list[str]) -> Delivery:
    """Compare the messages heard with the stored ones (JSON) in the order of the outbox."""
    order = {json.loads(line)["id"]: place for place, line in enumerate(stored)}
    ids = [str(one["id"]) for one in heard]
    firsts = list(dict.fromkeys(ids))
    places = [order[one] for one in firsts if one in order]
    highest = -1
    misplaced = 0
    for place in places:
        misplaced += place < highest
        highest = max(highest, place)
    return Delivery(
        lost=[one for one in order if one not in set(ids)],
        repeated=len(ids) - len(firsts),
        out_of_order=misplaced,
        unknown=[one for one in firsts if one not in order],
    )


def same_but_repeated(heard: list[dict[str, Any]]) -> list[str]:
    """The ids under which two different things were said."""
    said: dict[str, Mapping[str, Any]] = {}
    return [one["id"] for one in heard if said.setdefault(one["id"], one) != one]
