"""Whether what the watch says is so: its alerts against the true course.

In a firing in which nothing is broken an alert may still be right: a hand heats too fast, a
controller stands paused for forty minutes, a burner is turned down too far. What the truth does
not bear out is a false alarm.
"""

from __future__ import annotations

from collections.abc import Mapping

from simulator.faults import OF_A_CHANNEL, FaultKind
from simulator.operation import OperatorKind
from supervisor.core.events import Event, Kind, Value
from supervisor.fleet.course import GRID_S, HEATS, MINUTE_S, Aim, Course
from supervisor.fleet.ideal import OFFSET_C
from supervisor.fleet.standing import all_but_stopped, reduces
from supervisor.fleet.wanted import FALLS_C, FELL_BETWEEN_STOKES_C, apart_c

OF_THE_RIG = frozenset({Kind.SENSOR_FAULT, Kind.NO_READINGS})
ENDED_SHORT_C = 50.0
ROSE_C = 10.0
_PACE_C = 20.0
"""A pace is that of at least so many degrees."""
_LOOK_BACK_S = 60 * MINUTE_S
_UNEVEN_PART = 0.9
_LEFT_PART = 0.7
_LEFT_S = 15 * MINUTE_S


def is_so(event: Event, course: Course) -> bool:
    """Whether the true course bears out what the event says.

    A sensor fault is so while that channel has one, silence while no channel gives a value; a
    door that nobody opened never is.
    """
    if event.kind in OF_THE_RIG:
        return _rig_is_bad(event, course)
    rule = _RULES.get(event.kind)
    return rule is not None and rule(course, course.at(event.elapsed_s), event.data)


def _rig_is_bad(event: Event, course: Course) -> bool:
    onset_s, faults = course.onset_s, course.scenario.faults
    if onset_s is None or event.elapsed_s < onset_s:
        return False
    fault = faults[0]
    if fault.kind is FaultKind.SILENT_RIG:
        return True
    if fault.kind not in OF_A_CHANNEL:
        return False
    if event.kind is Kind.NO_READINGS:
        return len(course.scenario.sensors) == 1
    return event.channel == fault.channel


def _stalled(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    del data
    # Said early, it is borne out by what comes as much as by what has been.
    window = round(10 * MINUTE_S / GRID_S)
    stands = any(
        all_but_stopped(course, start, 10 * MINUTE_S)
        for start in range(max(0, point - window), point + 1)
    )
    return stands and not reduces(course, point)


def _lost(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    del data
    scenario = course.scenario
    heats = course.aims[point] in HEATS
    if course.aims[point] is Aim.FINISHED:
        # Whoever ends a firing far below its top, a step left out, has taken the heat away.
        reached_c = max(course.lead_c(n) for n in range(point + 1))
        heats = reached_c < scenario.schedule.peak_c - ENDED_SHORT_C
    if not heats:
        return False
    stokes = scenario.operation.kind is OperatorKind.STOKING
    low_c = max(_last_c(course, point, 30 * MINUTE_S))
    low_c -= FELL_BETWEEN_STOKES_C if stokes else FALLS_C
    # A plug out of its spyhole is no loss: what has fallen must still be down a little later.
    later = min(point + round(3 * MINUTE_S / GRID_S), len(course) - 1)
    return course.lead_c(point) <= low_c and course.lead_c(later) <= low_c


def _stuck(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    del data
    if course.aims[point] is Aim.CLIMBING:
        return False
    temp_c = course.lead_c(point)
    if temp_c - min(_last_c(course, point, _LOOK_BACK_S)) >= ROSE_C and (
        course.aims[point] is not Aim.HOLDING
    ):
        return True
    return temp_c >= course.top_c(point) + ROSE_C - OFFSET_C


def _over(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    """What counts is what the probe shows: how far it may be from the operator's is the
    tolerance's business."""
    top_c = _number(data, "top_c")
    first = max(0, point - round(5 * MINUTE_S / GRID_S))
    return top_c is not None and any(
        course.shown_c(n, 0) >= top_c + ROSE_C for n in range(first, point + 1)
    )


def _hurried(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    fastest_c_per_h = _number(data, "fastest_c_per_h")
    if data.get("band") is None or fastest_c_per_h is None:
        return False
    first = max(1, point - round(_LOOK_BACK_S / GRID_S))
    for end in range(first, point + 1):
        start = end
        while start > 0 and abs(course.lead_c(end) - course.lead_c(start)) < _PACE_C:
            start -= 1
        moved_c = abs(course.lead_c(end) - course.lead_c(start))
        if moved_c >= _PACE_C and moved_c * 3600.0 > fastest_c_per_h * (end - start) * GRID_S:
            return True
    return False


def _apart(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    left_c = _number(data, "left_c")
    if left_c is not None and _left_behind(course, point, data, _LEFT_PART * left_c):
        return True
    allowed_c = _number(data, "allowed_c")
    return allowed_c is not None and apart_c(course, point) >= _UNEVEN_PART * allowed_c


def _left_behind(course: Course, point: int, data: Mapping[str, Value], least_c: float) -> bool:
    """Whether that channel has been left by the others, and is no nearer to them later."""
    channels = course.scenario.channels
    if data.get("cold") not in channels:
        return False
    cold = channels.index(str(data["cold"]))

    def behind_c(at: int) -> float:
        shown_c = [course.shown_c(at, n) for n in range(len(channels))]
        return (sum(shown_c) - shown_c[cold]) / (len(channels) - 1) - shown_c[cold]

    before = max(0, point - round(_LEFT_S / GRID_S))
    later = min(point + round(_LEFT_S / GRID_S), len(course) - 1)
    return min(behind_c(point), behind_c(later)) - behind_c(before) >= least_c


def _dies_away(course: Course, point: int, data: Mapping[str, Value]) -> bool:
    to_c = _number(data, "to_c")
    if to_c is None:
        return False
    step = course.steps[point]
    reached_c = max(
        (course.lead_c(n) for n in range(point, len(course)) if course.steps[n] == step),
        default=course.lead_c(point),
    )
    return reached_c < to_c - ROSE_C + OFFSET_C


def _number(data: Mapping[str, Value], key: str) -> float | None:
    value = data.get(key)
    return float(value) if isinstance(value, int | float) else None


def _last_c(course: Course, point: int, for_s: float) -> list[float]:
    first = max(0, point - round(for_s / GRID_S))
    return [course.lead_c(n) for n in range(first, point + 1)]


_RULES = {
    Kind.STALL: _stalled,
    Kind.HEAT_LOST: _lost,
    Kind.HEAT_STUCK_ON: _stuck,
    Kind.OVERSHOOT: _over,
    Kind.FAST_HEATING: _hurried,
    Kind.FAST_COOLING: _hurried,
    Kind.UNEVEN: _apart,
    Kind.LAGGING: _dies_away,
}
