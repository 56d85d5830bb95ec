"""A firing of the record looked back on: its plan, settings, notes and cones handed to the core.

Knows where the record keeps what ``supervisor.core.review`` wants to know, and works nothing out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from supervisor.core.errors import InputError
from supervisor.core.heatwork import Correction
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.review import FiringFacts, Remark, Reviewer, Trace
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.trends import Cooling, FiringPoint, point_of, usual_cooling
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, SeenFiring

TREND_EVERY_S = 10.0
"""A reading in so many seconds tells a trend as well as all, and sooner."""


def plan_of(firing: Firing) -> Schedule | None:
    """The plan that the firing was kept with, None where there was none."""
    if firing.schedule_toml is None:
        return None
    return parse_schedule(firing.schedule_toml, f"the plan of firing {firing.id}")


def readable_plan_of(firing: Firing) -> Schedule | None:
    """The same, None also where it was written by the rules of another version."""
    try:
        return plan_of(firing)
    except InputError:
        return None


def settings_at_end(record: RecordReader, firing: Firing) -> WatchSettings:
    """The tolerances that the firing was watched with, and the corrections in force at its end."""
    kept = WatchSettings.of_kept(firing.settings.get("watch"))
    settings = WatchSettings(units=firing.units) if kept is None else kept
    corrections = dict(settings.corrections)
    for change in record.offset_changes(firing.id):
        if change.offset is None:
            corrections.pop(change.channel, None)
        else:
            corrections[change.channel] = Correction(change.offset.mean_c, change.offset.sigma_c)
    return replace(settings, corrections=corrections)


def new_reviewer(record: RecordReader, firing: Firing) -> Reviewer:
    """What takes the firing's readings in; without its plan, where that can't be read."""
    plan = readable_plan_of(firing)
    return Reviewer(firing.channels, plan, settings_at_end(record, firing))


def reviewer_of(record: RecordReader, firing: Firing, *, every_s: float = 0.0) -> Reviewer:
    """The firing's readings, taken in; ``every_s`` passes over those that come sooner.

    Once in five or ten seconds tells the same to a tenth of a degree, in a fraction of the time.
    """
    reviewer = new_reviewer(record, firing)
    for reading in thinned(record.readings(firing.id), every_s):
        reviewer.feed(reading)
    return reviewer


def facts_of(record: RecordReader, firing: Firing, *, every_s: float = 0.0) -> FiringFacts:
    """What the firing was, so far; ``every_s`` as in ``reviewer_of``."""
    return facts_from(record, firing, reviewer_of(record, firing, every_s=every_s))


def facts_from(record: RecordReader, firing: Firing, reviewer: Reviewer) -> FiringFacts:
    """The facts of a firing whose readings were taken in already."""
    return reviewer.facts(record.events(firing.id), *told_of(record, firing))


def told_of(record: RecordReader, firing: Firing) -> tuple[list[Remark], list[Observation]]:
    """What people have written of the firing: its notes, and their looks at real cones."""
    return (
        [Remark(note.elapsed_s, note.text) for note in record.notes(firing.id)],
        [kept.seen for kept in record.observations(firing.id)],
    )


def points_of(
    record: RecordReader,
    history: Sequence[SeenFiring],
    *,
    every_s: float = TREND_EVERY_S,
    before: Sequence[FiringPoint] = (),
) -> list[FiringPoint]:
    """What goes into trends of these firings of a kiln, oldest first.

    Firings that go on, and those in which the kiln never was hot, are left out. ``before`` are
    the points of the kiln's earlier firings, which are not among those that are given back.
    """
    points: list[FiringPoint] = []
    for seen in history:
        firing = seen.firing
        if firing.is_open:
            continue
        reviewer = reviewer_of(record, firing, every_s=every_s)
        facts = facts_from(record, firing, reviewer)
        if facts.is_whole:
            usual = usual_cooling([*before, *points])
            point = point_from(record, firing, reviewer.trace, facts, usual)
            points.append(without_older_probes(point, seen))
    return points


def point_from(
    record: RecordReader,
    firing: Firing,
    trace: Trace,
    facts: FiringFacts,
    usual: Cooling | None = None,
) -> FiringPoint:
    """The firing's point; ``usual`` is the kiln's cooling in an earlier one."""
    return point_of(
        firing.id,
        firing.started_label,
        trace,
        facts,
        configured_c=firing.configured_offsets_c,
        usual=usual,
        is_stoked=settings_at_end(record, firing).is_stoked,
    )


def without_older_probes(point: FiringPoint, seen: SeenFiring) -> FiringPoint:
    """The point without the channels whose thermocouple has been exchanged since."""
    apart = {name: one for name, one in point.apart.items() if name not in seen.older_probes}
    return replace(point, apart=apart)


def thinned(readings: Iterable[Reading], every_s: float) -> Iterator[Reading]:
    """The readings that are at least ``every_s`` apart."""
    last_s: float | None = None
    for reading in readings:
        if last_s is None or reading.elapsed_s - last_s >= every_s:
            last_s = reading.elapsed_s
            yield reading
