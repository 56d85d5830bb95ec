"""How this kiln is worked, learned as it goes: its own pace, how closely it keeps its plan.

A controller keeps a planned rate to within a few parts in a hundred; a person at switches, a
gas tap or a firebox wanders about it. What is a fault in the one is Tuesday in the other, so
thresholds widen for a kiln that has been seen to wander. Knows nothing of what is a fault.

The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.watch.follower import PlanFollower

_LOOK_S = 30.0
"""Habits are minutes long: looking more often costs and tells nothing."""
_PACE_S, _OWN_S, _WANDER_S, _BRISK_S = 300.0, 45 * 60.0, 50 * 60.0, 20 * 60.0
"""Over which the present pace, the kiln's own pace and its wandering are remembered, and over
which a climb must go to count as one of the fastest."""
_HOT_C = 300.0
"""Any kiln can be hurried while it is cold; what it manages when it is hot is its own."""
_FIRST_WANDER = 0.35
"""Trust is earned: a kiln counts as worked by hand until it has shown otherwise."""
_CLOSE, _LOOSE = 0.15, 0.40
"""A mean distance from the planned rate, as a part of it: a controller's, and a person's."""
_SETTLING_S = 600.0
"""The corner of a plan is taken as it comes: its first minutes say nothing of habits."""
_LEAST_OWN_C_PER_H = 8.0
_BEHIND, _LEAST_SWING_C, _MOST_SWING_C = 0.8, 1.0, 9.0
"""Against this part of its own pace a swing is measured; smaller ones are noise, and larger ones
count as this."""


class Habits:
    """``own_c_per_h`` is the climb that this kiln has lately made, None before it has climbed, and
    ``fastest_c_per_h`` the fastest of them while it was hot;
    ``looseness`` is 0 for a kiln that keeps its plan closely, 1 for one that wanders.

    ``swing_c`` is how far it has lately fallen behind its own pace and caught up again.

    ``is_suspect`` is set while a detector suspects a fault: then nothing is learned.
    """

    __slots__ = (
        "_behind_c",
        "_brisk_c_per_h",
        "_deepest_c",
        "_moved_c",
        "_over_s",
        "_pace_c_per_h",
        "_step_index",
        "_step_since_s",
        "_swing",
        "_wander",
        "fastest_c_per_h",
        "is_suspect",
        "looseness",
        "own_c_per_h",
        "swing_c",
    )

    def __init__(self) -> None:
        self.own_c_per_h: float | None = None
        self.fastest_c_per_h: float | None = None
        self.looseness = self._loose(_FIRST_WANDER)
        self.is_suspect = False
        self._wander = _FIRST_WANDER
        self.swing_c = 0.0
        self._swing = Swing(0.0)
        self._behind_c = self._deepest_c = 0.0
        self._brisk_c_per_h = 0.0
        self._moved_c = 0.0
        self._over_s = 0.0
        self._pace_c_per_h: float | None = None
        self._step_index = -1
        self._step_since_s = 0.0

    def look(
        self, plan: PlanFollower, elapsed_s: float, temp_c: float, dt_s: float, moved_c: float
    ) -> None:
        """Take in that the kiln moved by ``moved_c`` to ``temp_c`` in the last ``dt_s``."""
        self._moved_c += moved_c
        self._over_s += dt_s
        if self._over_s >= _LOOK_S:
            rate_c_per_h = self._moved_c / self._over_s * 3600.0
            self._learn(plan, elapsed_s, min(self._over_s, _PACE_S), rate_c_per_h)
            if temp_c > _HOT_C and plan.climbs and not self.is_suspect:
                brisk = self._brisk_c_per_h + self._over_s / _BRISK_S * (
                    rate_c_per_h - self._brisk_c_per_h
                )
                self._brisk_c_per_h = brisk
                self.fastest_c_per_h = max(self.fastest_c_per_h or 0.0, brisk)
            self._moved_c = self._over_s = 0.0

    def _learn(
        self, plan: PlanFollower, elapsed_s: float, over_s: float, rate_c_per_h: float
    ) -> None:
        step, due_s = plan.step, plan.climb_due_s
        if step is None or due_s is None or elapsed_s < due_s:
            self._pace_c_per_h = None
            return
        if step.index != self._step_index:
            self._step_index, self._step_since_s = step.index, elapsed_s
            self._behind_c = self._deepest_c = 0.0
        planned_c_per_h = step.rate_c_per_h
        if self._pace_c_per_h is None:
            self._pace_c_per_h = planned_c_per_h or rate_c_per_h
        self._pace_c_per_h += over_s / _PACE_S * (rate_c_per_h - self._pace_c_per_h)
        if self.own_c_per_h is None:
            self.own_c_per_h = max(planned_c_per_h or rate_c_per_h, _LEAST_OWN_C_PER_H)
        pace_c_per_h = min(self.own_c_per_h, planned_c_per_h or self.own_c_per_h)
        self._look_for_swings(over_s, rate_c_per_h, pace_c_per_h)
        if not self.is_suspect:
            own = self.own_c_per_h + over_s / _OWN_S * (rate_c_per_h - self.own_c_per_h)
            self.own_c_per_h = max(own, _LEAST_OWN_C_PER_H)
        if planned_c_per_h is None or elapsed_s - self._step_since_s < _SETTLING_S:
            return
        away = min(abs(self._pace_c_per_h - planned_c_per_h) / planned_c_per_h, 1.0)
        # A fault is far from the plan as well: while one is suspected, only closeness counts.
        if not self.is_suspect or away < self._wander:
            self._wander += over_s / _WANDER_S * (away - self._wander)
            self.looseness = self._loose(self._wander)

    def _look_for_swings(self, over_s: float, rate_c_per_h: float, pace_c_per_h: float) -> None:
        self._swing.fade(over_s)
        self.swing_c = self._swing.size
        behind_c = self._behind_c + (_BEHIND * pace_c_per_h - rate_c_per_h) * over_s / 3600.0
        if behind_c > 0.0:
            self._behind_c = behind_c
            if behind_c > self._deepest_c:
                self._deepest_c = behind_c
            return
        if self._deepest_c > _LEAST_SWING_C:
            self._swing.learn(self._deepest_c, _MOST_SWING_C)
            self.swing_c = self._swing.size
        self._behind_c = self._deepest_c = 0.0

    @staticmethod
    def _loose(wander: float) -> float:
        return min(max((wander - _CLOSE) / (_LOOSE - _CLOSE), 0.0), 1.0)


class Gust:
    """A fall too fast for the kiln: air on the thermocouple, or a fault that will last.

    ``look`` is for each look at a fall; ``blows`` says whether such a fall is younger than that.
    """

    __slots__ = ("_calm_s",)

    def __init__(self) -> None:
        self._calm_s = 0.0

    def look(self, elapsed_s: float, *, is_calm: bool) -> None:
        """Take in whether the kiln now falls no faster than it can."""
        if is_calm:
            self._calm_s = elapsed_s

    def blows(self, elapsed_s: float, for_s: float) -> bool:
        """Whether it falls faster than it can, and has not yet for ``for_s`` seconds."""
        return self._calm_s < elapsed_s and elapsed_s - self._calm_s < for_s


class Swing:
    """The largest excursion that a kiln has lately made and made good, fading in hours.

    How deep it was in °C, or how long it lasted in seconds: whoever keeps it says. It begins at
    ``first`` and fades no further than to ``least``.
    """

    __slots__ = ("_fades_s", "_least", "size")

    def __init__(self, first: float, *, least: float = 0.0, fades_s: float = 2.5 * 3600.0) -> None:
        self.size = first
        self._least = least
        self._fades_s = fades_s

    def fade(self, over_s: float) -> None:
        """``over_s`` seconds have been watched since the last call."""
        if self.size > self._least:
            size = self.size * (1.0 - over_s / self._fades_s)
            if size < self._least:
                size = self._least
            self.size = size

    def learn(self, size: float, most: float) -> None:
        """An excursion of that size is over; no more than ``most`` of it counts."""
        size = min(size, most)
        if size > self.size:
            self.size = size
