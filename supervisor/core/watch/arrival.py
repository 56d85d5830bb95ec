"""Since when a kiln holds that passed its top at full pace: its own thermocouple reads less.

Knows one hold, and the way there; nothing of what comes after.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep
from supervisor.core.schedule.timeline import NATURAL_CLIMB_C_PER_H
from supervisor.core.watch.step_end import NEAR_C, SHORT_OF_C, least_pace_c_per_h


class Arrival:
    """At the hold of ``step``, where ours should read ``top_c``; the kiln came to that at
    ``elapsed_s`` and has not slowed down yet."""

    __slots__ = ("_arrived_s", "_step", "_top_c")

    def __init__(self, step: PlannedStep, top_c: float, elapsed_s: float) -> None:
        self._step, self._top_c, self._arrived_s = step, top_c, elapsed_s

    def from_c(self, from_c: float, temp_c: float) -> float:
        """Where the hold begins, so far at ``from_c``, with the kiln farther on at ``temp_c``."""
        step = self._step
        if step.cools:
            lowest_c = min(step.to_c - SHORT_OF_C, self._top_c)
            return max(min(temp_c, from_c), lowest_c)
        return min(max(temp_c, from_c), step.to_c)

    def held_s(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> float | None:
        """How long it has been held when the kiln slows down at last; None while it does not."""
        step = self._step
        sign = -1.0 if step.cools else 1.0
        if rate_c_per_h * sign >= least_pace_c_per_h(step):
            return None
        # The rate is known a few minutes late; what was held meanwhile counts.
        passed_c = max((temp_c - self._top_c) * sign - NEAR_C, 0.0)
        passing_s = passed_c / (step.rate_c_per_h or NATURAL_CLIMB_C_PER_H) * 3600.0
        return elapsed_s - self._arrived_s - passing_s
