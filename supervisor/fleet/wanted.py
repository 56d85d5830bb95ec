"""What the watch owes to a firing with a fault: which alert, from when on, and how soon.

Worked out from the true courses with and without the fault, never from what the watch says. A
fault after which the kiln still follows its plan is nothing to be found. All figures without a
source are common practice.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass, replace

from simulator.faults import OF_A_CHANNEL, FaultKind
from simulator.operation import OperatorKind
from supervisor.core.events import Kind
from supervisor.core.readings import FaultCause
from supervisor.core.schedule import Timeline
from supervisor.core.watch.detectors.uneven import Uneven
from supervisor.fleet.course import GRID_S, HEATS, MINUTE_S, Aim, Course
from supervisor.fleet.standing import (
    AT_TOP_C,
    all_but_stopped,
    died_slowly,
    first_climb,
    is_one_zone,
    may_be_through,
    nears_the_top,
    reduces,
    stands,
)

FALLS_C = 5.0
"""A kiln that is to be heated and has fallen so far below its highest has lost heat, whoever meant
it."""
FELL_BETWEEN_STOKES_C = 15.0
"""A fire burns down by more between two stokes."""
SAGS_C = 3.0
"""Of a kiln that stands still and has fallen by so much, one may say so."""
WARM_C = 60.0
"""A kiln that has hardly been lit may take its time."""
LATE_S = 30 * MINUTE_S
"""The watch's own tolerance for being late."""
DRY_C = 120.0
"""Up to there ware dries; how long it may take for that only its potter knows."""
CLIMBS_C, CLIMBS_ON_C = 5.0, 15.0
"""A climb counts from the first of them, if it goes on to the second."""
OVER_C = 15.0
FASTER, FASTER_C = 1.4, 10.0
"""A fall that anybody would call fast: so much faster than that of the shut kiln, and so many
degrees more in ten minutes."""
TOLD_C = 1.0
"""What passes a tolerance by less passes it by nothing that anybody would see."""
COLD_C = 200.0
STAYS_HOT_C, STAYS_HOT_S = 100.0, 3600.0
_BACKWARDS_C = 20.0
_NIGHT_S, _NIGHT_C = 1800.0, 10.0
"""No shed cools as fast as this in a night."""


@dataclass(frozen=True, slots=True)
class Owed:
    """An alert of one of ``kinds`` is owed within ``within_s`` of ``since_s``.

    ``what`` says in a word what the kiln or the rig does; ``causes`` and ``channel`` narrow a
    sensor fault down. What is not ``promised`` is counted on its own.
    """

    what: str
    since_s: float
    within_s: float
    kinds: frozenset[Kind]
    causes: frozenset[FaultCause] = frozenset()
    channel: str | None = None
    promised: bool = True


_CAUSES: dict[FaultKind, tuple[float, frozenset[FaultCause]]] = {
    FaultKind.OPEN_THERMOCOUPLE: (1.0, frozenset({FaultCause.OPEN})),
    FaultKind.SHORTED_THERMOCOUPLE: (1.0, frozenset({FaultCause.SHORT, FaultCause.JUMP})),
    FaultKind.FROZEN_THERMOCOUPLE: (10.0, frozenset({FaultCause.FROZEN})),
    FaultKind.REVERSED_THERMOCOUPLE: (10.0, frozenset({FaultCause.REVERSED, FaultCause.RANGE})),
    FaultKind.SLIPPED_THERMOCOUPLE: (5.0, frozenset({FaultCause.JUMP, FaultCause.SHORT})),
}
"""Minutes, and the causes that fit."""


def owed(course: Course, healthy: Course) -> Owed | None:
    """What the watch owes to the firing of ``course``; ``healthy`` is the same without its fault.

    None where nothing came to pass, or nothing that keeps the kiln from its plan. A wall clock
    that is put forward owes nothing either.
    """
    onset_s = course.onset_s
    if onset_s is None:
        return None
    kind = course.scenario.faults[0].kind
    if kind in OF_A_CHANNEL:
        return _of_a_channel(course, onset_s)
    if kind is FaultKind.SILENT_RIG:
        return Owed("silent", onset_s, 3 * MINUTE_S, frozenset({Kind.NO_READINGS}))
    if kind is FaultKind.CLOCK_STEP:
        return None
    start = course.at(onset_s)
    if kind in (FaultKind.POWER_CUT, FaultKind.EARLY_SHUT_OFF):
        return _cut(course, healthy, start, onset_s)
    if kind is FaultKind.RELAY_STUCK:
        return _first(
            _climbs_on(course, healthy, start), _uneven(course, healthy, start)
        ) or _stays_hot(course, healthy, start)
    if kind is FaultKind.FAST_COOLING:
        return _opened(course, healthy, start, onset_s)
    if kind is FaultKind.DOOR_AJAR and course.scenario.faults[0].below_c is not None:
        return _opened(course, healthy, start, onset_s)
    if kind is FaultKind.DOOR_AJAR:
        stokes = course.scenario.operation.kind is OperatorKind.STOKING
        by_c = FELL_BETWEEN_STOKES_C if stokes else FALLS_C
        falls = _falls(course, lambda point: course.aims[point], start, by_c)
        # A kiln that dips when it is opened, and then keeps its plan, has what it needs.
        if falls is not None and course.moved_c(falls, 10 * MINUTE_S) < FALLS_C:
            kinds = frozenset({Kind.HEAT_LOST, Kind.STALL})
            return Owed("falls", falls * GRID_S, 10 * MINUTE_S, kinds)
    return _first(
        _uneven(course, healthy, start),
        _stands(course, healthy, start),
        _lags(course, healthy, start),
    )


def _first(*found: Owed | None) -> Owed | None:
    """The one that comes first, to which the warnings of the others will do.

    That a kiln is late is information, and does for a kiln that is late and nothing worse.
    """
    there = [one for one in found if one is not None]
    if not there:
        return None
    first = min(there, key=lambda one: one.since_s)
    kinds = frozenset().union(*(one.kinds for one in there)) - {Kind.LAGGING}
    return replace(first, kinds=first.kinds | kinds)


def _of_a_channel(course: Course, onset_s: float) -> Owed | None:
    fault = course.scenario.faults[0]
    minutes, causes = _CAUSES[fault.kind]
    since_s: float | None = onset_s
    if fault.kind is FaultKind.REVERSED_THERMOCOUPLE:
        # Swapped leads tell nothing while the kiln is no hotter than its terminals; and the mirror
        # of one that is candled is a shed that cools in the night.
        place = course.scenario.channels.index(fault.channel or "")
        temps_c = [all_c[place] for all_c in course.temps_c]
        before = round(_NIGHT_S / GRID_S)
        since_s = next(
            (
                n * GRID_S
                for n, temp_c in enumerate(temps_c)
                if temp_c > temps_c[0] + _BACKWARDS_C
                and temp_c > temps_c[max(n - before, 0)] + _NIGHT_C
            ),
            None,
        )
    if since_s is None:
        return None
    kinds = {Kind.SENSOR_FAULT}
    if fault.kind is FaultKind.SLIPPED_THERMOCOUPLE and len(course.scenario.sensors) == 1:
        # Nobody can tell a probe that leaves the wall from a kiln that falls as fast.
        kinds |= {Kind.HEAT_LOST, Kind.FAST_COOLING}
    return Owed(
        "probe",
        max(since_s, onset_s),
        minutes * MINUTE_S,
        frozenset(kinds),
        causes,
        fault.channel,
    )


def _cut(course: Course, healthy: Course, start: int, onset_s: float) -> Owed | None:
    def planned(point: int) -> Aim:
        return healthy.aims[point] if point < len(healthy) else Aim.FINISHED

    stokes = course.scenario.operation.kind is OperatorKind.STOKING
    falls = _falls(course, planned, start, FELL_BETWEEN_STOKES_C if stokes else FALLS_C)
    if falls is None:
        return None
    since_s = falls * GRID_S if stokes else onset_s
    # A fire that goes out may stand for long before it has fallen so far.
    kinds = {Kind.HEAT_LOST, Kind.STALL} if stokes else {Kind.HEAT_LOST}
    return Owed("falls", since_s, 5 * MINUTE_S, frozenset(kinds))


def _falls(
    course: Course, aim: Callable[[int], Aim], start: int, by_c: float = FALLS_C
) -> int | None:
    """From which point on the kiln, though it is to be heated, is so far below its highest."""
    high_c = course.lead_c(start)
    for point in range(start, len(course)):
        if aim(point) not in HEATS:
            return None
        high_c = max(high_c, course.lead_c(point))
        if course.lead_c(point) < high_c - by_c:
            return point
    return None


def _stands(course: Course, healthy: Course, start: int) -> Owed | None:
    within = round(15 * MINUTE_S / GRID_S)
    for point in range(max(start, first_climb(course)), nears_the_top(course) - within):
        if course.lead_c(point) < WARM_C or reduces(course, point):
            continue
        if not stands(course, point):
            continue
        if point < len(healthy) and all_but_stopped(healthy, point, 10 * MINUTE_S):
            continue
        if may_be_through(course, point):
            continue
        if is_one_zone(course, point, 15 * MINUTE_S):
            continue
        kinds = {Kind.STALL}
        high_c = course.lead_c(point)
        for after in range(point, min(point + within, len(course))):
            high_c = max(high_c, course.lead_c(after))
            if course.lead_c(after) < high_c - SAGS_C:
                kinds.add(Kind.HEAT_LOST)
        if died_slowly(course, point, start):
            if course.lead_c(point) < DRY_C:
                continue
            kinds.add(Kind.LAGGING)
            return Owed("dies away", point * GRID_S, 30 * MINUTE_S, frozenset(kinds))
        return Owed("stands", point * GRID_S, 15 * MINUTE_S, frozenset(kinds))
    return None


def _lags(course: Course, healthy: Course, start: int) -> Owed | None:
    """Late by the plan, by more than a thermocouple of class 2 leaves in doubt, and later than
    without the fault. A kiln that was ahead has time to lose; and one that has held where it
    stands, in a cold corner of a kiln that keeps its plan, has missed nothing by that."""
    highs_c: list[float] = []
    high_c = float("-inf")
    for point in range(len(healthy)):
        high_c = max(high_c, healthy.lead_c(point))
        highs_c.append(high_c)
    behind = _Behind(course)
    high_c = float("-inf")
    for point in range(first_climb(course), nears_the_top(course)):
        high_c = max(high_c, course.lead_c(point))
        planned_c_per_h = course.planned_c_per_h(point)
        if planned_c_per_h is None:
            continue
        plan_late_s = behind.late_s(point, high_c)
        if point < start or high_c < DRY_C:
            continue
        came = bisect_left(healthy.steps, course.steps[point])
        climbs = (n for n in range(came, len(healthy)) if healthy.aims[n] is Aim.CLIMBING)
        begun = next(climbs, came)
        late_s = (point - max(bisect_left(highs_c, high_c), begun)) * GRID_S
        in_doubt_s = AT_TOP_C / planned_c_per_h * 3600.0
        if min(late_s, plan_late_s) > LATE_S + in_doubt_s:
            kinds = frozenset({Kind.LAGGING, Kind.STALL})
            return Owed("lags", point * GRID_S, 30 * MINUTE_S, kinds)
    return None


class _Behind:
    """How far a course is behind its plan, whose clock begins with the first climb. A step that
    climbs as fast as it can has no time to be late by: after it the clock goes on from there; and
    where a person fires, from where the ware is dry."""

    def __init__(self, course: Course) -> None:
        self._course = course
        is_kept = course.scenario.operation.kind is OperatorKind.CONTROLLER
        self._dry_c = float("-inf") if is_kept else DRY_C
        self._timeline: Timeline | None = None
        self._clock_s = 0.0

    def late_s(self, point: int, temp_c: float) -> float:
        """In seconds at this point of a climb, to be asked for in order of time."""
        course = self._course
        if self._timeline is None:
            self._timeline = Timeline(course.scenario.schedule, start_c=course.lead_c(point))
            self._clock_s = point * GRID_S
        step = self._timeline.steps[course.steps[point]]
        planned_s = step.time_at(temp_c, self._timeline.shed_c)
        if step.rate_c_per_h is None or temp_c < self._dry_c:
            self._clock_s = point * GRID_S - planned_s
        return point * GRID_S - self._clock_s - planned_s


def apart_c(course: Course, point: int) -> float:
    """How far the channels are apart as they would show without noise."""
    shown_c = [course.shown_c(point, n) for n in range(len(course.scenario.sensors))]
    return max(shown_c) - min(shown_c)


def _uneven(course: Course, healthy: Course, start: int) -> Owed | None:
    scenario = course.scenario
    if len(scenario.sensors) < 2:
        return None
    tolerances = Uneven(())
    within_s = 10 * MINUTE_S
    since: int | None = None
    for point in range(start, len(course)):
        allowed_c = tolerances.tolerance_c(max(course.temps_c[point]))
        apart = apart_c(course, point) > allowed_c + TOLD_C and course.aims[point] in HEATS
        if apart and point < len(healthy) and apart_c(healthy, point) > allowed_c:
            return None
        if not apart:
            since = None
        elif since is None:
            since = point
        elif (point - since) * GRID_S >= within_s:
            return Owed("uneven", since * GRID_S, within_s, frozenset({Kind.UNEVEN}))
    return None


def _climbs_on(course: Course, healthy: Course, start: int) -> Owed | None:
    kinds = frozenset({Kind.HEAT_STUCK_ON, Kind.OVERSHOOT})
    peak_c = course.scenario.schedule.peak_c
    low_c = course.lead_c(start)
    since: int | None = None
    for point in range(start, len(course)):
        temp_c = course.lead_c(point)
        low_c = min(low_c, temp_c)
        if temp_c > peak_c + OVER_C:
            if since is None:
                return Owed("too hot", point * GRID_S, 3 * MINUTE_S, kinds)
            return Owed("climbs on", since * GRID_S, 5 * MINUTE_S, kinds)
        aim = course.aims[point]
        beyond_c = 0.0
        if aim in (Aim.COOLING, Aim.FINISHED):
            beyond_c = temp_c - low_c
        elif aim is Aim.HOLDING and course.steps[point] == course.scenario.schedule.peak_step:
            twin_c = healthy.lead_c(min(point, len(healthy) - 1))
            beyond_c = temp_c - max(twin_c, course.top_c(point))
        if beyond_c < CLIMBS_C:
            since = None
        elif since is None:
            since = point
        if since is not None and beyond_c > CLIMBS_ON_C:
            return Owed("climbs on", since * GRID_S, 5 * MINUTE_S, kinds)
    return None


def _stays_hot(course: Course, healthy: Course, start: int) -> Owed | None:
    """A kiln that goes on being heated and only cools more slowly: nobody has promised that."""
    since: int | None = None
    for point in range(start, len(course)):
        twin_c = healthy.lead_c(min(point, len(healthy) - 1))
        if course.lead_c(point) < twin_c + STAYS_HOT_C:
            since = None
        elif since is None:
            since = point
        elif (point - since) * GRID_S > STAYS_HOT_S:
            kinds = frozenset({Kind.HEAT_STUCK_ON, Kind.OVERSHOOT})
            return Owed("stays hot", since * GRID_S, STAYS_HOT_S, kinds, promised=False)
    return None


def _opened(course: Course, healthy: Course, start: int, onset_s: float) -> Owed | None:
    if start >= len(healthy) or healthy.aims[start] is Aim.CLIMBING:
        return None
    within_s = 10 * MINUTE_S
    fell_c = -course.moved_c(start, within_s)
    shut_c = -healthy.moved_c(start, within_s)
    if course.lead_c(start) - fell_c < COLD_C:
        return None
    if fell_c < max(FASTER * shut_c, shut_c + FASTER_C):
        return None
    kinds = {Kind.FAST_COOLING}
    # Falling where the plan holds, or comes to hold, is heat that is lost, by a door as well.
    if Aim.HOLDING in course.aims[start : start + round(within_s / GRID_S)]:
        kinds.add(Kind.HEAT_LOST)
    return Owed("falls fast", onset_s, within_s, frozenset(kinds))
