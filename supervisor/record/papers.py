"""A firing of the record with everything that its report is made from.

Knows where the record keeps it and how clocks are written; works nothing out and draws nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from supervisor.core.report import Alarm, Papers, Told
from supervisor.core.review import FiringFacts
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.units import Unit
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import facts_from, plan_of, reviewer_of
from supervisor.record.rows import Firing, Mode

OFTEN_S = 5.0
"""A kiln's facts are the same to a tenth of a degree, in a fraction of the time."""


def papers_of(record: RecordReader, firing: Firing, unit: Unit | None = None) -> Papers:
    """The papers of a firing, in ``unit`` or else in the scale that it was fired in."""
    reviewer = reviewer_of(record, firing, every_s=OFTEN_S)
    facts = facts_from(record, firing, reviewer)
    schedule = plan_of(firing)
    kept = WatchSettings.of_kept(firing.settings.get("watch"))
    alerts = record.alerts(firing.id)
    is_told = bool(alerts) or firing.mode is not Mode.IMPORT
    return Papers(
        firing=firing.id,
        kiln=firing.kiln,
        name=firing.name,
        unit=unit or firing.units,
        facts=facts,
        trace=reviewer.trace,
        timeline=_laid(schedule, facts),
        alarms=tuple(
            Alarm(
                alert.kind,
                alert.channel,
                dict(alert.data),
                alert.raised_at_s,
                alert.cleared_at_s,
                alert.acknowledged_at_s,
                alert.acknowledged_by,
                alert.reminders,
                alert.escalated_at_s,
            )
            for alert in alerts
        )
        if is_told
        else None,
        notes=tuple(Told(note.elapsed_s, note.text, note.by) for note in record.notes(firing.id)),
        begun=_begun(firing.started_label),
        clock=clock_of(firing.started_label),
        is_open=firing.is_open,
        is_simulated=firing.mode is Mode.SIMULATION,
        messages_unit=firing.units if kept is None else kept.units,
    )


def _laid(schedule: Schedule | None, facts: FiringFacts) -> Timeline | None:
    """The plan from the temperature at which the kiln began it."""
    if schedule is None or not facts.steps:
        return None
    return Timeline(schedule, facts.steps[0].planned.from_c)


def _when(label: str | None) -> datetime | None:
    try:
        return None if label is None else datetime.fromisoformat(label)
    except ValueError:
        return None


def _begun(label: str | None) -> str | None:
    when = _when(label)
    return None if when is None else f"{when:%A} {when.day} {when:%B %Y at %H:%M}"


def clock_of(label: str | None) -> Callable[[float], str | None]:
    """The time of day of each second of a firing whose second 0 has this label."""
    begun = _when(label)

    def clock(elapsed_s: float) -> str | None:
        return None if begun is None else f"{begun + timedelta(seconds=elapsed_s):%a %H:%M}"

    return clock
