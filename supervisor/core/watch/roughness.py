"""Values beyond the gate, by turns with others that are not: the noise of a channel has grown.

A filter that only learns from what lies within its gate never learns that; it follows whichever few
values agree. Knows the surprises of one channel. The figures are common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

_FARTHEST_C = 25.0
"""What lies farther off is a spike, or the channel jumps."""
_VALUES, _TURNS = 15.0, 2
"""So often, among so many values, some lie beyond the gate that lay within it again or on the other
side: what moves the kiln or its probe carries the values with it."""
_NEXT = 1.5
"""What comes later than after so many times the usual time is not the next value."""
_BEYOND = 2.0
"""What lies beyond a gate is the wider part of a noise: its mean square is about so many times the
variance of that."""


class Roughness:
    """Feed it with ``look`` for each value beyond the gate, in order of time."""

    __slots__ = ("_beyond",)

    def __init__(self) -> None:
        self._beyond: list[tuple[float, float]] = []

    def look(self, elapsed_s: float, surprise_c: float, pace_s: float) -> float | None:
        """Take in how far the value lies off what was expected, where values usually come each
        ``pace_s``; the variance of the noise, in °C², once it must be that, else None."""
        if abs(surprise_c) > _FARTHEST_C:
            self._beyond = []
            return None
        oldest_s = elapsed_s - _VALUES * pace_s
        self._beyond = [*(seen for seen in self._beyond if seen[0] > oldest_s)]
        self._beyond.append((elapsed_s, surprise_c))
        turns = sum(
            one_c * other_c < 0.0 or other_s - one_s > _NEXT * pace_s
            for (one_s, one_c), (other_s, other_c) in pairwise(self._beyond)
        )
        if turns < _TURNS:
            return None
        squares_c2 = [seen_c * seen_c for _, seen_c in self._beyond]
        self._beyond = []
        return sum(squares_c2) / len(squares_c2) / _BEYOND
