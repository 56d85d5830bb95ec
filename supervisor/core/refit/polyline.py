"""The fewest straight pieces that follow a line of points within a tolerance. Knows numbers only.

A piece joins two of the points, and no point between is farther from it, up or down, than the
tolerance. Which pieces can be is a graph; the fewest pieces are its shortest way, and of all
ways with so few pieces the one nearest to the points is taken (H. Imai and M. Iri, in Toussaint,
Computational Morphology, 1988, for the graph; the search is dynamic programming). So the answer
is the best there is, where splitting at the farthest point (Ramer, Douglas and Peucker) only
finds a good one, and where a penalty for each piece would have no meaning in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate


def fewest_pieces(x: Sequence[float], y: Sequence[float], within: float) -> list[int]:
    """The places of the corners, the first and the last point among them.

    ``x`` grows from point to point. Takes time with the square of the number of points, at the
    most: some thousand take a second.

    >>> fewest_pieces([0, 1, 2, 3, 4], [0.0, 1.1, 2.0, 1.0, 0.0], 0.3)
    [0, 2, 4]
    >>> fewest_pieces([0, 1, 2, 3, 4], [0.0, 1.1, 2.0, 1.0, 0.0], 3.0)
    [0, 4]
    """
    count = len(x)
    if count < 2:
        return list(range(count))
    sums = _Sums(x, y)
    # Of the best way to each point: how many pieces, how far from the points, from where.
    pieces = [count] * count
    off = [math.inf] * count
    before = [0] * count
    pieces[0], off[0] = 0, 0.0
    for i in range(count - 1):
        here_pieces, here_off = pieces[i] + 1, off[i]
        from_x, from_y = x[i], y[i]
        low, high = -math.inf, math.inf
        for j in range(i + 1, count):
            run = x[j] - from_x
            rise = y[j] - from_y
            slope = rise / run
            if low <= slope <= high and here_pieces <= pieces[j]:
                there_off = here_off + sums.off(i, j, slope)
                if here_pieces < pieces[j] or there_off < off[j]:
                    pieces[j], off[j], before[j] = here_pieces, there_off, i
            # Gone through a million times: no calls of max and min.
            least, most = (rise - within) / run, (rise + within) / run
            if least > low:
                low = least
            if most < high:
                high = most
            if low > high:
                break
    corners = [count - 1]
    while corners[-1]:
        corners.append(before[corners[-1]])
    return corners[::-1]


class _Sums:
    """Running sums, from which the squares of a piece's distances follow at once."""

    def __init__(self, x: Sequence[float], y: Sequence[float]) -> None:
        # About their middle, so that squares of large numbers cancel less.
        self._x0, self._y0 = x[len(x) // 2], y[len(y) // 2]
        self._x = [value - self._x0 for value in x]
        self._y = [value - self._y0 for value in y]
        self._sum_x = _running(self._x)
        self._sum_y = _running(self._y)
        self._sum_xx = _running([value * value for value in self._x])
        self._sum_yy = _running([value * value for value in self._y])
        self._sum_xy = _running([a * b for a, b in zip(self._x, self._y, strict=True)])

    def off(self, i: int, j: int, slope: float) -> float:
        """The sum of the squares by which the points between miss the piece."""
        count = j - i + 1
        # The piece is y = start + slope · x.
        start = self._y[i] - slope * self._x[i]
        sum_x = self._sum_x[j + 1] - self._sum_x[i]
        sum_y = self._sum_y[j + 1] - self._sum_y[i]
        sum_xx = self._sum_xx[j + 1] - self._sum_xx[i]
        sum_yy = self._sum_yy[j + 1] - self._sum_yy[i]
        sum_xy = self._sum_xy[j + 1] - self._sum_xy[i]
        squares = (
            sum_yy
            - 2.0 * start * sum_y
            - 2.0 * slope * sum_xy
            + count * start * start
            + 2.0 * start * slope * sum_x
            + slope * slope * sum_xx
        )
        return max(squares, 0.0)


def _running(values: Sequence[float]) -> list[float]:
    return list(accumulate(values, initial=0.0))
