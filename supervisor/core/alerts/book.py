"""The alert book of one firing: raised, told again, acknowledged, passed on, over.

Whatever happens to a critical alert is told at once. Whatever happens to another one waits where
something was told less than a minute ago, and through the quiet hours, and is then told together.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import TypeAlias

from supervisor.core.alerts.alert import NOTICES, Alert, Step
from supervisor.core.alerts.message import AlertChange, Writer
from supervisor.core.alerts.rules import FLAPS, FLAPS_WITHIN_S, AlertRules, Now
from supervisor.core.alerts.sorts import PASSING, RANK, Key, concerns_a_person, key_of, slug
from supervisor.core.errors import InputError
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.reasons import Reason
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words

_Seen: TypeAlias = tuple[Key, State, float, str]

_BREAKS_IN = frozenset({Step.RAISED, Step.REMINDED})
"""What makes a phone sound; what follows soon is told together. That something is over, or that
somebody has acknowledged it, keeps nothing back."""


class AlertBook:
    """The alerts of one firing.

    Feeding the same events again, in the same order, changes nothing: after a crash the book is
    restored from the stored alerts and what was ``kept``, and the firing's readings may be
    watched again from the start.
    """

    def __init__(
        self,
        firing: str,
        kiln: str,
        alerts: Iterable[Alert] = (),
        *,
        rules: AlertRules | None = None,
        words: Words | None = None,
        kiln_kind: str | None = None,
        kept: str | None = None,
    ) -> None:
        """``alerts`` are those stored of this firing, in the order in which they were raised,
        ``kept`` is what ``kept`` gave with the last of their changes. ``words`` is the firing's
        scale.

        Raises InputError where ``kept`` is nothing that a book gave.
        """
        self._firing = firing
        self._rules = rules or AlertRules()
        self._writer = Writer(kiln, words or Words(Unit.C), kiln_kind)
        self._alerts: dict[str, Alert] = {}
        self._standing: dict[Key, str] = {}
        self._of_key: dict[Key, list[str]] = {}
        self._counts: dict[str, int] = {}
        self._seen: set[_Seen] = set()
        self._latest_s: dict[Key, float] = {}
        self._gathers_until_s: float | None = None
        self._summaries = 0
        for alert in alerts:
            self._restore(alert)
        if kept is not None:
            self._gathers_until_s, self._summaries = _parse(kept)

    @property
    def alerts(self) -> tuple[Alert, ...]:
        """Every alert of the firing, in the order in which they were raised."""
        return tuple(self._alerts.values())

    @property
    def open_alerts(self) -> tuple[Alert, ...]:
        """The alerts that a person should see now, in the order in which they were raised."""
        return tuple(alert for alert in self._alerts.values() if alert.is_open)

    @property
    def kept(self) -> str:
        """What is to be stored with each change beside the alerts, as one line of JSON."""
        return json.dumps(
            {"gathers_until_s": self._gathers_until_s, "summaries": self._summaries},
            allow_nan=False,
        )

    def take(self, event: Event, now: Now | None = None) -> AlertChange | None:
        """What the event changes; ``None`` if it is plain information or already known.

        ``now`` is when it is taken, if that is not when it happened.
        """
        if self._is_known(event):
            return None
        now = now or Now(event.elapsed_s, event.time)
        if event.state is State.RAISED:
            return self._raise(event, now)
        return self._clear(event, now)

    def acknowledge(
        self, alert_id: str, by: str, now: Now | float, time: str | None = None
    ) -> AlertChange | None:
        """Somebody has seen the alert; ``None`` if somebody had already.

        An alert that has cleared in the meantime may still be acknowledged. ``now`` may be given
        as elapsed seconds and label. Raises InputError for an id that this firing does not have.
        """
        if not isinstance(now, Now):
            now = Now(now, time)
        alert = self._alerts.get(alert_id)
        if alert is None:
            raise InputError(f'there is no alert "{alert_id}" in firing {self._firing}').because(
                Reason.NO_ALERT
            )
        if alert.acknowledged_at_s is not None:
            return None
        alert = replace(
            alert,
            acknowledged_at_s=now.elapsed_s,
            acknowledged_time=now.time,
            acknowledged_by=by,
        )
        return self._happens(alert, Step.ACKNOWLEDGED, now)

    def tick(self, now: Now, *, is_watched: bool = True) -> list[AlertChange]:
        """What is due by now: reminders, what goes to others too, what waited to be told.

        Each is told once, however much later than it was due. With ``is_watched`` false nobody
        looks at the kiln any more, and nothing that stands is told again.
        """
        changes = []
        if is_watched:
            for alert in list(self._alerts.values()):
                change = self._told_again(alert, now) if alert.is_unanswered else None
                if change is not None:
                    changes.append(change)
        told = self._tell_waiting(now)
        return changes if told is None else [*changes, told]

    def tell_all(self, now: Now) -> AlertChange | None:
        """Tell what still waits, whatever the hour: the firing is left for good."""
        return self._tell_waiting(now, at_once=True)

    def end_all(self, now: Now, message: str, *, but: Collection[Kind] = ()) -> list[AlertChange]:
        """Let everything that stands be over, which ``message`` says why; but for these kinds.

        For when no event will tell of its end any more. News that nobody has read stays unread.
        """
        changes = []
        for key, alert_id in list(self._standing.items()):
            kind = key[0]
            if kind in but or (kind in NOTICES and kind not in PASSING):
                continue
            self._remember(key, State.CLEARED, now.elapsed_s, message)
            del self._standing[key]
            alert = replace(
                self._alerts[alert_id],
                cleared_at_s=now.elapsed_s,
                cleared_time=now.time,
                cleared_message=message,
            )
            changes.append(self._happens(alert, Step.CLEARED, now))
        return changes

    def _raise(self, event: Event, now: Now) -> AlertChange | None:
        if not concerns_a_person(event):
            return None
        key = key_of(event)
        self._remember(key, event.state, event.elapsed_s, event.message)
        standing = self._standing.get(key)
        if standing is not None and (event.kind not in NOTICES or event.kind in PASSING):
            return self._worsen(self._alerts[standing], event, now)
        stem = f"{self._firing}.{event.kind.value}.{slug(event.channel)}"
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
        self._of_key.setdefault(key, []).append(alert.id)
        return self._happens(alert, Step.RAISED, now)

    def _worsen(self, alert: Alert, event: Event, now: Now) -> AlertChange | None:
        """A condition that stands is raised again: news only if it has become more severe.

        Who acknowledged it had seen the lesser thing.
        """
        if RANK[event.severity] <= RANK[alert.severity]:
            return None
        alert = replace(
            alert,
            severity=event.severity,
            message=event.message,
            data=dict(event.data),
            worsened_at_s=event.elapsed_s,
            worsened_time=event.time,
            acknowledged_at_s=None,
            acknowledged_time=None,
            acknowledged_by=None,
            untold=(),
            late_s=None,
        )
        return self._happens(alert, Step.RAISED, now)

    def _clear(self, event: Event, now: Now) -> AlertChange | None:
        key = key_of(event)
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
        return self._happens(alert, Step.CLEARED, now)

    def _happens(self, alert: Alert, step: Step, now: Now) -> AlertChange:
        """Tell it at once, or let it wait for others."""
        if alert.severity is Severity.CRITICAL:
            return self._tell(alert, step, now, None)
        if step is Step.ACKNOWLEDGED and not alert.untold and not self._rules.is_quiet(now.minute):
            # Nobody else should walk: that is worth a message of its own.
            return self._tell(alert, step, now, None)
        waits = self._wait(alert, step, None)
        told = self._tell_waiting(now)
        return waits if told is None else told

    def _wait(self, alert: Alert, step: Step, late_s: float | None) -> AlertChange:
        """Let it wait. Of what is acknowledged or over nobody is reminded."""
        earlier = tuple(before for before in alert.untold if before is not Step.REMINDED)
        waits = replace(alert, untold=(*earlier, step), late_s=late_s)
        self._alerts[alert.id] = waits
        return AlertChange((waits,), None)

    def _told_again(self, alert: Alert, now: Now) -> AlertChange | None:
        """A reminder of a condition that nobody has acknowledged, or a word to others, if due."""
        if alert.untold:
            return None
        told_s = alert.raised_at_s if alert.told_at_s is None else alert.told_at_s
        rules = self._rules
        if (
            alert.severity is Severity.CRITICAL
            and alert.escalated_at_s is None
            and rules.escalate_s > 0.0
            and now.elapsed_s >= told_s + rules.escalate_s
        ):
            late_s = self._late_s(told_s + rules.escalate_s, now)
            return self._tell(alert, Step.ESCALATED, now, late_s)
        spacing_s = rules.spacing_s(alert.severity, alert.reminders)
        last_s = told_s if alert.reminded_at_s is None else alert.reminded_at_s
        if spacing_s is None or now.elapsed_s < last_s + spacing_s:
            return None
        late_s = self._late_s(last_s + spacing_s, now)
        if alert.severity is Severity.CRITICAL:
            return self._tell(alert, Step.REMINDED, now, late_s)
        return self._wait(alert, Step.REMINDED, late_s)

    def _late_s(self, due_s: float, now: Now) -> float | None:
        late_s = now.elapsed_s - due_s
        return late_s if late_s > self._rules.late_s else None

    def _tell_waiting(self, now: Now, *, at_once: bool = False) -> AlertChange | None:
        """Tell what waits, if it need not wait any longer: one thing as itself, more as one."""
        waiting = [alert for alert in self._alerts.values() if alert.untold]
        until_s = self._gathers_until_s
        if not waiting:
            return None
        if not at_once and (
            self._rules.is_quiet(now.minute)
            or (until_s is not None and now.elapsed_s < until_s)
            or all(self._flaps(alert, now) for alert in waiting)
        ):
            return None
        if len(waiting) == 1 and len(waiting[0].untold) == 1:
            (alert,) = waiting
            return self._tell(alert, alert.untold[0], now, alert.late_s)
        self._summaries += 1
        message = self._writer.of_several(
            f"{self._firing}.summary#{self._summaries}", self._firing, waiting, now
        )
        told = []
        for alert in waiting:
            after = alert
            for step in alert.untold:
                after = self._after(after, step, now)
            told.append(after)
        return AlertChange(tuple(told), message)

    def _flaps(self, alert: Alert, now: Now) -> bool:
        """Whether it comes and goes, and was told of not long ago."""
        if alert.kind in NOTICES:
            return False
        ids = self._of_key[key_of(alert)]
        place = ids.index(alert.id)
        first = place - FLAPS + 1
        if first < 0:
            return False
        if self._alerts[ids[first]].raised_at_s < alert.raised_at_s - FLAPS_WITHIN_S:
            return False
        told_s = (self._alerts[one].told_at_s for one in reversed(ids))
        latest_s = next((at_s for at_s in told_s if at_s is not None), None)
        every_s = self._rules.flapping_every_s
        return latest_s is not None and now.elapsed_s < latest_s + every_s

    def _tell(self, alert: Alert, step: Step, now: Now, late_s: float | None) -> AlertChange:
        before = replace(alert, messages=alert.messages + 1)
        if step is Step.ESCALATED:
            before = replace(before, escalated_at_s=now.elapsed_s, escalated_time=now.time)
        message = self._writer.of_one(before, step, now, late_s)
        return AlertChange((self._after(before, step, now),), message)

    def _after(self, alert: Alert, step: Step, now: Now) -> Alert:
        """The alert once a step has been told; it is the book's from now on."""
        alert = replace(alert, untold=(), late_s=None)
        if step is Step.RAISED:
            alert = replace(
                alert,
                told_at_s=now.elapsed_s,
                reminders=0,
                reminded_at_s=None,
                reminded_time=None,
                escalated_at_s=None,
                escalated_time=None,
            )
        elif step in (Step.REMINDED, Step.ESCALATED):
            alert = replace(
                alert,
                reminders=alert.reminders + 1,
                reminded_at_s=now.elapsed_s,
                reminded_time=now.time,
            )
        if step in _BREAKS_IN and alert.severity is not Severity.CRITICAL:
            self._gathers_until_s = now.elapsed_s + self._rules.gather_s
        self._alerts[alert.id] = alert
        return alert

    def _restore(self, alert: Alert) -> None:
        self._alerts[alert.id] = alert
        stem, _, number = alert.id.rpartition(".")
        self._counts[stem] = max(self._counts.get(stem, 0), int(number))
        key = key_of(alert)
        self._of_key.setdefault(key, []).append(alert.id)
        begun_s = alert.raised_at_s if alert.worsened_at_s is None else alert.worsened_at_s
        self._remember(key, State.RAISED, begun_s, alert.message)
        if alert.cleared_at_s is None:
            self._standing[key] = alert.id
            return
        self._standing.pop(key, None)
        self._remember(key, State.CLEARED, alert.cleared_at_s, alert.cleared_message or "")

    def _is_known(self, event: Event) -> bool:
        """True for an event taken before: a firing's events come in the order of their time."""
        key = key_of(event)
        latest_s = self._latest_s.get(key)
        if latest_s is None or event.elapsed_s > latest_s:
            return False
        seen = (key, event.state, event.elapsed_s, event.message)
        return event.elapsed_s < latest_s or seen in self._seen

    def _remember(self, key: Key, state: State, elapsed_s: float, message: str) -> None:
        self._seen.add((key, state, elapsed_s, message))
        self._latest_s[key] = max(self._latest_s.get(key, elapsed_s), elapsed_s)


def _parse(kept: str) -> tuple[float | None, int]:
    try:
        fields = json.loads(kept)
        until_s = fields["gathers_until_s"]
        return None if until_s is None else float(until_s), int(fields["summaries"])
    except (ValueError, KeyError, TypeError) as error:
        raise InputError(f"this is not what an alert book keeps ({error})") from None
