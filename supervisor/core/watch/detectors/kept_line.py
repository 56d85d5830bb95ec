"""Whether the climb has been a straight line, as a controller makes it and no hand.

Knows one climb. Whoever looks at taps, switches or a fire each half an hour lets the kiln wander
about its plan by some degrees, even where it comes to every corner in time. The figures are common
practice, no source.
"""

from __future__ import annotations

from collections import deque

from supervisor.core.watch.detectors.moment import Moment

_MINUTES, _LEAST_MINUTES = 90, 60
"""How far back that is looked at, and how much must be seen of it."""
_STRAIGHT_C = 4.0
"""Within so much, and the noise, from its lowest to its highest a kiln keeps to the line."""


class KeptLine:
    """How far the kiln has been off the line that its plan draws from where it was."""

    __slots__ = ("_at_s", "_off_c", "_offs_c", "_temp_c")

    def __init__(self) -> None:
        self._offs_c: deque[float] = deque(maxlen=_MINUTES)
        self._off_c = self._temp_c = 0.0
        self._at_s: float | None = None

    def _forget(self) -> bool:
        """The plan does not climb at a pace of its own; whether it did."""
        if self._at_s is None:
            return False
        self._offs_c.clear()
        self._at_s = None
        return True

    def look(self, moment: Moment, temp_c: float) -> bool:
        """Take in the kiln, in order of time; whether it is a look to go by: a minute is over, or
        the climb is."""
        step = moment.plan.step
        if not moment.plan.climbs or step is None or step.rate_c_per_h is None:
            return self._forget()
        if self._at_s is None:
            self._at_s, self._temp_c, self._off_c = moment.elapsed_s, temp_c, 0.0
        since_s = moment.elapsed_s - self._at_s
        if since_s < 60.0:
            return False
        self._off_c += temp_c - self._temp_c - step.rate_c_per_h * since_s / 3600.0
        self._at_s, self._temp_c = moment.elapsed_s, temp_c
        self._offs_c.append(self._off_c)
        return True

    def is_straight(self, sigma_c: float) -> bool:
        """Whether the kiln has kept to the line, its temperature known to ``sigma_c``."""
        offs_c = self._offs_c
        if len(offs_c) < _LEAST_MINUTES:
            return False
        return max(offs_c) - min(offs_c) < _STRAIGHT_C + sigma_c
