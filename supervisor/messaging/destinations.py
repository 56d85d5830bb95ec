"""Who is told of what: one destination takes a message whole, in part, or not at all.

Knows severities and states of messages; knows neither how a message travels nor any address.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.alerts import Step
from supervisor.core.alerts.message import summary_title
from supervisor.core.alerts.sorts import PASSING, RANK
from supervisor.core.events import Severity

BROKER = "mqtt"
"""The broker's name among the destinations."""
NOTIFY = "notify-"
"""How the names of all others begin."""

Message = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Destination:
    """One way out.

    ``name`` tells it from others, also after a restart. ``takes_all`` is for programs, which
    want each change; people are told from ``least`` on, and with ``only_escalated`` only of
    what nobody has acknowledged for long. ``topic`` is for a broker.
    """

    name: str
    topic: str = ""
    takes_all: bool = False
    least: Severity = Severity.INFO
    only_escalated: bool = False

    def payload(self, message: Message) -> str | None:
        """What is to be delivered of the message, as one line of JSON; None for nothing."""
        wanted = message if self.takes_all else self._for_people(message)
        return None if wanted is None else json.dumps(wanted, ensure_ascii=False, allow_nan=False)

    def _for_people(self, message: Message) -> Message | None:
        if self.only_escalated and message.get("escalated") is not True:
            return None
        if message.get("state") != Step.SUMMARY:
            return message if self._concerns(message, [str(message.get("state"))]) else None
        every = message.get("alerts")
        if not isinstance(every, list):
            return None
        parts = [part for part in every if self._concerns(part, part["states"])]
        if len(parts) == len(every):
            return message
        if not parts:
            return None
        return {
            **message,
            "title": summary_title(len(parts)),
            "message": "\n".join(str(part["message"]) for part in parts),
            "alerts": parts,
        }

    def _concerns(self, message: Message, states: list[str]) -> bool:
        if RANK[Severity(str(message["severity"]))] < RANK[self.least]:
            return False
        # That a cone is awaited no longer is for lists; the cone itself is told of by its fall.
        return not (message["kind"] in {kind.value for kind in PASSING} and _is_over(states))


def broker(topic: str) -> Destination:
    """The MQTT broker, whose topic has every message."""
    return Destination(BROKER, topic, takes_all=True)


def _is_over(states: list[str]) -> bool:
    return Step.CLEARED.value in states
