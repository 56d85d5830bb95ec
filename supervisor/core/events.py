"""What the watch has to say: events, their kinds and their severity, and how they are written.

An event is written as one JSON object a line with a fixed order of keys, so that equal events
are equal bytes.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeAlias

Value: TypeAlias = str | int | float | bool | None


class Kind(StrEnum):
    """What an event is about; ``DEVELOPERS.md`` has the table of when each is raised."""

    STALL = "stall"
    LAGGING = "lagging"
    OVERSHOOT = "overshoot"
    HEAT_LOST = "heat_lost"
    HEAT_STUCK_ON = "heat_stuck_on"
    OVER_LIMIT = "over_limit"
    FAST_HEATING = "fast_heating"
    FAST_COOLING = "fast_cooling"
    UNEVEN = "uneven"
    SENSOR_FAULT = "sensor_fault"
    NO_READINGS = "no_readings"
    CONE_NEAR = "cone_near"
    CONE_DOWN = "cone_down"
    STEP_BEGUN = "step_begun"
    HOLD_DONE = "hold_done"
    PHASE_BEGUN = "phase_begun"
    COOL_TO_OPEN = "cool_to_open"
    TREND = "trend"
    FIRING_FINISHED = "firing_finished"


class Severity(StrEnum):
    """How much an event wants a person."""

    INFO = "info"
    WARNING = "warning"
    CRITICAL = "critical"


class State(StrEnum):
    """Whether a condition has come or gone. Plain information is only ever raised."""

    RAISED = "raised"
    CLEARED = "cleared"


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that the watch has to say, once.

    ``message`` is a whole sentence that a potter understands, with what to go and look at.
    ``data`` holds the figures behind it, with units in the names.
    """

    elapsed_s: float
    kind: Kind
    severity: Severity
    state: State
    message: str
    channel: str | None = None
    time: str | None = None
    data: Mapping[str, Value] = field(default_factory=dict)

    def to_json(self) -> str:
        """One line of JSON, without the line's end.

        >>> Event(60.0, Kind.HOLD_DONE, Severity.INFO, State.RAISED, "The hold is done.").to_json()
        '{"elapsed_s": 60.0, "time": null, "kind": "hold_done", "severity": "info", \
"state": "raised", "channel": null, "message": "The hold is done.", "data": {}}'
        """
        return json.dumps(self.document(), ensure_ascii=False, allow_nan=False)

    def document(self) -> dict[str, object]:
        """The object that stands in a line of events, its keys in their fixed order."""
        return {
            "elapsed_s": self.elapsed_s,
            "time": self.time,
            "kind": self.kind.value,
            "severity": self.severity.value,
            "state": self.state.value,
            "channel": self.channel,
            "message": self.message,
            "data": dict(self.data),
        }
