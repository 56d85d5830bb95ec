"""A book over one night, for the tests of reminders, escalation and quiet hours."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from supervisor.core.alerts import Alert, AlertBook, AlertRules, Now
from supervisor.core.alerts.message import AlertChange
from supervisor.core.events import Event, Kind, Severity, State, Value

FIRING = "2026-11-25-a1b2"
BEGINNING = datetime(2026, 11, 25, 20, 0, tzinfo=UTC)
"""The wall clock at elapsed second 0."""
MIN_S = 60.0
QUIET = AlertRules(quiet_from_min=22 * 60, quiet_to_min=7 * 60)
STALLED = "The kiln has all but stopped climbing, 7 minutes now: go and look at the elements."

Message = Mapping[str, object]


def label(elapsed_s: float) -> str:
    return (BEGINNING + timedelta(seconds=elapsed_s)).isoformat(timespec="seconds")


def at(elapsed_s: float, *, knows_the_hour: bool = True, temp_c: float | None = None) -> Now:
    """That moment of the night."""
    shown = BEGINNING + timedelta(seconds=elapsed_s)
    minute = shown.hour * 60 + shown.minute if knows_the_hour else None
    return Now(elapsed_s, label(elapsed_s), minute, temp_c)


class Night:
    """A book that is looked at every ten seconds, and all that it told."""

    def __init__(self, rules: AlertRules | None = None, *, knows_the_hour: bool = True) -> None:
        self.rules = rules or AlertRules()
        self.knows_the_hour = knows_the_hour
        self.book = AlertBook(FIRING, "Big Bertha", rules=self.rules)
        self.now_s = 0.0
        self.told: list[Message] = []
        self.stored: dict[str, Alert] = {}
        self.kept = self.book.kept

    def note(self, change: AlertChange | None) -> None:
        """Store and send, as the record does in one transaction."""
        if change is None:
            return
        self.stored |= {alert.id: alert for alert in change.alerts}
        self.kept = self.book.kept
        if change.message is not None:
            self.told.append(change.message)

    def until(self, elapsed_s: float) -> None:
        """Let the time go by."""
        while self.now_s < elapsed_s:
            self.now_s = min(self.now_s + 10.0, elapsed_s)
            for change in self.book.tick(self._now()):
                self.note(change)

    def happens(
        self,
        elapsed_s: float,
        kind: Kind = Kind.STALL,
        severity: Severity = Severity.WARNING,
        state: State = State.RAISED,
        message: str = STALLED,
        channel: str | None = None,
        data: Mapping[str, Value] | None = None,
    ) -> None:
        self.until(elapsed_s)
        event = Event(
            elapsed_s, kind, severity, state, message, channel, label(elapsed_s), data or {}
        )
        self.note(self.book.take(event, self._now()))

    def is_seen(self, elapsed_s: float, number: int = -1, by: str = "Ann") -> None:
        """Somebody acknowledges an alert; without a number the latest."""
        self.until(elapsed_s)
        self.note(self.book.acknowledge(self.book.alerts[number].id, by, self._now()))

    def dies(self, until_s: float) -> None:
        """The program is killed and started again so much later: what was stored is there."""
        stored = [Alert.from_json(alert.to_json()) for alert in self.stored.values()]
        self.book = AlertBook(FIRING, "Big Bertha", stored, rules=self.rules, kept=self.kept)
        self.now_s = until_s

    def states(self) -> list[tuple[float, object]]:
        """When, in minutes, what was told."""
        return [(float(str(m["elapsed_s"])) / MIN_S, m["state"]) for m in self.told]

    def _now(self) -> Now:
        return at(self.now_s, knows_the_hour=self.knows_the_hour)
