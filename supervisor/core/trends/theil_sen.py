"""A straight line through points of which some may be far off, and how sure its slope is.

The slope is the median of the slopes of all pairs (H. Theil, Proc. Kon. Ned. Akad. v. Wetensch. A
53, 386-392, 1950); its interval and its chance follow from Kendall's statistic of concordant and
discordant pairs (P. K. Sen, J. Am. Stat. Assoc. 63, 1379-1389, 1968; M. G. Kendall, Rank
Correlation Methods). For few points without ties the statistic's exact distribution is counted,
for more its normal approximation is used. Up to three points in ten may be anything at all.

Knows numbers only.
"""

from __future__ import annotations

import math
import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations

LEAST_POINTS = 5
"""Of four points in a row the chance that they do so by accident is 2 in 24: no number of so few
can be called a trend at 5 % (Kendall's exact distribution)."""
CONFIDENCE = 0.9
"""Of the intervals; a warning wants its whole interval on one side."""
_EXACT_UP_TO = 30


@dataclass(frozen=True, slots=True)
class Line:
    """A robust line: ``y = middle_y + slope · (x − middle_x)``.

    ``low`` and ``high`` hold the slope with ``CONFIDENCE``, infinite where there are too few
    points for that. ``chance`` is how likely points without any trend are at least so orderly.
    ``scatter`` is one robust standard deviation of the points about the line.
    """

    slope: float
    low: float
    high: float
    middle_x: float
    middle_y: float
    chance: float
    scatter: float
    points: int

    def at(self, x: float) -> float:
        """The line's value there."""
        return self.middle_y + self.slope * (x - self.middle_x)

    @property
    def goes_up(self) -> bool:
        """Whether the whole interval of the slope is above 0."""
        return self.low > 0.0 and self.points >= LEAST_POINTS

    @property
    def goes_down(self) -> bool:
        """Whether the whole interval of the slope is below 0."""
        return self.high < 0.0 and self.points >= LEAST_POINTS

    def crossing(self, y: float) -> tuple[float, float, float]:
        """Where the line comes to ``y``: at the earliest, by the slope itself, at the latest.

        Infinite where a slope never comes there.
        """
        low, middle, high = sorted(
            self._crossing(y, slope) for slope in (self.low, self.slope, self.high)
        )
        return low, middle, high

    def _crossing(self, y: float, slope: float) -> float:
        if slope == 0.0 or not math.isfinite(slope):
            return math.inf
        x = self.middle_x + (y - self.middle_y) / slope
        return x if x >= self.middle_x else math.inf


def theil_sen(
    x: Sequence[float], y: Sequence[float], confidence: float = CONFIDENCE
) -> Line | None:
    """The line through these points; None for fewer than two different ``x``.

    >>> line = theil_sen([1, 2, 3, 4, 5, 6], [2.0, 4.0, 6.0, 8.0, 10.0, 99.0])
    >>> line.slope, round(line.at(10), 6), round(line.chance, 4)
    (2.0, 20.0, 0.0028)
    """
    pairs = [(x[i], y[i], x[j], y[j]) for i, j in combinations(range(len(x)), 2) if x[i] != x[j]]
    if not pairs:
        return None
    slopes = sorted((to_y - y_) / (to_x - x_) for x_, y_, to_x, to_y in pairs)
    slope = statistics.median(slopes)
    # As many concordant as discordant pairs: Kendall's S.
    s = sum((value > 0.0) - (value < 0.0) for value in slopes)
    middle_x = statistics.median(x)
    residuals = [value - slope * place for place, value in zip(x, y, strict=True)]
    middle_y = statistics.median(residuals) + slope * middle_x
    low, high = _interval(slopes, x, y, confidence)
    spread = statistics.median(
        abs(residual - statistics.median(residuals)) for residual in residuals
    )
    return Line(
        slope=slope,
        low=low,
        high=high,
        middle_x=middle_x,
        middle_y=middle_y,
        chance=chance_of(s, x, y),
        scatter=1.4826 * spread,
        points=len(x),
    )


def _interval(
    slopes: Sequence[float], x: Sequence[float], y: Sequence[float], confidence: float
) -> tuple[float, float]:
    """Between which slopes Kendall's statistic would not reject (Sen 1968)."""
    within = _quantile(x, y, confidence)
    if within is None:
        return -math.inf, math.inf
    # So many of the smallest, and of the largest, slopes lie outside.
    outside = math.floor((len(slopes) - within) / 2.0)
    if outside <= 0:
        return -math.inf, math.inf
    return slopes[outside - 1], slopes[len(slopes) - outside]


def _quantile(x: Sequence[float], y: Sequence[float], confidence: float) -> float | None:
    """The farthest S, either way, that is no less likely by chance than ``1 − confidence``.

    None where even the most orderly of so few points are.
    """
    count = len(x)
    if _is_exact(x, y):
        most = count * (count - 1) // 2
        for s in range(most % 2, most + 1, 2):
            if _exact_chance(count, s) < 1.0 - confidence:
                return s - 2.0
        return None
    return statistics.NormalDist().inv_cdf(0.5 + confidence / 2.0) * math.sqrt(_variance(x, y))


def chance_of(s: int, x: Sequence[float], y: Sequence[float]) -> float:
    """How likely it is, without any trend, that S is at least so far from 0."""
    if _is_exact(x, y):
        return _exact_chance(len(x), abs(s))
    variance = _variance(x, y)
    if variance <= 0.0:
        return 1.0
    return min(2.0 * statistics.NormalDist().cdf(-abs(s) / math.sqrt(variance)), 1.0)


def _is_exact(x: Sequence[float], y: Sequence[float]) -> bool:
    has_ties = len(set(x)) < len(x) or len(set(y)) < len(y)
    return len(x) <= _EXACT_UP_TO and not has_ties


def _variance(x: Sequence[float], y: Sequence[float]) -> float:
    """Variance of S with ties in either (Kendall)."""
    count = len(x)

    def of(n: int) -> float:
        return n * (n - 1) * (2 * n + 5)

    total = of(count) - sum(map(of, _ties(x))) - sum(map(of, _ties(y)))
    variance = total / 18.0
    if count > 2:
        thirds = math.prod(sum(n * (n - 1) * (n - 2) for n in _ties(values)) for values in (x, y))
        variance += thirds / (9.0 * count * (count - 1) * (count - 2))
    if count > 1:
        halves = math.prod(sum(n * (n - 1) for n in _ties(values)) for values in (x, y))
        variance += halves / (2.0 * count * (count - 1))
    return variance


def _ties(values: Sequence[float]) -> list[int]:
    return list(Counter(values).values())


@cache
def _inversions(count: int) -> tuple[int, ...]:
    """How many orders of so many things have each number of inversions (Mahonian numbers)."""
    if count <= 1:
        return (1,)
    before = _inversions(count - 1)
    length = count * (count - 1) // 2 + 1
    return tuple(
        sum(before[max(0, n - count + 1) : min(n, len(before) - 1) + 1]) for n in range(length)
    )


def _exact_chance(count: int, s: int) -> float:
    """The two-sided chance of ``|S| >= s`` for so many points without ties."""
    orders = _inversions(count)
    most = len(orders) - 1
    # S = pairs − 2 · inversions.
    outside = sum(number for n, number in enumerate(orders) if abs(most - 2 * n) >= s)
    return outside / math.factorial(count)
