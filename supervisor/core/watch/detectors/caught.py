"""Whether a kiln that came down to a hold is being caught there. Knows its rates of lately.

A controller gives no heat while the kiln comes down, and then has to heat up its elements and to
wind up its integral: the kiln falls through its hold, ever more slowly, and turns.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.moment import Moment

_FADES_S, _SLOWED = 900.0, 0.7
"""A kiln without heat, which falls with its walls, takes longer than the first to lose so much of
its rate (common practice, no source)."""
_CATCHES_C = 25.0
"""By so much below its hold none is caught that a controller works (common practice, no source)."""
_COMES_UP_C, _COMES_UP_S = 9.0, 1800.0
"""Whoever has caught it gives too much heat at first (common practice, no source)."""
_TURNED_C, _RUNS_C_PER_H = 14.0, 40.0
"""What has turned and come up by so much, past the hold by more than what comes up, as fast and
without slowing, is not caught but heated on (common practice, no source)."""


class Caught:
    """Feed it with ``look`` as long as the step is one that cools."""

    __slots__ = ("_fall_c_per_h",)

    def __init__(self) -> None:
        self._fall_c_per_h = 0.0
        """The fastest fall of lately, which fades."""

    def forget(self) -> None:
        """The kiln does not come down."""
        self._fall_c_per_h = 0.0

    def look(self, moment: Moment, temp_c: float, to_c: float) -> bool:
        """Take in the kiln, on its way down to a hold at ``to_c``; whether it falls clearly more
        slowly than it did not long ago, and is near enough."""
        falls_c_per_h = -moment.rate_c_per_h
        faded = self._fall_c_per_h * (1.0 - min(moment.moved_s / _FADES_S, 1.0))
        self._fall_c_per_h = max(faded, falls_c_per_h)
        return falls_c_per_h < _SLOWED * self._fall_c_per_h and temp_c > to_c - _CATCHES_C


class RunsUp:
    """Feed it with ``look`` from when a kiln has come down to its hold."""

    __slots__ = ("_climb_c_per_h",)

    def __init__(self) -> None:
        self._climb_c_per_h = 0.0
        """The fastest climb since then."""

    def forget(self) -> None:
        """Another step has begun."""
        self._climb_c_per_h = 0.0

    def look(self, moment: Moment, temp_c: float, to_c: float, climb_c: float) -> bool:
        """Take in the kiln, which has climbed by ``climb_c`` since it turned; whether it climbs on
        past its hold at ``to_c`` as none does that a controller catches."""
        step, rate_c_per_h = moment.plan.step, moment.rate_c_per_h
        if step is None or not step.cools or not is_kept(moment):
            return False
        self._climb_c_per_h = max(self._climb_c_per_h, rate_c_per_h)
        if rate_c_per_h < max(_RUNS_C_PER_H, _SLOWED * self._climb_c_per_h):
            return False
        return climb_c > _TURNED_C + moment.sigma_c and temp_c > to_c + _COMES_UP_C + moment.sigma_c


def comes_up_c(moment: Moment, held_s: float) -> float:
    """How far a kiln may come up above a hold to which it has come down, ``held_s`` ago."""
    step = moment.plan.step
    return _COMES_UP_C if step is not None and step.cools and held_s < _COMES_UP_S else 0.0
