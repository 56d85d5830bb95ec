"""What the watch told of, and what people did about it. Pairs troubles with alerts."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.report.papers import Alarm
from supervisor.core.review import Trouble
from supervisor.core.watch.wording import show_duration

_NAMED = ("cone", "band", "cause", "step")
_SOON_S = 1.0


def alarm_of(trouble: Trouble, alarms: Sequence[Alarm]) -> Alarm | None:
    """The alert of a trouble: of its kind, channel and name, standing when it began."""

    def is_its(alarm: Alarm) -> bool:
        if (alarm.kind, alarm.channel) != (trouble.kind, trouble.channel):
            return False
        if any(alarm.data.get(name) != trouble.data.get(name) for name in _NAMED):
            return False
        until_s = alarm.ended_s
        return alarm.raised_s <= trouble.began_s + _SOON_S and (
            until_s is None or until_s >= trouble.began_s
        )

    mine = [alarm for alarm in alarms if is_its(alarm)]
    return max(mine, key=lambda alarm: alarm.raised_s, default=None)


def stood_s(trouble: Trouble, last_s: float) -> float:
    """How long it stood; to the end of the log where nothing ended it."""
    return (last_s if trouble.ended_s is None else trouble.ended_s) - trouble.began_s


def handled(alarm: Alarm | None) -> str:
    """What people did, in a few words."""
    if alarm is None:
        return "nobody was told"
    said = []
    if alarm.reminders:
        times = {1: "once", 2: "twice"}.get(alarm.reminders, f"{alarm.reminders} times")
        said.append(f"told again {times}")
    if alarm.escalated_s is not None:
        said.append(f"told to others after {show_duration(alarm.escalated_s - alarm.raised_s)}")
    if alarm.acknowledged_s is None:
        said.append("nobody acknowledged it")
    else:
        by = f" by {alarm.acknowledged_by}" if alarm.acknowledged_by else ""
        after = show_duration(max(alarm.acknowledged_s - alarm.raised_s, 0.0))
        said.append(f"acknowledged{by} after {after}")
    return ", ".join(said)
