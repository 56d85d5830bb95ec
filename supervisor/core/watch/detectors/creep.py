"""Whether the climb of a kiln is all but none, measured over the last quarter of an hour or so.

A climb that dies away has no moment at which it stops: each minute it climbs a little less, and
a sum of what is missing to a part of its pace grows slowly or not at all. What it made over a
stretch of time shows it. Knows a kiln's temperature and the pace of its plan, nothing else.
"""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

_LOOK_S = 60.0
_PART, _BACK = 0.25, 0.4
"""A climb at less than the first part of its plan is none, and one that was none is back with the
second (common practice, no source)."""
_NEARLY = 0.26
"""One that dies away will soon be none: so little of its plan, over the whole time, is told."""
_DOUBT = 1.0 / 3.0
"""So much of what noise may do is held against a climb that looks like none."""
_LATELY = 0.4
"""One that has climbed as little in this last part of the time is not on its way again."""
_HEALTHY = 0.75
"""A kiln that is well keeps on average this part of its pace."""
_DIES_S = 264.0
_DIES = (0.8, 0.6, _PART)
"""A climb that dies makes less and less of its plan in three such times, one after the other, and
in the last of them next to none: a hand or a controller takes the heat away at once, an iced bottle
each minute a little (common practice, no source)."""
_LESS = 0.9
"""What is slow, and pauses, makes as much in the second of them as in the first."""
_LONGEST_S = 1500.0
"""Farther back nothing is remembered."""


class Creep:
    """Remembers each minute where the kiln was; feed it with ``look`` in order of time."""

    __slots__ = ("_before",)

    def __init__(self) -> None:
        self._before: list[tuple[float, float]] = []

    def forget(self) -> None:
        """What the kiln did before says nothing any more."""
        self._before.clear()

    def look(self, elapsed_s: float, temp_c: float) -> bool:
        """Take in where the kiln is; whether another minute has gone by."""
        before = self._before
        if before and elapsed_s - before[-1][0] < _LOOK_S:
            return False
        before.append((elapsed_s, temp_c))
        while elapsed_s - before[0][0] > _LONGEST_S + _LOOK_S:
            del before[0]
        return True

    def creeps(
        self, elapsed_s: float, temp_c: float, over_s: float, pace_c_per_h: float, noise_c: float
    ) -> bool:
        """Whether all of the climb over the last ``over_s`` seconds is all but none of the
        pace, and no more lately. ``noise_c`` is how far noise alone carries one temperature: where
        a kiln that is well could look so by noise, nothing can be said."""
        doubt_c = sqrt(2.0) * noise_c
        if (_HEALTHY - _PART) * pace_c_per_h * over_s / 3600.0 < doubt_c:
            return False
        most_c_per_h = _NEARLY * pace_c_per_h
        least_c_per_h = most_c_per_h - _DOUBT * doubt_c / over_s * 3600.0
        lately_s = _LATELY * over_s
        return self._is_less(elapsed_s, temp_c, over_s, lately_s, least_c_per_h) and self._is_less(
            elapsed_s, temp_c, lately_s, lately_s, most_c_per_h
        )

    def dies_for_s(
        self, elapsed_s: float, temp_c: float, pace_c_per_h: float, noise_c: float, swing_c: float
    ) -> float | None:
        """For how long the climb has been next to none, where it has died away; None where not.
        ``swing_c`` is how far the kiln lately fell behind, and made it good again."""
        doubt_c = sqrt(2.0) * noise_c
        pace_c_per_s = pace_c_per_h / 3600.0
        part_s = max(_DIES_S, doubt_c / ((_HEALTHY - _PART) * pace_c_per_s))
        if part_s * len(_DIES) > _LONGEST_S:
            return None
        planned_c = pace_c_per_s * part_s
        back = int(part_s / _LOOK_S) + 1
        if len(self._before) <= back:
            return None
        at_s, was_c = self._before[-back]
        if temp_c - was_c > 2.0 * _PART * pace_c_per_s * (elapsed_s - at_s):
            # It keeps its plan, as most do: no need to look closer.
            return None
        climbed_c = self._climbed_c(elapsed_s, temp_c, part_s)
        if climbed_c is None or min(climbed_c[:-1]) <= _PART * planned_c:
            # It was none all the while, or from one moment on.
            return None
        before_c, missing_c = float("inf"), 0.0
        for own_c, part in zip(climbed_c, _DIES, strict=True):
            if own_c > part * planned_c or own_c > _LESS * before_c:
                return None
            before_c = own_c
            missing_c += _HEALTHY * planned_c - own_c
        sure_c = _PART * planned_c - _DOUBT * doubt_c
        return part_s if climbed_c[-1] < sure_c and missing_c > swing_c else None

    def _climbed_c(self, elapsed_s: float, temp_c: float, part_s: float) -> list[float] | None:
        """What was climbed in each of the last times of about that length, by that length, the
        oldest first."""
        marks = [(elapsed_s, temp_c)]
        for at_s, seen_c in reversed(self._before):
            if elapsed_s - at_s >= part_s * len(marks):
                marks.append((at_s, seen_c))
                if len(marks) > len(_DIES):
                    return [
                        (now_c - was_c) * part_s / (now_s - was_s)
                        for (now_s, now_c), (was_s, was_c) in pairwise(marks)
                    ][::-1]
        return None

    def goes_on(self, elapsed_s: float, temp_c: float, over_s: float, pace_c_per_h: float) -> bool:
        """Whether a climb that was all but none has not clearly come back over ``over_s``."""
        return self._is_less(elapsed_s, temp_c, over_s, 0.0, _BACK * pace_c_per_h)

    def _is_less(
        self, elapsed_s: float, temp_c: float, over_s: float, lately_s: float, most_c_per_h: float
    ) -> bool:
        """Whether the kiln rose by less than that over ``over_s``, to its highest of lately: one
        that swings about its climb is as high as it lately was, not as it is just now."""
        before = self._before
        if not before or elapsed_s - before[0][0] < over_s:
            return False
        high_c, was_c = temp_c, temp_c
        for at_s, seen_c in reversed(before):
            since_s = elapsed_s - at_s
            if since_s <= lately_s and seen_c > high_c:
                high_c = seen_c
            if since_s >= over_s:
                was_c = seen_c
                break
        return high_c - was_c < most_c_per_h * over_s / 3600.0
