"""Noise that belongs to an instant: the same second has the same noise however one gets there.

Knows a seed and whole seconds. A number is mixed from both (multiply and shift, in the manner of
Steele, Lea and Flood's SplitMix, OOPSLA 2014) and looked up in a table of the normal
distribution, so a second in the middle of a firing costs no more than the first.
"""

from __future__ import annotations

from functools import cache
from random import Random
from statistics import NormalDist

_BITS = 14
_MASK = (1 << 64) - 1
_STRIDE = 0x9E3779B97F4A7C15
_MIX = 0xBF58476D1CE4E5B9
_UNIT = 2.0**-64


@cache
def _normal_table() -> tuple[float, ...]:
    count = 1 << _BITS
    normal = NormalDist()
    values = [normal.inv_cdf((n + 0.5) / count) for n in range(count)]
    # The middle of each slot is a little narrow: put the spread right.
    spread = (sum(value * value for value in values) / count) ** 0.5
    return tuple(value / spread for value in values)


class InstantNoise:
    """A stream of noise of its own for ``name`` under ``seed``."""

    __slots__ = ("_key", "_table")

    def __init__(self, seed: int, name: str) -> None:
        self._key = Random(f"{seed} {name}").getrandbits(64)  # noqa: S311
        self._table = _normal_table()

    def uniform(self, second: int) -> float:
        """A number from 0 to below 1 for that second."""
        mixed = (second * _STRIDE + self._key) & _MASK
        mixed = ((mixed ^ (mixed >> 30)) * _MIX) & _MASK
        return (mixed ^ (mixed >> 31)) * _UNIT

    def normal(self, second: int) -> float:
        """A number of the standard normal distribution for that second, within ±4."""
        mixed = (second * _STRIDE + self._key) & _MASK
        mixed = ((mixed ^ (mixed >> 30)) * _MIX) & _MASK
        return self._table[(mixed ^ (mixed >> 31)) >> (64 - _BITS)]
