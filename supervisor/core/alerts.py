"""The alert book: which events a person has to know of, and what became of each.

Knows a firing's events and who acknowledged what. Knows no clock, no broker and no disk: times
come with the events, and what is to be stored and sent is handed back to the caller.

Two sorts of alert are kept apart. A *condition* (every warning and critical) stands until its
event clears it, read or not. A *notice* (a cone is down, the hold is done) is news that sends
a person to the kiln and stands until somebody acknowledges it. Of the notices only "a cone is
near" can be over by itself: it ends when the cone is down or no longer expected, unread or not.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from enum import StrEnum
from typing import Any, TypeAlias

from supervisor.core.errors import InputError
from supervisor.core.events import Event, Kind, Severity, State, Value

NOTICES = frozenset(
    {Kind.CONE_NEAR, Kind.CONE_DOWN, Kind.HOLD_DONE, Kind.FIRING_FINISHED, Kind.COOL_TO_OPEN}
)
"""Information that sends a person to the kiln, and so is delivered though nothing is wrong."""
_PASSING = frozenset({Kind.CONE_NEAR})
"""The notices that are over by an event of their own."""
_OF_A_CONE = frozenset({Kind.CONE_NEAR, Kind.CONE_DOWN})
"""The kinds of which each cone has its own, told apart by ``data["cone"]``."""
_OF_A_BAND = frozenset({Kind.FAST_HEATING, Kind.FAST_COOLING})
"""The kinds of which each band of the ware has its own, told apart by ``data["band"]``."""

_RANK = {Severity.INFO: 0, Severity.WARNING: 1, Severity.CRITICAL: 2}

_Key: TypeAlias = tuple[Kind, str | None, Value]
_Seen: TypeAlias = tuple[Kind, str | None, Value, State, float, str]


class Step(StrEnum):
    """What a message says has happened to its alert."""

    RAISED = "raised"
    ACKNOWLEDGED = "acknowledged"
    CLEARED = "cleared"


@dataclass(frozen=True, slots=True)
class Alert:
    """One alert of one firing, from its raising to its end.

    ``messages`` counts what has been sent about it, so that every message has an id of its own.
    The ``*_time`` are wall-clock labels for people.
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

    @property
    def is_open(self) -> bool:
        """True while a person should still see it: not cleared, and a notice not yet read."""
        if self.cleared_at_s is not None:
            return False
        return self.kind not in NOTICES or self.acknowledged_at_s is None

    def to_json(self) -> str:
        """One line of JSON that ``from_json`` takes back."""
        return json.dumps(asdict(self), ensure_ascii=False, allow_nan=False)

    @classmethod
    def from_json(cls, line: str) -> Alert:
        """The alert written by ``to_json``. Raises InputError for anything else."""
        try:
            fields: dict[str, Any] = json.loads(line)
            fields["kind"] = Kind(fields["kind"])
            fields["severity"] = Severity(fields["severity"])
            return cls(**fields)
        except (ValueError, KeyError, TypeError) as error:
            raise InputError(f"this is not an alert of the record ({error})") from None


@dataclass(frozen=True, slots=True)
class AlertChange:
    """A change to store and the message to send, together or not at all.

    ``message`` is ready for JSON. Its ``id`` is one message's own, so that a receiver can drop
    a repeat; its ``alert`` ties raised, acknowledged and cleared to each other.
    """

    alert: Alert
    message: Mapping[str, object]

    def message_json(self) -> str:
        """The message as one line of JSON."""
        return json.dumps(dict(self.message), ensure_ascii=False, allow_nan=False)


class AlertBook:
    """The alerts of one firing.

    Feeding the same events again, in the same order, changes nothing: after a crash the book is
    restored from the stored alerts and the firing's readings may be watched again from the start.
    """

    def __init__(self, firing: str, kiln: str, alerts: Iterable[Alert] = ()) -> None:
        """``alerts`` are those stored of this firing, in the order in which they were raised."""
        self._firing = firing
        self._kiln = kiln
        self._alerts: dict[str, Alert] = {}
        self._standing: dict[_Key, str] = {}
        self._counts: dict[str, int] = {}
        self._seen: set[_Seen] = set()
        self._latest_s: dict[_Key, float] = {}
        for alert in alerts:
            self._restore(alert)

    @property
    def alerts(self) -> tuple[Alert, ...]:
        """Every alert of the firing, in the order in which they were raised."""
        return tuple(self._alerts.values())

    @property
    def open_alerts(self) -> tuple[Alert, ...]:
        """The alerts that a person should see now, in the order in which they were raised."""
        return tuple(alert for alert in self._alerts.values() if alert.is_open)

    def take(self, event: Event) -> AlertChange | None:
        """What the event changes; ``None`` if it is plain information or already known."""
        if self._is_known(event):
            return None
        if event.state is State.RAISED:
            return self._raise(event)
        return self._clear(event)

    def acknowledge(
        self, alert_id: str, by: str, elapsed_s: float, time: str | None = None
    ) -> AlertChange | None:
        """Somebody has seen the alert; ``None`` if somebody had already.

        An alert that has cleared in the meantime may still be acknowledged. Raises InputError
        for an id that this firing does not have.
        """
        alert = self._alerts.get(alert_id)
        if alert is None:
            raise InputError(f'there is no alert "{alert_id}" in firing {self._firing}')
        if alert.acknowledged_at_s is not None:
            return None
        alert = replace(
            alert, acknowledged_at_s=elapsed_s, acknowledged_time=time, acknowledged_by=by
        )
        return self._change(alert, Step.ACKNOWLEDGED, alert.message, elapsed_s, time)

    def _raise(self, event: Event) -> AlertChange | None:
        if event.severity is Severity.INFO and not _sends_a_person(event):
            return None
        key = _key(event)
        self._remember(key, event.state, event.elapsed_s, event.message)
        standing = self._standing.get(key)
        if standing is not None and (event.kind not in NOTICES or event.kind in _PASSING):
            return self._worsen(self._alerts[standing], event)
        stem = f"{self._firing}.{event.kind.value}.{_slug(event.channel)}"
        number = self._counts.get(stem, 0) + 1
        self._counts[stem] = number
        alert = Alert(
            id=f"{stem}.{number}",
            firing=self._firing,
            kind=event.kind,
            severity=event.severity,
            channel=event.channel,
            message=event.message,
            raised_at_s=event.elapsed_s,
            raised_time=event.time,
            data=dict(event.data),
        )
        self._standing[key] = alert.id
        return self._change(alert, Step.RAISED, event.message, event.elapsed_s, event.time)

    def _worsen(self, alert: Alert, event: Event) -> AlertChange | None:
        """A condition that stands is raised again: news only if it has become more severe."""
        if _RANK[event.severity] <= _RANK[alert.severity]:
            return None
        alert = replace(
            alert, severity=event.severity, message=event.message, data=dict(event.data)
        )
        return self._change(alert, Step.RAISED, event.message, event.elapsed_s, event.time)

    def _clear(self, event: Event) -> AlertChange | None:
        key = _key(event)
        alert_id = self._standing.get(key)
        if alert_id is None:
            return None
        self._remember(key, event.state, event.elapsed_s, event.message)
        del self._standing[key]
        alert = replace(
            self._alerts[alert_id],
            cleared_at_s=event.elapsed_s,
            cleared_time=event.time,
            cleared_message=event.message,
        )
        return self._change(alert, Step.CLEARED, event.message, event.elapsed_s, event.time)

    def _change(
        self, alert: Alert, step: Step, message: str, elapsed_s: float, time: str | None
    ) -> AlertChange:
        alert = replace(alert, messages=alert.messages + 1)
        self._alerts[alert.id] = alert
        return AlertChange(
            alert,
            {
                "id": f"{alert.id}#{alert.messages}",
                "alert": alert.id,
                "firing": alert.firing,
                "kiln": self._kiln,
                "kind": alert.kind.value,
                "severity": alert.severity.value,
                "state": step.value,
                "channel": alert.channel,
                "message": message,
                "elapsed_s": elapsed_s,
                "time": time,
                "by": alert.acknowledged_by if step is Step.ACKNOWLEDGED else None,
                "data": dict(alert.data),
            },
        )

    def _restore(self, alert: Alert) -> None:
        self._alerts[alert.id] = alert
        stem, _, number = alert.id.rpartition(".")
        self._counts[stem] = max(self._counts.get(stem, 0), int(number))
        key = _key(alert)
        self._remember(key, State.RAISED, alert.raised_at_s, alert.message)
        if alert.cleared_at_s is None:
            self._standing[key] = alert.id
            return
        self._standing.pop(key, None)
        self._remember(key, State.CLEARED, alert.cleared_at_s, alert.cleared_message or "")

    def _is_known(self, event: Event) -> bool:
        """True for an event taken before: a firing's events come in the order of their time."""
        key = _key(event)
        latest_s = self._latest_s.get(key)
        if latest_s is None or event.elapsed_s > latest_s:
            return False
        seen = (*key, event.state, event.elapsed_s, event.message)
        return event.elapsed_s < latest_s or seen in self._seen

    def _remember(self, key: _Key, state: State, elapsed_s: float, message: str) -> None:
        self._seen.add((*key, state, elapsed_s, message))
        self._latest_s[key] = max(self._latest_s.get(key, elapsed_s), elapsed_s)


def _key(what: Event | Alert) -> _Key:
    """What tells one alert from another: each cone and each band is a matter of its own."""
    which = None
    if what.kind in _OF_A_CONE:
        which = what.data.get("cone")
    elif what.kind in _OF_A_BAND:
        which = what.data.get("band")
    return (what.kind, what.channel, which)


def _sends_a_person(event: Event) -> bool:
    """True for information worth a walk: of the holds, only the one at the peak is."""
    if event.kind is Kind.HOLD_DONE and event.data.get("is_peak") is False:
        return False
    return event.kind in NOTICES


def _slug(channel: str | None) -> str:
    """The channel's name in an id; two names that come out alike share one count."""
    return "kiln" if channel is None else re.sub(r"[^A-Za-z0-9_-]+", "-", channel) or "-"
