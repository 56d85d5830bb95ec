"""Since when a kiln holds that passed its top at full pace: its own thermocouple reads less.

Knows one hold, and the way there; nothing of what comes after.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep
from supervisor.core.schedule.timeline import NATURAL_CLIMB_C_PER_H
from supervisor.core.watch.step_end import NEAR_C, SHORT_OF_C, least_pace_c_per_h

_PASSES_S, _AS_PLANNED = 300.0, 1.5
"""A kiln that has fallen on for so much longer than its hold takes, by no more than so many times
the pace of the cooling after it, is in that (common practice, no source)."""


class Arrival:
    """At the hold of ``step``, where ours should read ``top_c``; the kiln came to that at
    ``elapsed_s`` and has not slowed down yet. ``following`` is the step after the hold."""

    __slots__ = ("_arrived_s", "_following", "_step", "_top_c")

    def __init__(
        self, step: PlannedStep, top_c: float, elapsed_s: float, following: PlannedStep | None
    ) -> None:
        self._step, self._top_c, self._arrived_s = step, top_c, elapsed_s
        self._following = following

    def from_c(self, from_c: float, temp_c: float) -> float:
        """Where the hold begins, so far at ``from_c``, with the kiln farther on at ``temp_c``."""
        step = self._step
        if step.cools:
            lowest_c = min(step.to_c - SHORT_OF_C, self._top_c)
            return max(min(temp_c, from_c), lowest_c)
        return min(max(temp_c, from_c), step.to_c)

    def held_s(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> float | None:
        """How long it has been held when the kiln slows down at last, or has gone through it; None
        while neither is so."""
        step = self._step
        sign = -1.0 if step.cools else 1.0
        if rate_c_per_h * sign >= least_pace_c_per_h(step):
            return step.hold_s if self._has_passed(elapsed_s, rate_c_per_h) else None
        # The rate is known a few minutes late; what was held meanwhile counts.
        passed_c = max((temp_c - self._top_c) * sign - NEAR_C, 0.0)
        passing_s = passed_c / (step.rate_c_per_h or NATURAL_CLIMB_C_PER_H) * 3600.0
        return elapsed_s - self._arrived_s - passing_s

    def _has_passed(self, elapsed_s: float, rate_c_per_h: float) -> bool:
        """Whether the kiln, which has not slowed down, is in the cooling that follows."""
        following = self._following
        if following is None or not (self._step.cools and following.cools):
            return False
        is_due = elapsed_s - self._arrived_s >= self._step.hold_s + _PASSES_S
        most_c_per_h = _AS_PLANNED * (following.rate_c_per_h or 0.0)
        return is_due and -rate_c_per_h <= most_c_per_h
