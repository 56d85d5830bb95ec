"""Whether a kiln fell by itself until it turned. Knows its temperature minute by minute."""

from __future__ import annotations

from itertools import pairwise

DIP_C = 3.0
"""So deep a chill is none of noise (common practice, no source)."""
_FELL_MINUTES, _LAST_MINUTES, _STEADILY = 6, 4, 1.15
"""A plug is out for no longer than two minutes, and then the kiln falls faster than before: one
that fell for so many minutes, and in the last of them no faster than at first, has not dipped. What
turns it back is heat (common practice, no source)."""


def fell_steadily(minutes_c: list[float]) -> bool:
    """Whether the fall to the lowest of these was a long one, and got no faster in the end."""
    if len(minutes_c) <= _FELL_MINUTES:
        return False
    lowest = len(minutes_c) - 1 - minutes_c[::-1].index(min(minutes_c))
    if lowest < _FELL_MINUTES:
        return False
    fall_c = minutes_c[lowest - _FELL_MINUTES : lowest + 1]
    if any(later_c >= earlier_c for earlier_c, later_c in pairwise(fall_c)):
        return False
    at_first = _FELL_MINUTES - _LAST_MINUTES
    first_c, last_c = fall_c[0] - fall_c[at_first], fall_c[at_first] - fall_c[-1]
    return last_c < _STEADILY * first_c / at_first * _LAST_MINUTES + DIP_C
