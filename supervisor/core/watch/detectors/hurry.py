"""A kiln at its top that climbs faster than it did to get there. Knows one hold and its climb.

A controller gives a climb no more heat than its pace takes, and a hold less; a relay that welds
gives all that there is. The figures are common practice, no source.
"""

from __future__ import annotations

from collections import deque

from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.moment import Moment

_MINUTES = 12
_RISEN_C = 2.0
"""A kiln that comes back from a dip is not hotter than it was in the minutes before, or by less."""
_NEAR_TOP_C = 10.0


class Hurry:
    """Adds up how far the kiln gets ahead of the pace of its last climb, in °C (Page 1954)."""

    __slots__ = ("_minute_s", "_minutes_c", "ahead_c")

    def __init__(self) -> None:
        self.ahead_c = 0.0
        self._minutes_c: deque[float] = deque(maxlen=_MINUTES)
        self._minute_s = float("-inf")

    def forget(self) -> None:
        """The kiln is not at its top."""
        self.ahead_c = 0.0

    def look(self, moment: Moment, temp_c: float, limit_c: float) -> bool:
        """Take in the kiln that should hold or be off; whether a controller's kiln is ahead by
        more than ``limit_c``, and hotter than it was before it got ahead."""
        step = moment.plan.step
        was_c = max(self._minutes_c, default=temp_c)
        if self.ahead_c == 0.0 and moment.elapsed_s >= self._minute_s:
            self._minute_s = moment.elapsed_s + 60.0
            self._minutes_c.append(temp_c)
        if step is None or step.cools or step.rate_c_per_h is None or not is_kept(moment):
            self.ahead_c = 0.0
            return False
        paced_c = step.rate_c_per_h * moment.moved_s / 3600.0
        self.ahead_c = max(self.ahead_c + moment.moved_c - paced_c, 0.0)
        is_hotter = temp_c > max(was_c + _RISEN_C, step.to_c - _NEAR_TOP_C)
        return is_hotter and self.ahead_c > limit_c
