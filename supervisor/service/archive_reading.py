"""One firing of the record with everything, and its readings to draw. Runs in a thread."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from supervisor.core.alerts import Alert
from supervisor.core.events import Event
from supervisor.core.readings import Reading
from supervisor.core.review import document_of
from supervisor.core.schedule import Timeline
from supervisor.core.thinning import thin
from supervisor.record.archive import FoundFiring
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import facts_from, new_reviewer, readable_plan_of
from supervisor.record.rows import (
    AcceptedOffset,
    Columns,
    Firing,
    KeptObservation,
    Note,
    OffsetChange,
)
from supervisor.record.summary import OVERVIEW_ROWS, drawn_columns
from supervisor.record.unloading import Account, Finding, Photo

_LOOK_EVERY_S = 60.0
"""Of a firing that goes on, so far apart are the readings that its facts are made of: they need
not be exact yet, and are wanted at once."""
_REMEMBERED_S = 20.0
"""Real seconds for which a firing that goes on is shown as it was."""


@dataclass(frozen=True, slots=True)
class WholeFiring:
    """Everything that the record has of a firing but its readings.

    ``facts`` are those of ``supervisor.core.review`` (``document_of``): as they were summed up, or
    so far.
    """

    found: FoundFiring
    facts: Mapping[str, Any]
    events: Sequence[Event]
    alerts: Sequence[Alert]
    notes: Sequence[Note]
    looks: Sequence[KeptObservation]
    offsets: Mapping[str, AcceptedOffset]
    offset_changes: Sequence[OffsetChange]
    accounts: Sequence[Account]
    findings: Sequence[Finding]
    photos: Sequence[Photo]

    @property
    def firing(self) -> Firing:
        """The firing itself."""
        return self.found.firing


@dataclass(frozen=True, slots=True)
class SoFar:
    """A firing's facts and its overview, and how many readings they are of."""

    facts: Mapping[str, Any]
    overview: Columns
    readings: int


class Looker:
    """Looks at firings of the record; what is not summed up yet is remembered for a while.

    May be asked from several threads. ``clock`` gives seconds that never jump.
    """

    def __init__(
        self, record: RecordReader, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._record = record
        self._clock = clock
        self._known: tuple[str, float, SoFar] | None = None

    def whole(self, firing: Firing) -> WholeFiring:
        """Everything about the firing but its readings. Raises RecordError."""
        record = self._record
        return WholeFiring(
            record.found(firing),
            self.so_far(firing).facts,
            record.events(firing.id),
            record.alerts(firing.id),
            record.notes(firing.id),
            record.observations(firing.id),
            record.offsets_at_start(firing.id),
            record.offset_changes(firing.id),
            record.accounts(firing.id),
            record.findings(firing.id),
            record.photos(firing.id),
        )

    def chart(
        self,
        firing: Firing,
        max_points: int,
        from_s: float | None = None,
        to_s: float | None = None,
    ) -> tuple[Columns, list[tuple[float, float]]]:
        """The firing's readings to draw, in at most ``max_points`` rows, and its plan beside them.

        Raises RecordError.
        """
        so_far = self.so_far(firing)
        if from_s is None and to_s is None and max_points <= OVERVIEW_ROWS:
            # Its gaps are drawn already.
            ready = so_far.overview
            rows = Columns(*thin(ready.elapsed_s, ready.temps_c, max_points))
        else:
            rows = drawn_columns(
                self._record.columns(firing.id, from_s=from_s, to_s=to_s), max_points
            )
        return rows, plan_line(firing, so_far.facts)

    def so_far(self, firing: Firing) -> SoFar:
        """The firing as it was summed up; else as it is now, or was some seconds ago."""
        record = self._record
        facts, overview = record.facts(firing.id), record.overview(firing.id)
        if facts is not None and overview is not None:
            return SoFar(facts, overview, facts["readings"])
        known = self._known
        if known is not None:
            firing_id, at_s, so_far = known
            if firing_id == firing.id and self._clock() - at_s < _REMEMBERED_S:
                return so_far
        so_far = work_out(record, firing)
        self._known = (firing.id, self._clock(), so_far)
        return so_far


def work_out(record: RecordReader, firing: Firing) -> SoFar:
    """A firing that is not summed up: its facts from readings that are a minute apart."""
    reviewer = new_reviewer(record, firing)
    rows = record.columns(firing.id)
    names, due_s = tuple(rows.temps_c), float("-inf")
    values = zip(*rows.temps_c.values(), strict=True)
    for elapsed_s, temps_c in zip(rows.elapsed_s, values, strict=True):
        if elapsed_s >= due_s:
            due_s = elapsed_s + _LOOK_EVERY_S
            reviewer.feed(Reading(elapsed_s, dict(zip(names, temps_c, strict=True))))
    return SoFar(
        document_of(facts_from(record, firing, reviewer)),
        drawn_columns(rows, OVERVIEW_ROWS),
        len(rows.elapsed_s),
    )


def plan_line(firing: Firing, facts: Mapping[str, Any]) -> list[tuple[float, float]]:
    """The plan where it lay in the firing: elapsed seconds and °C; empty where that is not known.

    A plan whose beginning was not found is laid at the firing's first reading.
    """
    schedule = readable_plan_of(firing)
    if schedule is None or not facts["steps"]:
        return []
    timeline = Timeline(schedule, facts["steps"][0]["planned"]["from_c"])
    begun_s = facts["plan"]["begun_s"]
    if begun_s is None:
        begun_s = facts["first_s"]
    return [(begun_s + at_s, temp_c) for at_s, temp_c in timeline.points()]
