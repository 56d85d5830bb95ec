"""Whether a hold has gone on so quietly that it shows where its kiln holds. Knows one hold."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.moment import Moment

CREEP_C_PER_H = 6.0
"""Walls that are soaked let a kiln creep upwards by less (common practice, no source)."""
SETTLED_S = 300.0
"""A hold that has been slow for so long shows where this kiln holds."""
_SETTLED_MINUTES = 6
"""So has one that has not moved over so many minutes, whatever its rate seemed to be: noise alone
makes the rate of a rough rig wander beyond a creep."""


class Settled:
    """Feed it with ``look`` as long as it is not known where the kiln holds."""

    __slots__ = ("_slow_since_s",)

    def __init__(self) -> None:
        self._slow_since_s: float | None = None

    def forget(self) -> None:
        """Another hold begins, or this one anew."""
        self._slow_since_s = None

    def look(self, moment: Moment, all_minutes_c: Sequence[float]) -> bool:
        """Take in the kiln, and how hot it was at each of the last minutes; whether it is quiet."""
        minutes_c = all_minutes_c[-_SETTLED_MINUTES:]
        if len(minutes_c) == _SETTLED_MINUTES and is_kept(moment):
            creeps_c = 2.0 * CREEP_C_PER_H * SETTLED_S / 3600.0
            if max(minutes_c) - min(minutes_c) < creeps_c + 2.0 * moment.sigma_c:
                return True
        if abs(moment.rate_c_per_h) > 2.0 * CREEP_C_PER_H + moment.rate_sigma_c_per_h:
            self._slow_since_s = None
            return False
        if self._slow_since_s is None:
            self._slow_since_s = moment.elapsed_s
        return moment.elapsed_s - self._slow_since_s >= SETTLED_S
