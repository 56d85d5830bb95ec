"""A kiln that climbs faster than by its plan, at its top or when it should be off.

A controller gives a climb no more heat than its pace takes, and a hold less; a relay that welds
gives all that there is. The figures are common practice, no source.
"""

from __future__ import annotations

from collections import deque

from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.standing import SWING_MARGIN
from supervisor.core.watch.detectors.steadily import DIP_C

AHEAD_C = 4.0
"""So far ahead of the pace of its last climb no controller comes that holds."""
_MINUTES = 12
"""A dip that is older has been made good."""
_RISEN_C, _RISEN_FROM_DIP_C = 2.0, 8.0
"""Hotter than it was in the minutes before, where it has not dipped; what comes back steeply from a
dip may pass that by less than the second, or seem to."""
_PAST_TOP_C, _FAR_C = 3.0, 50.0
"""It is told beyond the first, and looked at from the second below the top."""
_SURGES_C_PER_H = 100.0
"""No hold comes back to where it was so fast, and goes on past it."""
_AS_FAST = 0.5
"""Where the other zones do not climb at this part of its pace it is one zone, which is told by
leaving them."""


class Hurry:
    """Adds up how far the kiln gets ahead of the pace of its last climb, in °C (Page 1954)."""

    __slots__ = ("_ahead_c", "_from_c", "_minute_s", "_minutes_c")

    def __init__(self) -> None:
        self._ahead_c = self._from_c = 0.0
        self._minutes_c: deque[float] = deque(maxlen=_MINUTES)
        self._minute_s = float("-inf")

    def forget(self) -> None:
        """The kiln is not at its top."""
        self._ahead_c = 0.0
        self._minutes_c.clear()

    def look(self, moment: Moment, temp_c: float) -> float:
        """Take in the kiln that should hold or be off; how far a controller's kiln is ahead, where
        it is hotter than it was before it got ahead, else 0."""
        step = moment.plan.step
        if step is None or temp_c < step.to_c - _FAR_C:
            self._ahead_c = 0.0
            return 0.0
        if step.cools or step.rate_c_per_h is None or not is_kept(moment):
            self.forget()
            return 0.0
        if self._ahead_c == 0.0:
            self._from_c = temp_c
            if moment.elapsed_s >= self._minute_s:
                self._minute_s = moment.elapsed_s + 60.0
                self._minutes_c.append(temp_c)
        paced_c = step.rate_c_per_h * moment.moved_s / 3600.0
        ahead_c = self._ahead_c + moment.moved_c - paced_c
        self._ahead_c = ahead_c = max(ahead_c, 0.0)
        if ahead_c <= AHEAD_C or ahead_c <= SWING_MARGIN * moment.habits.swing_c:
            return 0.0
        was_c = max(self._minutes_c, default=temp_c)
        stood_c, has_dipped = was_c, was_c - self._from_c > DIP_C
        was_c += _RISEN_FROM_DIP_C if has_dipped else _RISEN_C
        # Who stood short of the top may go as far past it: his own thermocouple reads less.
        past_c = max(step.to_c - stood_c, _PAST_TOP_C)
        if temp_c <= max(was_c, step.to_c + past_c):
            return 0.0
        others_c_per_h = moment.others_rate_c_per_h
        if others_c_per_h is not None and others_c_per_h <= _AS_FAST * moment.rate_c_per_h:
            return 0.0
        return ahead_c


def surges(moment: Moment, temp_c: float, before_c: list[float]) -> bool:
    """Whether a controller's kiln climbs in a hurry, hotter than it was in ``before_c``, the
    minutes before it began to: what comes back from a dip does not pass that."""
    if not before_c or moment.rate_c_per_h < _SURGES_C_PER_H or not is_kept(moment):
        return False
    return temp_c > max(before_c) + _RISEN_FROM_DIP_C
