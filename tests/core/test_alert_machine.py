"""Whatever happens in whatever order: the promises of the alert book hold, also over crashes."""

from __future__ import annotations

import hypothesis.strategies as st
from hypothesis import settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from supervisor.core.alerts import NOTICES, Alert, AlertBook, AlertChange, AlertRules, Now
from supervisor.core.events import Event, Kind, Severity, State

HOUR_S = 3600.0
RULES = [
    AlertRules(),
    AlertRules(gather_s=0.0, flapping_every_s=0.0),
    AlertRules(quiet_from_min=22 * 60, quiet_to_min=7 * 60),
    AlertRules(quiet_from_min=1 * 60, quiet_to_min=6 * 60, remind_warning_s=0.0),
    AlertRules(remind_critical_s=60.0, escalate_s=30.0, remind_warning_s=120.0),
]
CONDITIONS = {
    Kind.STALL: Severity.WARNING,
    Kind.LAGGING: Severity.WARNING,
    Kind.UNEVEN: Severity.WARNING,
    Kind.HEAT_LOST: Severity.CRITICAL,
    Kind.SENSOR_FAULT: Severity.WARNING,
}


class Nights(RuleBasedStateMachine):
    """A book, and beside it one that is restored from storage after every single change."""

    @initialize(rules=st.sampled_from(RULES), start=st.integers(0, 1439))
    def begin(self, rules: AlertRules, start: int) -> None:
        self.alert_rules = rules
        self.start_min = start
        self.now_s = 0.0
        self.knows_the_hour = True
        self.book = AlertBook("f", "k", rules=rules)
        self.stored: dict[str, str] = {}
        self.kept = self.book.kept
        self.told: list[dict[str, object]] = []
        self.told_at_s: list[float] = []
        self.worst: dict[str, Severity] = {}

    def now(self) -> Now:
        minute = (self.start_min + int(self.now_s // 60.0)) % 1440
        return Now(self.now_s, None, minute if self.knows_the_hour else None)

    def restored(self) -> AlertBook:
        alerts = [Alert.from_json(line) for line in self.stored.values()]
        return AlertBook("f", "k", alerts, rules=self.alert_rules, kept=self.kept)

    def note(self, changes: list[AlertChange], again: list[AlertChange]) -> None:
        """What the steady book and the restored one say is the same, to the letter."""
        assert changes == again
        for change in changes:
            self.stored |= {alert.id: alert.to_json() for alert in change.alerts}
            if change.message is not None:
                self.told.append(dict(change.message))
                self.told_at_s.append(self.now_s)
        self.kept = self.book.kept

    def take(self, event: Event) -> None:
        again, before = self.restored(), len(self.told)
        one, other = self.book.take(event, self.now()), again.take(event, self.now())
        self.note([one] if one else [], [other] if other else [])
        assert self.book.take(event, self.now()) is None, "the same event again is no news"
        assert again.kept == self.book.kept
        if one is not None and one.alert.severity is Severity.CRITICAL:
            assert len(self.told) == before + 1, "a critical alert never waits"
            assert self.told[-1]["alert"] == one.alert.id

    @rule(seconds=st.sampled_from([0.0, 1.0, 20.0, 61.0, 400.0, HOUR_S, 9 * HOUR_S]))
    def time_goes_by(self, seconds: float) -> None:
        self.now_s += seconds
        before = {a.id: a for a in self.book.alerts}
        again, told = self.restored(), len(self.told)
        changes = self.book.tick(self.now())
        self.note(changes, again.tick(self.now()))
        assert again.kept == self.book.kept
        assert self.book.tick(self.now()) == [], "all that was due is told at once, once"
        for message in self.told[told:]:
            if message["state"] in ("reminded", "escalated"):
                alert = before[str(message["alert"])]
                assert alert.acknowledged_at_s is None, "what is acknowledged is let be"
                assert alert.cleared_at_s is None, "what is over is let be"
            parts = message.get("alerts", [])
            assert isinstance(parts, list)
            for part in parts:
                over = {"acknowledged", "cleared"} & set(part["states"])
                assert not over or "reminded" not in part["states"]
        quiet = self.alert_rules.is_quiet(self.now().minute)
        for message in self.told[told:]:
            assert not quiet or message["severity"] == "critical", "only that breaks the quiet"

    @rule(kind=st.sampled_from(sorted(CONDITIONS)), channel=st.sampled_from([None, "top"]))
    def a_condition_comes(self, kind: Kind, channel: str | None) -> None:
        self.now_s += 1.0
        self.take(self.event(kind, CONDITIONS[kind], State.RAISED, channel))

    @rule(kind=st.sampled_from(sorted(CONDITIONS)), channel=st.sampled_from([None, "top"]))
    def a_condition_goes(self, kind: Kind, channel: str | None) -> None:
        self.now_s += 1.0
        self.take(self.event(kind, CONDITIONS[kind], State.CLEARED, channel))

    @rule(kind=st.sampled_from([Kind.LAGGING, Kind.SENSOR_FAULT]))
    def a_condition_worsens(self, kind: Kind) -> None:
        self.now_s += 1.0
        self.take(self.event(kind, Severity.CRITICAL, State.RAISED, None))

    @rule(kind=st.sampled_from(sorted(NOTICES)))
    def there_is_news(self, kind: Kind) -> None:
        self.now_s += 1.0
        self.take(self.event(kind, Severity.INFO, State.RAISED, None))

    @rule(number=st.integers(0, 5), by=st.sampled_from(["Ann", "Bob"]))
    @precondition(lambda self: self.book.alerts)
    def somebody_looks(self, number: int, by: str) -> None:
        alerts = self.book.alerts
        alert = alerts[number % len(alerts)]
        again = self.restored()
        one = self.book.acknowledge(alert.id, by, self.now())
        other = again.acknowledge(alert.id, by, self.now())
        self.note([one] if one else [], [other] if other else [])
        assert (one is None) == (alert.acknowledged_at_s is not None)

    @rule()
    def the_program_is_killed(self) -> None:
        self.book = self.restored()

    @rule()
    def the_wall_clock_is_doubted_or_believed(self) -> None:
        self.knows_the_hour = not self.knows_the_hour

    @invariant()
    def every_message_has_an_id_of_its_own_and_an_alerts_are_in_order(self) -> None:
        ids = [str(message["id"]) for message in self.told]
        assert len(set(ids)) == len(ids)
        numbers: dict[str, int] = {}
        for name in ids:
            stem, _, number = name.rpartition("#")
            assert int(number) == numbers.get(stem, 0) + 1
            numbers[stem] = int(number)

    @invariant()
    def what_is_stored_is_what_the_book_knows(self) -> None:
        assert [a.to_json() for a in self.book.alerts] == list(self.stored.values())
        assert all(not a.untold for a in self.book.alerts if a.severity is Severity.CRITICAL)

    @invariant()
    def nothing_is_lost(self) -> None:
        """Every raising has been told, by itself or in a summary, or is known to wait."""
        spoken = {str(m["alert"]) for m in self.told if m["state"] == "raised"}
        for message in self.told:
            parts = message.get("alerts", [])
            assert isinstance(parts, list)
            spoken |= {part["alert"] for part in parts if "raised" in part["states"]}
        for alert in self.book.alerts:
            assert (alert.id in spoken) or alert.untold

    def event(self, kind: Kind, severity: Severity, state: State, channel: str | None) -> Event:
        return Event(self.now_s, kind, severity, state, f"{kind} {self.now_s}: look.", channel)


TestNights = Nights.TestCase
TestNights.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
