"""How steady a channel reads: its noise, and how fast it moves.

The last values of a stretch of time, with a straight line laid through them: the line's slope
is the drift, what is left beside it is the noise. Knows numbers only.
"""

from __future__ import annotations

import math
from collections import deque

_LEAST = 5


class Spell:
    """The values of the last ``window_s`` seconds, at most ``most`` of them."""

    def __init__(self, window_s: float = math.inf, most: int = 600) -> None:
        self._window_s = window_s
        self._values: deque[tuple[float, float]] = deque(maxlen=most)

    def add(self, elapsed_s: float, value_c: float) -> None:
        """Take in one value; what is older than the window is forgotten."""
        self._values.append((elapsed_s, value_c))
        while elapsed_s - self._values[0][0] > self._window_s:
            self._values.popleft()

    def clear(self) -> None:
        """Forget all."""
        self._values.clear()

    def __len__(self) -> int:
        return len(self._values)

    @property
    def lasted_s(self) -> float:
        """Seconds from the first value to the last."""
        return self._values[-1][0] - self._values[0][0] if self._values else 0.0

    @property
    def mean_c(self) -> float | None:
        """The mean, ``None`` without a value."""
        if not self._values:
            return None
        return math.fsum(c for _, c in self._values) / len(self._values)

    @property
    def drift_c_per_min(self) -> float | None:
        """How fast it moves; ``None`` for fewer than five values."""
        line = self._line()
        return None if line is None else line[0] * 60.0

    @property
    def noise_c(self) -> float | None:
        """One standard deviation beside the line; ``None`` for fewer than five values."""
        line = self._line()
        return None if line is None else line[1]

    def _line(self) -> tuple[float, float] | None:
        """Slope in °C/s and standard deviation in °C."""
        count = len(self._values)
        if count < _LEAST:
            return None
        mean_s = math.fsum(s for s, _ in self._values) / count
        mean_c = math.fsum(c for _, c in self._values) / count
        width = math.fsum((s - mean_s) ** 2 for s, _ in self._values)
        if width == 0.0:
            return None
        slope = math.fsum((s - mean_s) * (c - mean_c) for s, c in self._values) / width
        left = math.fsum((c - mean_c - slope * (s - mean_s)) ** 2 for s, c in self._values)
        return slope, math.sqrt(left / (count - 2))
