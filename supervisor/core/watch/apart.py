"""How much more our thermocouple reads than the kiln's own, told from where the kiln holds.

Two thermocouples in one kiln differ, by their place and by their wire. Knows nothing of what the
plan wants next.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.step_end import MOST_APART_C

_LEVEL_S, _LEVEL_PART, _LEVEL_C_PER_H = 300.0, 0.4, 20.0
"""A hold seen for so long, or for this part of a short one, and no faster than that, tells where
this kiln holds."""
_LATER_PART = 0.5
"""The first corner counts whole, each later one for this part of what it tells anew."""


class Apart:
    """What the plan's corners have told so far, and the level of the hold that goes on."""

    __slots__ = ("_apart_c", "_before_c", "_level_c", "_level_s")

    def __init__(self) -> None:
        self._apart_c: float | None = None
        self._before_c: float | None = None
        """What was known before the last corner."""
        self._level_c = self._level_s = 0.0

    @property
    def apart_c(self) -> float:
        """The difference in °C; 0 while no corner has told."""
        return self._apart_c or 0.0

    def learn(self, apart_c: float) -> None:
        """A corner of the plan has shown that ours reads so much more than the kiln's own."""
        self._before_c = self._apart_c
        apart_c = min(max(apart_c, -MOST_APART_C), MOST_APART_C)
        if self._apart_c is None:
            self._apart_c = apart_c
        else:
            self._apart_c += _LATER_PART * (apart_c - self._apart_c)

    def take_back(self) -> None:
        """The last corner was none."""
        self._apart_c = self._before_c

    def hold_begins(self) -> None:
        """What was seen of an earlier hold counts no more."""
        self._level_c = self._level_s = 0.0

    def see(self, dt_s: float, temp_c: float, rate_c_per_h: float) -> None:
        """Take in where the kiln holds: a mean over the time in which it does."""
        if abs(rate_c_per_h) < _LEVEL_C_PER_H and dt_s > 0.0:
            self._level_s += dt_s
            self._level_c += dt_s / self._level_s * (temp_c - self._level_c)

    def level_c(self, step: PlannedStep) -> float | None:
        """Where this kiln holds at the end of ``step``; None while too little is seen of it."""
        if self._level_s <= 0.0 or self._level_s < min(_LEVEL_S, _LEVEL_PART * step.hold_s):
            return None
        return min(max(self._level_c, step.to_c - MOST_APART_C), step.to_c + MOST_APART_C)
