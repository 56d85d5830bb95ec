"""The steps of the plan beside what the kiln made of them.

The watch's own follower says in which step the kiln was. It must wait until it is sure; here
the whole firing is in view, and a hold begins and ends where the kiln came to its level and left.
"""

from __future__ import annotations

import statistics
from bisect import bisect_left

from supervisor.core.review.facts import Leg, StepFacts
from supervisor.core.review.trace import Trace
from supervisor.core.schedule import PlannedStep, Schedule, Timeline
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import Activity, PlanFinished, StepBegun
from supervisor.core.watch.shed import SHED_C

_AT_LEVEL_C = 2.0
"""So near its level a kiln is at it; controllers swing by less (common practice, no source)."""
_LEAST_HOLD_S = 300.0
"""A shorter stand at a corner without a planned hold is the corner."""
_LEAST_MOVE_C = 5.0
"""Over less nobody can tell a rate."""
_TAIL_PART, _TAIL_LEAST_S = 0.5, 180.0
_NEAR_C = 25.0
"""No hold is farther from its step's end than two thermocouples in one kiln are apart."""


class Pursuit:
    """Follows the plan as the watch does, and keeps when each step was begun."""

    def __init__(self, schedule: Schedule, ambient_c: float = SHED_C) -> None:
        self._follower = PlanFollower(schedule, ambient_c)
        self.entered_s: dict[int, float] = {}
        self.finished_s: float | None = None
        self.first: int | None = None
        """The step in which the kiln was found; steps below it were passed before the log."""

    @property
    def timeline(self) -> Timeline:
        """The plan on its own clock, from where the kiln began."""
        return self._follower.timeline

    @property
    def begun_s(self) -> float | None:
        """When the plan's clock stood at 0; None while the kiln has not climbed."""
        return self._follower.begun_s

    def update(self, elapsed_s: float, temp_c: float, rate_c_per_h: float, sigma_c: float) -> None:
        """Take in the kiln as it was at one look."""
        follower = self._follower
        for move in follower.update(elapsed_s, temp_c, rate_c_per_h, sigma_c):
            if isinstance(move, StepBegun):
                if self.first is None:
                    self.first = move.step.index
                self.entered_s[move.step.index] = elapsed_s
            elif isinstance(move, PlanFinished):
                self.finished_s = elapsed_s
        if self.finished_s is not None and follower.activity is not Activity.FINISHED:
            # What was taken for the end was a dip on the way.
            self.finished_s = None


def steps_seen(pursuit: Pursuit, trace: Trace) -> tuple[StepFacts, ...]:
    """Every step of the plan, in order."""
    begun_s, first = pursuit.begun_s, pursuit.first
    steps = pursuit.timeline.steps
    if begun_s is None or first is None or not len(trace):
        return tuple(
            StepFacts(step.index + 1, step.note, _planned(step, 0.0), None, is_complete=False)
            for step in steps
        )
    start_s = max(begun_s, trace.at_s[0]) if first == 0 else _began_warm_s(pursuit, trace)
    found: list[StepFacts] = []
    for step in steps:
        planned = _planned(step, begun_s)
        entered_s = pursuit.entered_s.get(step.index)
        if entered_s is None:
            found.append(StepFacts(step.index + 1, step.note, planned, None, is_complete=False))
            continue
        following = steps[step.index + 1] if step.index + 1 < len(steps) else None
        told_s = pursuit.finished_s
        if following is not None:
            told_s = pursuit.entered_s.get(following.index)
        end_s = trace.at_s[-1] if told_s is None else told_s
        actual = _actual(trace, step, following, start_s, end_s, is_told=told_s is not None)
        start_s = actual.end_s
        found.append(_compared(step, planned, actual, is_complete=told_s is not None))
    return tuple(found)


def _began_warm_s(pursuit: Pursuit, trace: Trace) -> float:
    """When a kiln that was warm already began to climb: the last it was at its lowest."""
    until = trace.place(min(pursuit.entered_s.values()))
    lowest_c = min(trace.kiln_c[: until + 1])
    return next(
        trace.at_s[i] for i in range(until, -1, -1) if trace.kiln_c[i] <= lowest_c + _AT_LEVEL_C
    )


def _planned(step: PlannedStep, begun_s: float) -> Leg:
    return Leg(
        begun_s + step.start_s,
        begun_s + step.reach_s,
        begun_s + step.end_s,
        step.from_c,
        step.to_c,
        step.rate_c_per_h,
    )


def _actual(
    trace: Trace,
    step: PlannedStep,
    following: PlannedStep | None,
    start_s: float,
    end_s: float,
    *,
    is_told: bool,
) -> Leg:
    """The kiln's own leg from ``start_s`` to where it left, which was told at ``end_s``."""
    start, end = trace.place(start_s), trace.place(end_s)
    from_c = trace.temp_at(start_s)
    kiln_c = trace.kiln_c
    sign = -1.0 if step.cools else 1.0
    extreme = max(range(start, end + 1), key=lambda i: sign * kiln_c[i])
    level_c = _level_c(trace, step, start, end)
    turns = (following is None or following.cools) and step.climbs
    if not is_told:
        # Broken off: what came after the kiln fell away is no part of the step.
        while end > start and sign * (kiln_c[end] - level_c) < -_AT_LEVEL_C:
            end -= 1
        left_s = trace.at_s[end]
    elif following is None and step.climbs:
        # The plan is through once its hold has been; the kiln may stand for longer.
        while end + 1 < len(trace) and kiln_c[end + 1] >= level_c - _AT_LEVEL_C:
            end += 1
        while end > start and kiln_c[end] < level_c - _AT_LEVEL_C:
            end -= 1
        left_s = trace.at_s[end]
    elif step.hold_s > 0.0 or turns:
        # What is told of a departure comes some degrees after it.
        away = -1.0 if following is not None and following.cools else 1.0
        while end > start and away * (kiln_c[end] - level_c) > _AT_LEVEL_C:
            end -= 1
        left_s = trace.at_s[end]
    else:
        left_s = end_s
    reach_s = None
    has_come_up = is_told or abs(level_c - step.to_c) <= _NEAR_C
    if (step.hold_s > 0.0 or turns) and has_come_up:
        reach_s = trace.first_at(level_c - sign * _AT_LEVEL_C, start, end, rising=sign > 0.0)
    if reach_s is None:
        reach_s = left_s
    reach_s, left_s = max(reach_s, start_s), max(left_s, start_s, reach_s)
    if step.hold_s <= 0.0 and left_s - reach_s < _LEAST_HOLD_S:
        reach_s = left_s
    to_c = level_c if step.hold_s > 0.0 else kiln_c[extreme]
    moved_c, took_s = abs(trace.temp_at(reach_s) - from_c), reach_s - start_s
    rate_c_per_h = moved_c / took_s * 3600.0 if moved_c >= _LEAST_MOVE_C and took_s > 0.0 else None
    return Leg(start_s, reach_s, left_s, from_c, to_c, rate_c_per_h)


def _level_c(trace: Trace, step: PlannedStep, start: int, end: int) -> float:
    """Where the kiln stood at the end of the step: what it showed for longest near its top."""
    kiln_c, at_s = trace.kiln_c, trace.at_s
    inside = kiln_c[start : end + 1]
    extreme_c = min(inside) if step.cools else max(inside)
    if step.hold_s <= 0.0:
        return extreme_c
    near = [i for i in range(start, end + 1) if abs(kiln_c[i] - step.to_c) <= _NEAR_C]
    if not near:
        return extreme_c
    tail_s = max(_TAIL_PART * step.hold_s, _TAIL_LEAST_S)
    # The stillest stretch of that length near the top is the hold.
    best_c, best_spread = extreme_c, float("inf")
    for i in near:
        j = bisect_left(at_s, at_s[i] + tail_s, i, near[-1] + 1)
        if j > near[-1]:
            break
        spread = max(kiln_c[i : j + 1]) - min(kiln_c[i : j + 1])
        if spread < best_spread:
            best_spread, best_c = spread, statistics.median(kiln_c[i : j + 1])
    return best_c


def _compared(step: PlannedStep, planned: Leg, actual: Leg, *, is_complete: bool) -> StepFacts:
    rate_off = None
    if planned.rate_c_per_h is not None and actual.rate_c_per_h is not None and is_complete:
        rate_off = actual.rate_c_per_h - planned.rate_c_per_h
    return StepFacts(
        step.index + 1,
        step.note,
        planned,
        actual,
        is_complete,
        late_s=actual.end_s - planned.end_s if is_complete else None,
        rate_off_c_per_h=rate_off,
        hold_off_s=actual.hold_s - planned.hold_s if is_complete else None,
        top_off_c=actual.to_c - planned.to_c if is_complete else None,
    )
