"""Firings of the record looked back on: their readings taken in once, and remembered.

What people add afterwards (notes, cones, ticks) costs little then. Runs in a thread, one question
at a time, and rests as long as it works, so that the watch goes first.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from supervisor.core.defects import DefectKind
from supervisor.core.readings import Reading
from supervisor.core.refit import Refit
from supervisor.core.refit.again import again
from supervisor.core.refit.course import Course
from supervisor.core.review import FiringFacts, Reviewer, Trace
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import facts_from, new_reviewer, readable_plan_of, settings_at_end
from supervisor.record.rows import Firing
from supervisor.record.ticks import ticked_in

READ_EVERY_S = 10.0
"""Once in ten seconds tells the same to a tenth of a degree, in a fraction of the time."""
OPEN_FOR_S = 60.0
"""A firing that goes on is taken in anew after so long, real seconds."""
WORK_S = 0.004
"""Longest piece of work without a rest, real seconds."""
_REMEMBERED = 2


@dataclass(slots=True)
class _TakenIn:
    """A firing's readings, as far as they went, and what was made of them last."""

    readings: int
    settings: WatchSettings
    at_s: float
    reviewer: Reviewer
    trace: Trace
    told: object = None
    facts: FiringFacts | None = None
    plans: dict[Unit, tuple[Course, Refit] | None] | None = None


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A firing, its plan where that can be read, its facts, and what is ticked of its ware."""

    firing: Firing
    schedule: Schedule | None
    settings: WatchSettings
    facts: FiringFacts
    ticked: tuple[DefectKind, ...]
    _taken: _TakenIn

    def again(self, unit: Unit) -> tuple[Course, Refit] | None:
        """What can be repeated of it, and the plan that does; None where it never was hot."""
        plans = self._taken.plans
        assert plans is not None  # noqa: S101 - they go with the facts
        if unit not in plans:
            plans[unit] = again(self.firing.id, self.facts, self._taken.trace, self.schedule, unit)
        return plans[unit]


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
        self._known: OrderedDict[str, _TakenIn] = OrderedDict()

    def look_back(self, firing: Firing) -> LookedBack:
        """The firing as the record has it now. Raises RecordError."""
        record = self._record
        taken = self._taken(firing)
        notes, looks = record.notes(firing.id), record.observations(firing.id)
        told = (notes, looks, len(record.events(firing.id)))
        if taken.facts is None or taken.told != told:
            taken.facts = facts_from(record, firing, taken.reviewer)
            taken.told, taken.plans = told, {}
        return LookedBack(
            firing,
            readable_plan_of(firing),
            taken.settings,
            taken.facts,
            tuple(ticked_in(record.findings(firing.id))),
            taken,
        )

    def _taken(self, firing: Firing) -> _TakenIn:
        record, known = self._record, self._known.get(firing.id)
        extent = record.extent(firing.id)
        readings = 0 if extent is None else extent.readings
        settings = settings_at_end(record, firing)
        if known is not None and known.settings == settings:
            is_new = firing.is_open and self._clock() - known.at_s < OPEN_FOR_S
            if is_new or known.readings == readings:
                self._known.move_to_end(firing.id)
                return known
        reviewer = self._take_in(firing)
        taken = _TakenIn(readings, settings, self._clock(), reviewer, reviewer.trace)
        self._known[firing.id] = taken
        self._known.move_to_end(firing.id)
        while len(self._known) > _REMEMBERED:
            self._known.popitem(last=False)
        return taken

    def _take_in(self, firing: Firing) -> Reviewer:
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
        return reviewer
