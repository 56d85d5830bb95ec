"""A firing of the record with everything that its report is made from.

Knows where the record keeps it and how clocks are written; works nothing out and draws nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime, timedelta

from supervisor.core.defects import DEFECTS
from supervisor.core.report import Alarm, Found, Papers, Told
from supervisor.core.report.names import TOPICS
from supervisor.core.review import FiringFacts
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.units import Unit
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.photos import PhotoFiles
from supervisor.record.photos_shown import Shrink, photos_shown
from supervisor.record.reviewed import facts_from, plan_of, reviewer_of
from supervisor.record.rows import Firing, Mode
from supervisor.record.unloading import Account

OFTEN_S = 5.0
"""A kiln's facts are the same to a tenth of a degree, in a fraction of the time."""


def papers_of(
    record: RecordReader,
    firing: Firing,
    unit: Unit | None = None,
    *,
    photos: PhotoFiles | None = None,
    shrink: Shrink | None = None,
) -> Papers:
    """The papers of a firing, in ``unit`` or else in the scale that it was fired in.

    ``photos`` says where its photos lie, if they are to be shown; ``shrink`` makes them smaller.
    """
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
        accounts=tuple(_told(record.accounts(firing.id))),
        findings=tuple(
            Found(_name_of(one.key), one.place, one.level, one.text or "")
            for one in record.findings(firing.id)
        ),
        photos=() if photos is None else photos_shown(record.photos(firing.id), photos, shrink),
        begun=_begun(firing.started_label),
        clock=clock_of(firing.started_label),
        is_open=firing.is_open,
        is_simulated=firing.mode is Mode.SIMULATION,
        messages_unit=firing.units if kept is None else kept.units,
    )


def _told(accounts: Iterable[Account]) -> Iterator[tuple[str, str]]:
    """Heading and text of each account: load, glazes, result, others, what was traced."""
    order = list(TOPICS)
    for one in sorted(
        accounts,
        key=lambda account: (
            order.index(account.topic) if account.topic in TOPICS else len(order) - 1.5,
            account.topic,
        ),
    ):
        yield TOPICS.get(one.topic, _name_of(one.topic).capitalize()), one.text


def _name_of(key: str) -> str:
    """A finding's or topic's key for people: the defect's own name where it is one."""
    if key in _DEFECT_NAMES:
        return _DEFECT_NAMES[key]
    return " ".join(key.replace("-", " ").replace("_", " ").replace(".", " ").split()) or key


_DEFECT_NAMES = {kind.value: one.title for kind, one in DEFECTS.items()}


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
