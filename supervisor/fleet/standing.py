"""Whether the true kiln, somewhere in its climb, has all but stopped.

Knows the true course, its plan and who fires; what is owed for it is ``wanted``'s.
"""

from __future__ import annotations

from simulator.operation import OperatorKind
from supervisor.fleet.course import GRID_S, MINUTE_S, NATURAL_C_PER_H, Aim, Course

STANDS_PART, CLIMBS_PART = 0.25, 0.5
STANDS_S = (5 * MINUTE_S, 10 * MINUTE_S, 15 * MINUTE_S)
"""From a moment on a kiln stands that makes so little of its plan over each of these: over the
longest alone it would stand for minutes before it stopped."""
STANDS_YET_S = 5 * MINUTE_S
"""And over the last of them: what is on its way again by then has stood for less."""
AT_TOP_C = 10.0
"""By a thermocouple that differs so much from the one it is fired by, a kiln is at the top of a
climb: one of type K and class 2 is within 9 °C of the truth at 1,200 °C (IEC 60584-1)."""
LEFT_C = 15.0
"""A zone that is left behind by no more, while the others climb, is no kiln that stands."""
POOR_PART, POOR_S = 0.6, 20 * MINUTE_S
FASTEST_PLAN_C_PER_H = 150.0
"""All but stopped is less than a quarter of the planned pace, of a pace that is no faster."""
CHARGE_S = 10 * MINUTE_S
"""About how long a charge of wood burns."""
_REDUCTION_C = 40.0


def all_but_stopped(course: Course, point: int, for_s: float) -> bool:
    """Whether the kiln climbs less than a quarter of its plan for so long after the point (or
    before it, if negative), where the operator means it to climb all the while."""
    other = point + round(for_s / GRID_S)
    low, high = min(point, other), max(point, other)
    if low < 0 or high >= len(course):
        return False
    planned = course.planned_c_per_h(point)
    if planned is None or any(
        course.aims[n] is not Aim.CLIMBING or course.steps[n] != course.steps[point]
        for n in (low, (low + high) // 2, high)
    ):
        return False
    least_c = _share_c(STANDS_PART, planned, abs(for_s))
    if course.scenario.operation.kind is OperatorKind.STOKING:
        return _over_a_charge_c(course, high) - _over_a_charge_c(course, low) < least_c
    return course.moved_c(point, for_s) < least_c


def stands(course: Course, point: int) -> bool:
    """Whether the kiln stands from the point on, and still does when that is to be told."""
    due = point + round(max(STANDS_S) / GRID_S)
    return all(all_but_stopped(course, point, for_s) for for_s in STANDS_S) and all_but_stopped(
        course, due, -STANDS_YET_S
    )


def _share_c(part: float, planned_c_per_h: float, for_s: float) -> float:
    """What that part of the plan makes in the time, in °C."""
    return part * min(planned_c_per_h, FASTEST_PLAN_C_PER_H) * for_s / 3600.0


def _over_a_charge_c(course: Course, point: int) -> float:
    """The mean about a point: a fire climbs and falls with each charge, and what it does between
    the height of one and the foot of the next is neither a climb nor a stand."""
    half = round(CHARGE_S / 2.0 / GRID_S)
    first, last = max(point - half, 0), min(point + half, len(course) - 1)
    return sum(course.lead_c(n) for n in range(first, last + 1)) / (last - first + 1)


def reduces(course: Course, point: int) -> bool:
    """Whether a person lets the kiln stand there for body reduction."""
    reduction = course.scenario.operation.reduction
    if reduction is None:
        return False
    return -_REDUCTION_C < course.lead_c(point) - reduction.from_c < 2.0 * _REDUCTION_C


def nears_the_top(course: Course) -> int:
    """From which point on the kiln, by the thermocouple that leads, has been near the top of its
    plan: from then on nobody beside it can tell whether it is through."""
    top_c = course.scenario.schedule.peak_c - AT_TOP_C
    points = range(0, len(course), round(MINUTE_S / GRID_S))
    return next((n for n in points if course.shown_c(n, 0) > top_c), len(course))


def may_be_through(course: Course, point: int) -> bool:
    """Whether the kiln, by the thermocouple that leads, may be through with this climb before it
    has stood for long, and as fast as the next one wants it. Nobody beside it can tell by a
    thermocouple of such a tolerance."""
    schedule, step, for_s = course.scenario.schedule, course.steps[point], max(STANDS_S)
    around, step_points = round(for_s / GRID_S), round(MINUTE_S / GRID_S)
    first, last = max(point - around, 0), min(point + around, len(course) - 1)
    shown_c = max(course.shown_c(n, 0) for n in range(first, last + 1, step_points))
    if shown_c <= course.top_c(point) - AT_TOP_C:
        return False
    if schedule.steps[step].hold_s > 0.0 or step + 1 >= len(schedule.steps):
        return True
    coming = schedule.steps[step + 1]
    if coming.to_c <= schedule.steps[step].to_c:
        return True
    least_c = _share_c(STANDS_PART, coming.rate_c_per_h or NATURAL_C_PER_H, for_s)
    return course.moved_c(point, for_s) >= least_c


def is_one_zone(course: Course, point: int, for_s: float) -> bool:
    """Whether the other zones climb meanwhile, and have hardly left this one behind."""
    after = min(point + round(for_s / GRID_S), len(course) - 1)
    own_c, *others_c = (
        now_c - then_c
        for then_c, now_c in zip(course.temps_c[point], course.temps_c[after], strict=True)
    )
    planned_c_per_h = course.planned_c_per_h(point)
    if not others_c or planned_c_per_h is None:
        return False
    least_c = _share_c(CLIMBS_PART, planned_c_per_h, for_s)
    return min(others_c) > least_c and max(others_c) - own_c < LEFT_C


def died_slowly(course: Course, point: int, start: int) -> bool:
    """Whether the climb had been a poor one for long: it dies away, and at no time stops."""
    planned = course.planned_c_per_h(point)
    if planned is None or (point - start) * GRID_S < POOR_S:
        return False
    return course.moved_c(point, -POOR_S) < _share_c(POOR_PART, planned, POOR_S)


def first_climb(course: Course) -> int:
    """From which point on the kiln has climbed as its plan wants: before that it has not begun,
    and does not stand. Elements and bricks take their heat before the chamber shows any, in a
    kiln that begins warm as in a cold one."""
    window_s = 10 * MINUTE_S
    for point in range(len(course)):
        climbs = course.aims[point] is Aim.CLIMBING
        if climbs and not all_but_stopped(course, point, window_s):
            return point
    return len(course)
