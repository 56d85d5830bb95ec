"""Values beyond the gate, by turns with others that are not: the noise of a channel has grown.

A filter that only learns from what lies within its gate never learns that; it follows whichever few
values agree. Knows the surprises of one channel. The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.watch.quick import JUMP_C

_VALUES, _TURNS = 15.0, 2
"""So often, among so many values, one lay beyond the gate on the other side, or after others that
had come back: what moves the kiln or its probe carries all values with it."""
_BACK = 0.5
"""What comes back makes good this part of what the value before lay off."""
_BEYOND = 2.0
"""What lies beyond a gate is the wider part of a noise: its mean square is about so many times the
variance of that."""


class Roughness:
    """Feed it with ``look`` for each value beyond the gate, and with ``comes_back`` for the first
    one within it after such, in order of time."""

    __slots__ = ("_beyond", "_has_come_back", "_last_c", "_turns_s")

    def __init__(self) -> None:
        self._beyond: list[tuple[float, float]] = []
        self._turns_s: list[float] = []
        self._has_come_back = False
        self._last_c = 0.0

    def comes_back(self, value_c: float) -> None:
        """Take in a value within the gate, after others that were not."""
        if self._beyond:
            surprise_c = self._beyond[-1][1]
            self._has_come_back = (self._last_c - value_c) / surprise_c > _BACK

    def look(
        self, elapsed_s: float, value_c: float, surprise_c: float, pace_s: float
    ) -> float | None:
        """Take in how far the value lies off what was expected, where values usually come each
        ``pace_s``; the variance of the noise, in °C², once it must be that, else None."""
        if abs(surprise_c) > JUMP_C:
            self._forget()
            return None
        oldest_s = elapsed_s - _VALUES * pace_s
        self._beyond = [(at_s, off_c) for at_s, off_c in self._beyond if at_s > oldest_s]
        self._turns_s = [at_s for at_s in self._turns_s if at_s > oldest_s]
        if self._beyond and (self._has_come_back or self._beyond[-1][1] * surprise_c < 0.0):
            self._turns_s.append(elapsed_s)
        self._has_come_back, self._last_c = False, value_c
        self._beyond.append((elapsed_s, surprise_c))
        if len(self._turns_s) < _TURNS:
            return None
        mean_c2 = sum(off_c * off_c for _, off_c in self._beyond) / len(self._beyond)
        self._forget()
        return mean_c2 / _BEYOND

    def _forget(self) -> None:
        self._beyond, self._turns_s = [], []
        self._has_come_back = False
