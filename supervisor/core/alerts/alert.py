"""One alert, from its raising to its end, and how it is written down.

Two sorts of alert are kept apart. A *condition* (every warning and critical) stands until its
event clears it, read or not. A *notice* (a cone is down, the hold is done) is news that sends
a person to the kiln and stands until somebody acknowledges it. Of the notices only "a cone is
near" can be over by itself: it ends when the cone is down or no longer expected, unread or not.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from enum import StrEnum
from typing import Any

from supervisor.core.errors import InputError
from supervisor.core.events import Kind, Severity, Value

NOTICES = frozenset(
    {
        Kind.CONE_NEAR,
        Kind.CONE_DOWN,
        Kind.HOLD_DONE,
        Kind.FIRING_FINISHED,
        Kind.COOL_TO_OPEN,
        Kind.TREND,
    }
)
"""Information that sends a person to the kiln, and so is delivered though nothing is wrong."""


class Step(StrEnum):
    """What a message says has happened to its alert."""

    RAISED = "raised"
    ACKNOWLEDGED = "acknowledged"
    CLEARED = "cleared"
    REMINDED = "reminded"
    """It stands, and nobody has acknowledged it."""
    ESCALATED = "escalated"
    """The same of a critical one, for so long that others are told as well."""
    SUMMARY = "summary"
    """Several of the above, told together."""


@dataclass(frozen=True, slots=True)
class Alert:
    """One alert of one firing.

    ``messages`` counts what has been sent about it, so that every message has an id of its own.
    ``worsened_at_s`` is when it last became more severe, ``told_at_s`` when it was told at its
    present severity; ``reminders`` and ``reminded_at_s`` count from there. ``untold`` has the
    steps that are known but wait to be told with others, and ``late_s`` by how much a reminder
    that waits was late. The ``*_time`` are wall-clock labels for people.
    """

    id: str
    firing: str
    kind: Kind
    severity: Severity
    channel: str | None
    message: str
    raised_at_s: float
    raised_time: str | None = None
    data: Mapping[str, Value] = field(default_factory=dict)
    cleared_at_s: float | None = None
    cleared_time: str | None = None
    cleared_message: str | None = None
    acknowledged_at_s: float | None = None
    acknowledged_time: str | None = None
    acknowledged_by: str | None = None
    messages: int = 0
    worsened_at_s: float | None = None
    worsened_time: str | None = None
    told_at_s: float | None = None
    reminders: int = 0
    reminded_at_s: float | None = None
    reminded_time: str | None = None
    escalated_at_s: float | None = None
    escalated_time: str | None = None
    untold: tuple[Step, ...] = ()
    late_s: float | None = None

    @property
    def is_open(self) -> bool:
        """True while a person should still see it: not cleared, and a notice not yet read."""
        if self.cleared_at_s is not None:
            return False
        return self.kind not in NOTICES or self.acknowledged_at_s is None

    @property
    def is_unanswered(self) -> bool:
        """True for a condition that stands and that nobody has acknowledged."""
        return (
            self.cleared_at_s is None
            and self.acknowledged_at_s is None
            and self.severity is not Severity.INFO
        )

    def to_json(self) -> str:
        """One line of JSON that ``from_json`` takes back."""
        return json.dumps(asdict(self), ensure_ascii=False, allow_nan=False)

    @classmethod
    def from_json(cls, line: str) -> Alert:
        """The alert written by ``to_json``, of this version or an older one.

        Raises InputError for anything else.
        """
        try:
            fields: dict[str, Any] = json.loads(line)
            fields["kind"] = Kind(fields["kind"])
            fields["severity"] = Severity(fields["severity"])
            fields["untold"] = tuple(Step(step) for step in fields.get("untold", ()))
            return cls(**fields)
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise InputError(f"this is not an alert of the record ({error})") from None
