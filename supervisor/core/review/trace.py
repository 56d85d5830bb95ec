"""A firing's temperatures, gathered into half minutes. Knows nothing of plans and cones.

The kiln's one temperature and every channel's, as the watch believes them: filtered, without
what a broken thermocouple showed. A half minute is a mean, so that the noise of one reading
makes no rate; a log that is slower has a point for each of its rows.
"""

from __future__ import annotations

import statistics
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise

POINT_S = 30.0
"""Readings so near in time are one point: a kiln's temperature moves in tens of seconds."""
LOOK_S = 420.0
"""A plug is out of its spyhole for less than half of this (common practice, no source)."""
GAP_S = 600.0
"""So long without a believable temperature is told as a gap (common practice, no source)."""


class Trace:
    """Points in order of time: ``at_s``, ``kiln_c``, and for each channel a list as long.

    A channel's value is None where it could not be believed.
    """

    __slots__ = ("at_s", "channels", "channels_c", "kiln_c")

    def __init__(self, channels: Sequence[str]) -> None:
        self.channels = tuple(channels)
        self.at_s: list[float] = []
        self.kiln_c: list[float] = []
        self.channels_c: dict[str, list[float | None]] = {name: [] for name in channels}

    def __len__(self) -> int:
        return len(self.at_s)

    def add(self, at_s: float, kiln_c: float, channels_c: Sequence[float | None]) -> None:
        """Append a point; ``channels_c`` is in the order of ``channels``."""
        self.at_s.append(at_s)
        self.kiln_c.append(kiln_c)
        for values, value in zip(self.channels_c.values(), channels_c, strict=True):
            values.append(value)

    def place(self, at_s: float) -> int:
        """The last point not later than ``at_s``; the first where none is."""
        return max(bisect_right(self.at_s, at_s) - 1, 0)

    def temp_at(self, at_s: float) -> float:
        """The kiln's temperature then, straight between points; the ends' outside."""
        i = bisect_left(self.at_s, at_s)
        if i == 0:
            return self.kiln_c[0]
        if i == len(self.at_s):
            return self.kiln_c[-1]
        since, until = self.at_s[i - 1], self.at_s[i]
        part = (at_s - since) / (until - since)
        return self.kiln_c[i - 1] + part * (self.kiln_c[i] - self.kiln_c[i - 1])

    def first_at(self, temp_c: float, start: int, end: int, *, rising: bool) -> float | None:
        """When the kiln first comes to ``temp_c`` between two points (both included).

        ``rising`` says from which side. None where it does not.
        """
        sign = 1.0 if rising else -1.0
        for i in range(start, end + 1):
            if sign * (self.kiln_c[i] - temp_c) >= 0.0:
                return self.at_s[i] if i == start else self._between(i, temp_c)
        return None

    def last_at(self, temp_c: float, start: int, until_s: float, *, rising: bool) -> float | None:
        """When the kiln is for the last time still on the near side of ``temp_c`` before
        ``until_s``, on its way through."""
        sign = 1.0 if rising else -1.0
        for i in range(self.place(until_s), start - 1, -1):
            if sign * (self.kiln_c[i] - temp_c) <= 0.0 and self.at_s[i] < until_s:
                if i + 1 >= len(self.at_s):
                    return self.at_s[i]
                return min(self._between(i + 1, temp_c), until_s)
        return None

    def steadied(self, over_s: float = LOOK_S) -> Trace:
        """The same with each of the kiln's temperatures the median of so much time about it.

        Whatever falls or climbs stays as it is; a dip that is over in half of the time is gone.
        """
        found = Trace(self.channels)
        found.at_s, found.channels_c = self.at_s, self.channels_c
        first = last = 0
        for now_s in self.at_s:
            while self.at_s[first] < now_s - over_s / 2.0:
                first += 1
            while last < len(self.at_s) and self.at_s[last] <= now_s + over_s / 2.0:
                last += 1
            found.kiln_c.append(statistics.median(self.kiln_c[first:last]))
        return found

    def _between(self, i: int, temp_c: float) -> float:
        """When the line from point ``i − 1`` to ``i`` passes ``temp_c``."""
        from_c, to_c = self.kiln_c[i - 1], self.kiln_c[i]
        if from_c == to_c:
            return self.at_s[i]
        part = min(max((temp_c - from_c) / (to_c - from_c), 0.0), 1.0)
        return self.at_s[i - 1] + part * (self.at_s[i] - self.at_s[i - 1])

    def time_above_s(self, temp_c: float) -> float:
        """For how long the kiln was hotter than ``temp_c``, straight between points."""
        total_s = 0.0
        for (from_s, from_c), (to_s, to_c) in pairwise(zip(self.at_s, self.kiln_c, strict=True)):
            low_c, high_c = min(from_c, to_c), max(from_c, to_c)
            if low_c >= temp_c:
                total_s += to_s - from_s
            elif high_c > temp_c:
                total_s += (to_s - from_s) * (high_c - temp_c) / (high_c - low_c)
        return total_s


class TraceMaker:
    """Gathers looks into the points of a ``Trace``."""

    __slots__ = ("_counts", "_kiln", "_since_s", "_sums", "_time", "trace")

    def __init__(self, channels: Sequence[str]) -> None:
        self.trace = Trace(channels)
        self._since_s: float | None = None
        self._begin()

    def _begin(self) -> None:
        count = len(self.trace.channels)
        self._time = self._kiln = 0.0
        self._sums = [0.0] * count
        self._counts = [0] * (count + 1)

    def add(self, elapsed_s: float, kiln_c: float, channels_c: Sequence[float | None]) -> None:
        """Take in a look at which the kiln was seen."""
        if self._since_s is not None and elapsed_s - self._since_s >= POINT_S:
            self.close()
        if self._since_s is None:
            self._since_s = elapsed_s
        self._time += elapsed_s
        self._kiln += kiln_c
        self._counts[-1] += 1
        for i, value in enumerate(channels_c):
            if value is not None:
                self._sums[i] += value
                self._counts[i] += 1

    def close(self) -> Trace:
        """End the point that is being gathered; all points so far."""
        count = self._counts[-1]
        if count:
            means = [
                total / n if n else None for total, n in zip(self._sums, self._counts, strict=False)
            ]
            self.trace.add(self._time / count, self._kiln / count, means)
            self._begin()
        self._since_s = None
        return self.trace
