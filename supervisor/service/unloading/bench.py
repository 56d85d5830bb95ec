"""Firings of the record looked back on, each from what is kept of it, and remembered.

One that goes on, or is not summed up yet, has its readings taken in once; what people add then
(notes, cones, ticks) costs little. Runs in a thread, one question at a time, and rests as long as
it reads, so that the watch goes first.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from supervisor.core.defects import DefectKind
from supervisor.core.readings import Reading
from supervisor.core.refit import Refit
from supervisor.core.refit.again import about, again, named
from supervisor.core.refit.course import Course
from supervisor.core.review import FiringFacts, Reviewer, Trace
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.kept import kept_of
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import facts_from, new_reviewer, readable_plan_of, settings_at_end
from supervisor.record.rows import Firing, KeptObservation, Note
from supervisor.record.ticks import ticked_in

READ_EVERY_S = 10.0
"""Once in ten seconds tells the same to a tenth of a degree, in a fraction of the time."""
OPEN_FOR_S = 60.0
"""A firing that goes on is taken in anew after so long, real seconds."""
WORK_S = 0.004
"""Longest piece of work without a rest, real seconds."""
_REMEMBERED = 2


Plans: TypeAlias = dict[Unit, tuple[Course, Refit] | None]


@dataclass(frozen=True, slots=True)
class _Told:
    """What stands beside a firing's readings: what people wrote, and how much was told of it."""

    notes: Sequence[Note]
    looks: Sequence[KeptObservation]
    events: int


@dataclass(frozen=True, slots=True)
class _TakenIn:
    """A firing's readings, as far as they went ``at_s``."""

    readings: int
    settings: WatchSettings
    at_s: float
    reviewer: Reviewer
    trace: Trace


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was made of a firing last; ``taken`` is None where no reading was asked for it.

    ``plans`` are of what no note and no look at a cone changes.
    """

    told: _Told
    facts: FiringFacts
    trace: Trace
    taken: _TakenIn | None
    plans: Plans


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A firing, its plan where that can be read, its facts, and what is ticked of its ware."""

    firing: Firing
    schedule: Schedule | None
    settings: WatchSettings
    facts: FiringFacts
    ticked: tuple[DefectKind, ...]
    _seen: _Seen

    def again(self, unit: Unit) -> tuple[Course, Refit] | None:
        """What can be repeated of it, and the plan that does; None where it never was hot."""
        name, plans = self.firing.id, self._seen.plans
        if unit not in plans:
            plans[unit] = again(name, self.facts, self._seen.trace, self.schedule, unit)
        made = plans[unit]
        if made is None:
            return None
        course, fitted = made
        return course, named(fitted, about(name, self.facts, self.schedule, unit))


class Bench:
    """Looks back on firings of ``record``. ``clock`` gives seconds that never jump."""

    def __init__(
        self,
        record: RecordReader,
        *,
        clock: Callable[[], float] = time.monotonic,
        rest: Callable[[float], None] = time.sleep,
    ) -> None:
        self._record = record
        self._clock = clock
        self._rest = rest
        self._known: OrderedDict[str, _Seen] = OrderedDict()

    def look_back(self, firing: Firing) -> LookedBack:
        """The firing as the record has it now. Raises RecordError."""
        record = self._record
        settings = settings_at_end(record, firing)
        seen = self._known[firing.id] = self._seen(firing, settings)
        self._known.move_to_end(firing.id)
        while len(self._known) > _REMEMBERED:
            self._known.popitem(last=False)
        return LookedBack(
            firing,
            readable_plan_of(firing),
            settings,
            seen.facts,
            tuple(ticked_in(record.findings(firing.id))),
            seen,
        )

    def _seen(self, firing: Firing, settings: WatchSettings) -> _Seen:
        record, known = self._record, self._known.get(firing.id)
        told = _Told(
            record.notes(firing.id),
            record.observations(firing.id),
            len(record.event_lines(firing.id)),
        )
        taken = None if known is None else known.taken
        is_fresh = taken is None or self._is_fresh(taken, firing, settings)
        if known is not None and is_fresh and known.told == told:
            return known
        kept = kept_of(record, firing)
        if kept is not None:
            facts, trace, taken = kept.facts, kept.trace, None
        else:
            if taken is None or not is_fresh:
                taken = self._take_in(firing, settings)
            facts, trace = facts_from(record, firing, taken.reviewer), taken.trace
        plans: Plans = {}
        if known is not None and known.taken is taken and known.told.events == told.events:
            plans = known.plans
        return _Seen(told, facts, trace, taken, plans)

    def _is_fresh(self, taken: _TakenIn, firing: Firing, settings: WatchSettings) -> bool:
        if taken.settings != settings:
            return False
        is_new = firing.is_open and self._clock() - taken.at_s < OPEN_FOR_S
        return is_new or taken.readings == self._readings(firing)

    def _readings(self, firing: Firing) -> int:
        extent = self._record.extent(firing.id)
        return 0 if extent is None else extent.readings

    def _take_in(self, firing: Firing, settings: WatchSettings) -> _TakenIn:
        readings = self._readings(firing)
        reviewer = new_reviewer(self._record, firing)
        rows = self._record.columns(firing.id)
        names = tuple(rows.temps_c)
        due_s, rested_s = float("-inf"), self._clock()
        for elapsed_s, temps_c in zip(
            rows.elapsed_s, zip(*rows.temps_c.values(), strict=True), strict=True
        ):
            if elapsed_s < due_s:
                continue
            due_s = elapsed_s + READ_EVERY_S
            reviewer.feed(Reading(elapsed_s, dict(zip(names, temps_c, strict=True))))
            worked_s = self._clock() - rested_s
            if worked_s >= WORK_S:
                self._rest(worked_s)
                rested_s = self._clock()
        return _TakenIn(readings, settings, self._clock(), reviewer, reviewer.trace)
