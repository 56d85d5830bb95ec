"""How fast a kiln falls that cools as it can: none was planned. Knows no plan.

A big kiln falls by 15 °C an hour before its heat comes on again, which of a small one would be a
hold.
"""

from __future__ import annotations

_MEAN_S = 1800.0
SLOWED = 0.4
"""Slower than this part of its pace, a kiln does not go on as it did (common practice)."""
_FALLS_C = 4.5
"""A kiln is known to stand when it would have fallen by so much meanwhile (common practice)."""


class OwnFall:
    """Feed it with ``look`` in order of time."""

    __slots__ = ("_last_s", "_pace_c_per_h")

    def __init__(self) -> None:
        self._last_s: float | None = None
        self._pace_c_per_h = 0.0

    def look(self, elapsed_s: float, rate_c_per_h: float) -> None:
        """Take in how fast it moves; one that stands does not tell how fast it falls."""
        last_s, self._last_s = self._last_s, elapsed_s
        falls_c_per_h = -rate_c_per_h
        if last_s is None:
            self._pace_c_per_h = max(falls_c_per_h, 0.0)
        elif falls_c_per_h >= self.slow_c_per_h:
            weight = min((elapsed_s - last_s) / _MEAN_S, 1.0)
            self._pace_c_per_h += weight * (falls_c_per_h - self._pace_c_per_h)

    @property
    def slow_c_per_h(self) -> float:
        """Slower than that, it has slowed down."""
        return SLOWED * self._pace_c_per_h

    @property
    def stands_s(self) -> float:
        """For how long it must be slow to stand."""
        return _FALLS_C / self._pace_c_per_h * 3600.0 if self._pace_c_per_h > 0.0 else 0.0
