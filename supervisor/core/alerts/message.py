"""What a message about an alert, or about several, looks like. Knows words, not when it is due."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from supervisor.core.alerts.alert import Alert, Step
from supervisor.core.alerts.rules import Now
from supervisor.core.alerts.sorts import RANK
from supervisor.core.alerts.standing import standing_message, standing_s
from supervisor.core.alerts.titles import title_of
from supervisor.core.watch.wording import Words, show_clock, show_duration

_TOLD_AGAIN = frozenset({Step.REMINDED, Step.ESCALATED})


@dataclass(frozen=True, slots=True)
class AlertChange:
    """Alerts to store and the message to send, together or not at all.

    ``message`` is ready for JSON; None where what has changed is to be told later. Its ``id`` is
    one message's own, so that a receiver can drop a repeat; its ``alert`` ties the messages of
    one alert to each other.
    """

    alerts: tuple[Alert, ...]
    message: Mapping[str, object] | None

    @property
    def alert(self) -> Alert:
        """The alert; of a summary, the first."""
        return self.alerts[0]

    def message_json(self) -> str:
        """The message as one line of JSON. Raises ValueError where there is none."""
        if self.message is None:
            raise ValueError("what has changed is to be told later")
        return json.dumps(self.message, ensure_ascii=False, allow_nan=False)


class Writer:
    """Writes the messages of one firing, in its scale and for its sort of kiln."""

    def __init__(self, kiln: str, words: Words, kiln_kind: str | None) -> None:
        self._kiln = kiln
        self._words = words
        self._kiln_kind = kiln_kind

    def of_one(self, alert: Alert, step: Step, now: Now, late_s: float | None) -> dict[str, object]:
        """The message that ``step`` has happened to ``alert``."""
        elapsed_s, time = _when(alert, step, now)
        return {
            "id": f"{alert.id}#{alert.messages}",
            "alert": alert.id,
            "firing": alert.firing,
            "kiln": self._kiln,
            "kind": alert.kind.value,
            "severity": alert.severity.value,
            "state": step.value,
            "title": title_of(alert.kind, alert.channel, alert.data),
            "channel": alert.channel,
            "message": self._text(alert, step, now, late_s),
            "elapsed_s": elapsed_s,
            "time": time,
            "standing_s": round(standing_s(alert, _until_s(alert, now)), 1),
            "late_s": None if late_s is None else round(late_s, 1),
            "escalated": alert.escalated_at_s is not None,
            "by": alert.acknowledged_by if step is Step.ACKNOWLEDGED else None,
            "data": dict(alert.data),
        }

    def of_several(
        self, message_id: str, firing: str, alerts: Sequence[Alert], now: Now
    ) -> dict[str, object]:
        """One message for everything that is still untold of ``alerts``."""
        parts = [self._part(alert, now) for alert in alerts]
        worst = max((alert.severity for alert in alerts), key=RANK.__getitem__)
        late = [alert.late_s for alert in alerts if alert.late_s is not None]
        return {
            "id": message_id,
            "alert": None,
            "firing": firing,
            "kiln": self._kiln,
            "kind": None,
            "severity": worst.value,
            "state": Step.SUMMARY.value,
            "title": summary_title(len(parts)),
            "channel": None,
            "message": "\n".join(str(part["message"]) for part in parts),
            "elapsed_s": now.elapsed_s,
            "time": now.time,
            "standing_s": None,
            "late_s": round(max(late), 1) if late else None,
            "escalated": False,
            "by": None,
            "data": {},
            "alerts": parts,
        }

    def _part(self, alert: Alert, now: Now) -> dict[str, object]:
        return {
            "alert": alert.id,
            "kind": alert.kind.value,
            "severity": alert.severity.value,
            "states": [step.value for step in alert.untold],
            "channel": alert.channel,
            "message": self._line(alert, now),
            "elapsed_s": alert.raised_at_s,
            "time": alert.raised_time,
            "cleared_at_s": alert.cleared_at_s,
            "data": dict(alert.data),
        }

    def _line(self, alert: Alert, now: Now) -> str:
        """An alert of a summary, on a line of its own: when, what, and what became of it."""
        title = title_of(alert.kind, alert.channel, alert.data)
        steps = alert.untold
        at = _clock(alert.raised_time, alert.raised_at_s)
        if Step.CLEARED in steps:
            over = _clock(alert.cleared_time, alert.cleared_at_s or 0.0)
            began = f", from {at}" if Step.RAISED in steps else ""
            return f"{over}: Over: {title}{began}. {alert.cleared_message or 'It is over.'}"
        if Step.REMINDED in steps:
            text = self._text(alert, Step.REMINDED, now, alert.late_s)
        elif Step.RAISED in steps:
            text = alert.message
        else:
            at = _clock(alert.acknowledged_time, alert.acknowledged_at_s or 0.0)
            text = f"{title}."
        # Who reads it in the morning is not sent to what somebody has seen to.
        seen = f" Acknowledged by {alert.acknowledged_by}." if Step.ACKNOWLEDGED in steps else ""
        return f"{at}: {text}{seen}"

    def _text(self, alert: Alert, step: Step, now: Now, late_s: float | None) -> str:
        if step is Step.CLEARED:
            return alert.cleared_message or "It is over."
        if step not in _TOLD_AGAIN:
            return alert.message
        text = standing_message(alert, now, self._words, self._kiln_kind)
        if step is Step.ESCALATED:
            told_s = alert.raised_at_s if alert.told_at_s is None else alert.told_at_s
            unanswered = show_duration(now.elapsed_s - told_s)
            text = f"Nobody has acknowledged this for {unanswered}. {text}"
        if late_s is not None:
            text = f"Late by {show_duration(late_s)}, for nobody watched meanwhile. {text}"
        return text


def summary_title(count: int) -> str:
    """The title of a message about ``count`` alerts."""
    return "One thing to know of" if count == 1 else f"{count} things to know of"


def _when(alert: Alert, step: Step, now: Now) -> tuple[float, str | None]:
    """When what a message tells of has happened, which may be before it is told."""
    if step is Step.CLEARED and alert.cleared_at_s is not None:
        return alert.cleared_at_s, alert.cleared_time
    if step is Step.ACKNOWLEDGED and alert.acknowledged_at_s is not None:
        return alert.acknowledged_at_s, alert.acknowledged_time
    if step is Step.RAISED:
        worse_s = alert.worsened_at_s
        if worse_s is not None:
            return worse_s, alert.worsened_time
        return alert.raised_at_s, alert.raised_time
    return now.elapsed_s, now.time


def _until_s(alert: Alert, now: Now) -> float:
    return now.elapsed_s if alert.cleared_at_s is None else alert.cleared_at_s


def _clock(time: str | None, elapsed_s: float) -> str:
    """Hour and minute of a label; without one, of the firing's own clock."""
    if time is not None and len(time) >= 16:
        return time[11:16]
    return f"{show_clock(elapsed_s)} into the firing"
