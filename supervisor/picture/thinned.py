"""Fewer points for the same line on paper. Knows geometry only."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.picture.scene import Point


def thinned(points: Sequence[Point], off: float) -> tuple[Point, ...]:
    """The points that matter: no other is farther than ``off`` from the line through them.

    (D. H. Douglas and T. K. Peucker, 1973, with the distance taken upright, as x never goes back.)

    >>> thinned([(0, 0), (1, 0.1), (2, 0), (3, 5), (4, 10)], 0.3)
    ((0, 0), (2, 0), (4, 10))
    """
    if len(points) < 3:
        return tuple(points)
    kept = {0, len(points) - 1}
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        (x1, y1), (x2, y2) = points[first], points[last]
        slope = (y2 - y1) / (x2 - x1) if x2 > x1 else 0.0
        worst, at = off, None
        for i in range(first + 1, last):
            away = abs(points[i][1] - y1 - slope * (points[i][0] - x1))
            if away > worst:
                worst, at = away, i
        if at is not None:
            kept.add(at)
            spans += [(first, at), (at, last)]
    return tuple(points[i] for i in sorted(kept))
