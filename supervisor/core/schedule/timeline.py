"""When the plan should be where: temperature at any elapsed time, start and end of each step.

Natural steps have no rate of their own, so their length is an estimate: it assumes a climb at
``NATURAL_CLIMB_C_PER_H`` and a cooling kiln that loses its heat towards the shed with the time
constant ``NATURAL_COOLING_S``. Both are typical of a brick-lined studio kiln (common practice,
no source); the watch never alarms on the length of a natural step.

A plan that ends hot is over before its kiln is cold: ``natural_cooling`` is what comes then.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field

from supervisor.core.schedule.model import Schedule

NATURAL_CLIMB_C_PER_H = 200.0
NATURAL_COOLING_S = 5.0 * 3600.0
DEFAULT_START_C = 20.0
_NEAREST_TO_SHED_C = 5.0
"""Natural cooling never quite arrives at the shed's temperature; this near counts as there."""
COLD_C = 500.0
"""A day here gives no cone a hundredth of its heat-work: nobody follows a cooling farther."""


def natural_cooling_s(from_c: float, to_c: float, shed_c: float) -> float:
    """Seconds that a shut kiln takes from ``from_c`` down to ``to_c``, in °C as the shed's."""
    floor_c = _floor_c(to_c, shed_c)
    return NATURAL_COOLING_S * math.log((from_c - floor_c) / (to_c - floor_c))


def natural_cooling(
    from_c: float, shed_c: float, every_s: float = 60.0
) -> Iterator[tuple[float, float]]:
    """How a shut kiln falls from ``from_c`` to ``COLD_C``: seconds since, and °C.

    A point every ``every_s``, not that at the start, the last one at ``COLD_C`` itself. None
    from a kiln that is no hotter than that.
    """
    if from_c <= COLD_C:
        return
    floor_c = _floor_c(COLD_C, shed_c)
    end_s = natural_cooling_s(from_c, COLD_C, shed_c)
    for n in range(1, math.ceil(end_s / every_s)):
        yield n * every_s, _cooled_c(from_c, floor_c, n * every_s)
    yield end_s, COLD_C


def _floor_c(to_c: float, shed_c: float) -> float:
    # Below the shed's temperature there is nothing to cool towards.
    return min(shed_c, to_c - _NEAREST_TO_SHED_C)


def _cooled_c(from_c: float, floor_c: float, since_s: float) -> float:
    return floor_c + (from_c - floor_c) * math.exp(-since_s / NATURAL_COOLING_S)


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step laid on the clock: it moves from ``start_s`` to ``reach_s``, holds to ``end_s``.

    ``rate_c_per_h`` is positive as in the schedule, ``None`` for a natural step.
    """

    index: int
    start_s: float
    reach_s: float
    end_s: float
    from_c: float
    to_c: float
    rate_c_per_h: float | None
    note: str
    hold_s: float = field(init=False)
    climbs: bool = field(init=False)
    cools: bool = field(init=False)

    def __post_init__(self) -> None:
        # Worked out once: the watch asks for them at each look.
        object.__setattr__(self, "hold_s", self.end_s - self.reach_s)
        object.__setattr__(self, "climbs", self.to_c > self.from_c)
        object.__setattr__(self, "cools", self.to_c < self.from_c)

    def temp_at(self, elapsed_s: float, shed_c: float) -> float:
        """Planned temperature in °C at ``elapsed_s``, which lies within the step."""
        if elapsed_s >= self.reach_s:
            return self.to_c
        since_s = elapsed_s - self.start_s
        if self.rate_c_per_h is None and self.cools:
            return _cooled_c(self.from_c, _floor_c(self.to_c, shed_c), since_s)
        part = since_s / (self.reach_s - self.start_s)
        return self.from_c + part * (self.to_c - self.from_c)

    def time_at(self, temp_c: float, shed_c: float) -> float:
        """When the step passes ``temp_c``, in elapsed seconds; its ends where it never does."""
        low, high = sorted((self.from_c, self.to_c))
        temp_c = min(max(temp_c, low), high)
        if self.from_c == self.to_c:
            return self.start_s
        if self.rate_c_per_h is None and self.cools:
            floor_c = _floor_c(self.to_c, shed_c)
            ratio = (self.from_c - floor_c) / (temp_c - floor_c)
            return self.start_s + NATURAL_COOLING_S * math.log(ratio)
        part = (temp_c - self.from_c) / (self.to_c - self.from_c)
        return self.start_s + part * (self.reach_s - self.start_s)


class Timeline:
    """A schedule laid on the clock from ``start_c``, the kiln's temperature when it begins.

    >>> from supervisor.core.schedule.model import Step
    >>> plan = Timeline(Schedule("test", (Step(620.0, 100.0, hold_s=600.0),)), start_c=20.0)
    >>> plan.total_s, plan.at(3 * 3600.0), plan.at(6 * 3600.0 + 60.0)
    (22200.0, 320.0, 620.0)
    """

    __slots__ = ("_starts", "shed_c", "start_c", "steps", "total_s")

    def __init__(
        self, schedule: Schedule, start_c: float = DEFAULT_START_C, shed_c: float | None = None
    ) -> None:
        self.start_c = start_c
        self.shed_c = min(start_c, DEFAULT_START_C) if shed_c is None else shed_c
        steps: list[PlannedStep] = []
        now_s, now_c = 0.0, start_c
        for index, step in enumerate(schedule.steps):
            move_s = self._move_s(now_c, step.to_c, step.rate_c_per_h)
            reach_s = now_s + move_s
            end_s = reach_s + step.hold_s
            steps.append(
                PlannedStep(
                    index, now_s, reach_s, end_s, now_c, step.to_c, step.rate_c_per_h, step.note
                )
            )
            now_s, now_c = end_s, step.to_c
        self.steps = tuple(steps)
        self.total_s = now_s
        self._starts = [step.start_s for step in steps]

    def _move_s(self, from_c: float, to_c: float, rate_c_per_h: float | None) -> float:
        if rate_c_per_h is not None:
            return abs(to_c - from_c) / rate_c_per_h * 3600.0
        if to_c >= from_c:
            return (to_c - from_c) / NATURAL_CLIMB_C_PER_H * 3600.0
        return natural_cooling_s(from_c, to_c, self.shed_c)

    def step_at(self, elapsed_s: float) -> PlannedStep:
        """The step that is planned at ``elapsed_s``; the first before, the last after the plan."""
        return self.steps[max(0, bisect_right(self._starts, elapsed_s) - 1)]

    def after(self, step: PlannedStep) -> PlannedStep | None:
        """The step that follows; None after the last."""
        return self.steps[step.index + 1] if step.index + 1 < len(self.steps) else None

    def at(self, elapsed_s: float) -> float:
        """Planned temperature in °C at ``elapsed_s``; the end's after the end."""
        if elapsed_s <= 0.0:
            return self.start_c
        return self.step_at(elapsed_s).temp_at(elapsed_s, self.shed_c)

    def cooling(self, every_s: float = 60.0) -> Iterator[tuple[float, float]]:
        """What comes after the plan as (elapsed_s, temp_c): its kiln left to itself, to 500 °C.

        Nothing where the plan ends no hotter than that (``COLD_C``).
        """
        for since_s, temp_c in natural_cooling(self.steps[-1].to_c, self.shed_c, every_s):
            yield self.total_s + since_s, temp_c

    def points(self, every_s: float = 300.0) -> list[tuple[float, float]]:
        """The plan as (elapsed_s, temp_c) for drawing: corners, and curves every ``every_s``."""
        drawn = [(0.0, self.start_c)]
        for step in self.steps:
            if step.rate_c_per_h is None and step.cools:
                count = int((step.reach_s - step.start_s) // every_s)
                for n in range(1, count + 1):
                    at_s = step.start_s + n * every_s
                    drawn.append((at_s, step.temp_at(at_s, self.shed_c)))
            drawn.append((step.reach_s, step.to_c))
            if step.end_s > step.reach_s:
                drawn.append((step.end_s, step.to_c))
        return drawn
