"""A plan from an actual firing: the fewest steps that follow its record within a tolerance.

The steps are those of ``polyline.fewest_pieces``; what hardly rises or falls is a hold. Figures
are then rounded to what people set on a controller, and the last hold is made so long that the
plan's heat-work is the firing's own. All of that is checked against the record before it is
given away.
"""

from __future__ import annotations

import math
import statistics
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from supervisor.core.heatwork import HeatWork, place_on_scale
from supervisor.core.refit.course import LEAST_HOLD_S, Course, LeftOut, Points
from supervisor.core.refit.farthest import farthest
from supervisor.core.refit.legs import Leg, steps_of
from supervisor.core.refit.merged import merged
from supervisor.core.refit.polyline import fewest_pieces
from supervisor.core.schedule.model import Atmosphere, BandChange, FiringKind, Schedule, Step
from supervisor.core.schedule.timeline import Timeline
from supervisor.core.units import Unit, difference_to_c

USUAL_WITHIN_C = 5.0
LEAST_WITHIN_C, MOST_WITHIN_C = 2.0, 50.0
"""Below, a plan follows the swings of its controller; above, it is another firing."""
_HOLD_C_PER_H, _HOLD_SHARE = 25.0, 0.7
"""A piece that is slower, and for such a share of its time as near one level as half the
tolerance, is a hold."""
MOST_STEPS, LOOSER, LOOSEST_C = 12, 1.4, 25.0
"""A plan of more steps nobody sets: unless the tolerance was asked for, it is widened."""
_ROUNDING = 0.75
"""The pieces are sought within this part of the tolerance, for the rounding has its share."""
_TIGHTER, _TRIES = 0.8, 5
_THERE_C = 2.0
AGREES_CONES = 0.1
"""A plan whose heat-work is within a tenth of a cone of the firing's repeats it."""


@dataclass(frozen=True, slots=True)
class About:
    """What a plan says beside its steps: taken from the plan that was fired, where one was."""

    name: str
    units: Unit
    kind: FiringKind = FiringKind.OTHER
    atmosphere: Atmosphere = Atmosphere.OXIDATION
    target_cone: str | None = None
    bands: tuple[BandChange, ...] = ()


@dataclass(frozen=True, slots=True)
class Refit:
    """The plan, and how well it repeats the firing.

    ``peak`` is the step that ends at the top, counted from 0; ``start_c`` is where the kiln began.
    ``within_c`` is the tolerance that it was made for, ``off_c`` the farthest that it is from the
    record up to the end of the peak, and ``off_at_s`` when. ``place`` and ``fired_place`` are the
    heat-work up to there, of plan and firing, on the scale of whole cones; None where not even
    cone 022 goes down. ``hold_added_s`` is by how much the last hold differs from the record's
    for that. ``swing_c`` is how high the swings were that the plan passes over.
    """

    schedule: Schedule
    peak: int
    start_c: float
    within_c: float
    off_c: float
    off_at_s: float
    place: float | None
    fired_place: float | None
    hold_added_s: float
    swing_c: float
    left_out: tuple[LeftOut, ...]

    @property
    def cones_apart(self) -> float | None:
        """The plan's heat-work less the firing's, in cones."""
        if self.place is None or self.fired_place is None:
            return None
        return self.place - self.fired_place

    @property
    def agrees(self) -> bool:
        """Whether the heat-work is the firing's within a tenth of a cone."""
        apart = self.cones_apart
        return self.place is self.fired_place is None or (
            apart is not None and abs(apart) <= AGREES_CONES
        )


def refit(
    course: Course,
    about: About,
    *,
    within_c: float | None = None,
    offset_c: float = 0.0,
    notes: Sequence[tuple[float, str]] = (),
) -> Refit:
    """The plan that repeats ``course`` within ``within_c``.

    Without a tolerance it is ``USUAL_WITHIN_C``, and wider for a fire that swings, so that
    nobody has to set dozens of steps. ``offset_c`` is what the cones are calculated with.
    ``notes`` are texts with the time of the firing at which the step that bears them ended.
    """
    if within_c is not None:
        return _within(course, about, within_c, offset_c, notes)
    within_c = USUAL_WITHIN_C
    found = _within(course, about, within_c, offset_c, notes)
    while len(found.schedule.steps) > MOST_STEPS and within_c < LOOSEST_C:
        within_c = min(LOOSER * within_c, LOOSEST_C)
        found = _within(course, about, within_c, offset_c, notes)
    return found


def _within(
    course: Course,
    about: About,
    within_c: float,
    offset_c: float,
    notes: Sequence[tuple[float, str]],
) -> Refit:
    """The plan for one tolerance; rounded figures that leave it are sought more closely."""
    fitted_c = _ROUNDING * within_c
    best: Refit | None = None
    for _ in range(_TRIES):
        found = _refit(course, about, fitted_c, within_c, offset_c, notes)
        if best is None or found.off_c < best.off_c:
            best = found
        if found.off_c <= within_c:
            break
        fitted_c *= _TIGHTER
    assert best is not None  # noqa: S101 - it was tried once at least
    return best


def _refit(
    course: Course,
    about: About,
    fitted_c: float,
    within_c: float,
    offset_c: float,
    notes: Sequence[tuple[float, str]],
) -> Refit:
    up = course.up
    start_c, begun_s = up.temp_c[0], up.at_s[0]

    legs = merged(_climb(course, fitted_c), up, about.units, within_c)
    peak = len(legs) - 1
    for stretch in course.down:
        legs += _legs_down(stretch, fitted_c)
    steps = _with_notes(steps_of(legs, start_c, begun_s, about.units), legs, notes)
    fired = course.fired
    fired_place = _place(zip(fired.at_s, fired.temp_c, strict=True), offset_c)
    schedule = _schedule(about, steps)
    schedule, added_s = _with_heat_of(schedule, peak, start_c, fired_place, offset_c, within_c)
    off_c, off_at_s = farthest(Timeline(_first(schedule, peak), start_c), up, begun_s)
    return Refit(
        schedule=schedule,
        peak=peak,
        start_c=start_c,
        within_c=within_c,
        off_c=off_c,
        off_at_s=off_at_s,
        place=place_of(schedule, peak, start_c, offset_c),
        fired_place=fired_place,
        hold_added_s=added_s,
        swing_c=course.swing_c,
        left_out=course.left_out,
    )


def _climb(course: Course, within_c: float) -> list[Leg]:
    """The legs up to the peak, and its hold as it was seen."""
    up = course.up
    count = bisect_left(up.at_s, course.hold_from_s) + 1
    legs = list(_legs(Points(up.at_s[:count], up.temp_c[:count]), within_c))
    reach_s, end_s = up.at_s[min(count, len(up)) - 1], up.at_s[-1]
    held_s = end_s - reach_s if end_s - reach_s >= LEAST_HOLD_S else 0.0
    last = legs[-1]
    if last.end_s > last.reach_s:
        # It crept up to its peak: that is the beginning of the hold.
        return [*legs[:-1], replace(last, to_c=course.level_c, end_s=end_s)]
    return [*legs[:-1], Leg(course.level_c, reach_s, reach_s + held_s)]


def _first(schedule: Schedule, peak: int) -> Schedule:
    """The plan up to the end of its peak."""
    return replace(schedule, steps=schedule.steps[: peak + 1])


def _schedule(about: About, steps: Sequence[Step]) -> Schedule:
    return Schedule(
        name=about.name,
        steps=tuple(steps),
        units=about.units,
        kind=about.kind,
        atmosphere=about.atmosphere,
        target_cone=about.target_cone,
        bands=about.bands,
    )


def _legs(points: Points, within_c: float) -> Iterator[Leg]:
    """Moves and holds along the points; what is between two holds of one level is one."""
    pending: Leg | None = None
    corners = fewest_pieces(points.at_s, points.temp_c, within_c)
    for i, j in pairwise(corners):
        from_s, to_s = points.at_s[i], points.at_s[j]
        moved_c = points.temp_c[j] - points.temp_c[i]
        slope = moved_c / (to_s - from_s) * 3600.0
        is_hold = abs(slope) <= _HOLD_C_PER_H and _stands(points, i, j, within_c)
        if is_hold:
            level_c = statistics.median(points.temp_c[i : j + 1])
            if pending is None:
                # The firing begins with it.
                pending = Leg(level_c, from_s, to_s)
            else:
                before = pending.end_s - pending.reach_s
                if before > 0.0:
                    total_s = before + to_s - from_s
                    level_c = (pending.to_c * before + level_c * (to_s - from_s)) / total_s
                pending = replace(pending, to_c=level_c, end_s=to_s)
            continue
        if pending is not None:
            yield pending
        pending = Leg(points.temp_c[j], to_s, to_s)
    if pending is not None:
        yield pending


def _legs_down(points: Points, within_c: float) -> list[Leg]:
    """A free fall to where the stretch begins, and then its own moves and holds."""
    legs = list(_legs(points, within_c))
    start_s, start_c = points.at_s[0], points.temp_c[0]
    first = legs[0]
    if first.reach_s == start_s:
        # It begins with a hold, to which the kiln falls: the corner before it is rounded.
        there_s = next(
            at_s
            for at_s, temp_c in zip(points.at_s, points.temp_c, strict=True)
            if temp_c <= first.to_c + _THERE_C or at_s >= first.end_s
        )
        return [replace(first, reach_s=there_s, is_natural=True), *legs[1:]]
    return [Leg(start_c, start_s, start_s, is_natural=True), *legs]


def _stands(points: Points, i: int, j: int, within_c: float) -> bool:
    """Whether the kiln stands at one level for most of the time between two points."""
    if points.at_s[j] - points.at_s[i] < LEAST_HOLD_S:
        return False
    temps_c = points.temp_c[i : j + 1]
    level_c = statistics.median(temps_c)
    near = sum(abs(temp_c - level_c) <= within_c / 2.0 for temp_c in temps_c)
    return near >= _HOLD_SHARE * len(temps_c)


def _with_notes(
    steps: list[Step], legs: Sequence[Leg], notes: Sequence[tuple[float, str]]
) -> list[Step]:
    """Each note with the step whose end is nearest to its time."""
    found = list(steps)
    for at_s, text in notes:
        near = min(range(len(legs)), key=lambda n: abs(legs[n].end_s - at_s))
        if not found[near].note:
            found[near] = replace(found[near], note=text)
    return found


# Held against the record


def _place(points: Iterable[tuple[float, float]], offset_c: float) -> float | None:
    work = HeatWork(offset_c)
    for at_s, temp_c in points:
        work.add(at_s, temp_c)
    return place_on_scale(work.progress().work)


def place_of(schedule: Schedule, peak: int, start_c: float, offset_c: float) -> float | None:
    """The heat-work of a plan up to the end of its peak, on the scale of whole cones.

    ``offset_c`` is added to its temperatures.
    """
    return _place(Timeline(_first(schedule, peak), start_c).points(), offset_c)


def _with_heat_of(
    schedule: Schedule,
    peak: int,
    start_c: float,
    wanted: float | None,
    offset_c: float,
    within_c: float,
) -> tuple[Schedule, float]:
    """The plan with its last hold so long that its heat-work is ``wanted``; by how much it grew.

    A firing that turned at its peak has its top moved instead, by no more than the tolerance.
    """
    if wanted is None:
        return schedule, 0.0
    step = schedule.steps[peak]
    if step.hold_s > 0.0:
        slack_s = max(0.5 * step.hold_s, 600.0)
        low_s, high_s = max(step.hold_s - slack_s, 60.0), step.hold_s + slack_s
        held = [
            _with_step(schedule, peak, replace(step, hold_s=60.0 * minutes))
            for minutes in range(math.ceil(low_s / 60.0), math.floor(high_s / 60.0) + 1)
        ]
        best = _nearest(held, peak, start_c, wanted, offset_c)
        return best, best.steps[peak].hold_s - step.hold_s
    unit_c = difference_to_c(1.0, schedule.units)
    count = math.floor(within_c / unit_c)
    moved = [
        _with_step(schedule, peak, replace(step, to_c=step.to_c + n * unit_c))
        for n in range(-count, count + 1)
    ]
    return _nearest(moved, peak, start_c, wanted, offset_c), 0.0


def _nearest(
    plans: Sequence[Schedule], peak: int, start_c: float, wanted: float, offset_c: float
) -> Schedule:
    """The plan whose heat-work is nearest to the wanted; they are in order of it."""
    low, high = 0, len(plans) - 1
    while low < high:
        middle = (low + high) // 2
        place = place_of(plans[middle], peak, start_c, offset_c)
        if place is None or place < wanted:
            low = middle + 1
        else:
            high = middle
    around = plans[max(low - 1, 0) : low + 1]

    def off(plan: Schedule) -> float:
        place = place_of(plan, peak, start_c, offset_c)
        return math.inf if place is None else abs(place - wanted)

    return min(around, key=off)


def _with_step(schedule: Schedule, index: int, step: Step) -> Schedule:
    steps = [*schedule.steps[:index], step, *schedule.steps[index + 1 :]]
    return replace(schedule, steps=tuple(steps))
