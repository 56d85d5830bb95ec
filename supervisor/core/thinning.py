"""Fewer points for the same picture: rows are left out, peaks and gaps never.

Pure: knows rows of times and temperatures, nothing of readings, requests or screens. Every
row that comes out went in; nothing is averaged, so a spike of a single reading is still there
at its own time and height.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence

MIN_POINTS = 2
"""The first and the last row are always kept."""
ROWS_PER_CHANNEL = 3
"""A bucket keeps at most a lowest, a highest and a missing value of each channel."""

Column = Sequence[float | None]


def thin(
    elapsed_s: Sequence[float], channels: Mapping[str, Column], max_points: int
) -> tuple[list[float], dict[str, list[float | None]]]:
    """At most ``max_points`` of the rows, chosen so that the drawn line keeps its shape.

    ``elapsed_s`` rises strictly; each channel has one value or ``None`` for each time. Time is
    cut into equal buckets, and of each bucket the rows stay in which a channel is lowest,
    highest or (first) without a value. The first and last row always stay. Raises ValueError
    for ``max_points`` too small to hold one bucket.

    >>> thin([0, 1, 2, 3, 4, 5, 6, 7, 8, 9], {"top": [20, 20, 20, 99, 20, 20, 20, 20, 20, 21]}, 6)
    ([0, 3, 4, 6, 9], {'top': [20, 99, 20, 20, 21]})
    """
    least = MIN_POINTS + ROWS_PER_CHANNEL * len(channels)
    if max_points < min(least, len(elapsed_s)):
        raise ValueError(f"max_points must be at least {least}, not {max_points}")
    if len(elapsed_s) <= max_points:
        return list(elapsed_s), {name: list(column) for name, column in channels.items()}
    # With smooth firings the channels' extremes share rows, so far more buckets fit than the
    # guaranteed number: try many, then fewer by the excess.
    buckets = max_points // 2
    guaranteed = (max_points - MIN_POINTS) // (ROWS_PER_CHANNEL * max(1, len(channels)))
    rows = _rows_kept(elapsed_s, channels, buckets)
    while len(rows) > max_points:
        buckets = max(guaranteed, min(buckets - 1, buckets * max_points // len(rows)))
        rows = _rows_kept(elapsed_s, channels, buckets)
    return (
        [elapsed_s[row] for row in rows],
        {name: [column[row] for row in rows] for name, column in channels.items()},
    )


def _rows_kept(
    elapsed_s: Sequence[float], channels: Mapping[str, Column], buckets: int
) -> list[int]:
    last = len(elapsed_s) - 1
    kept = {0, last}
    start = 0
    for stop in _bucket_ends(elapsed_s, buckets):
        for column in channels.values():
            kept.update(_rows_that_matter(column, start, stop))
        start = stop
    return sorted(kept)


def _bucket_ends(elapsed_s: Sequence[float], buckets: int) -> list[int]:
    """Row after the last of each bucket that is not empty."""
    begin_s = elapsed_s[0]
    each_s = (elapsed_s[-1] - begin_s) / buckets
    ends: list[int] = []
    before = 0
    # The last instant belongs to the last bucket, not to one more.
    for bucket in range(1, buckets):
        end = bisect_left(elapsed_s, begin_s + bucket * each_s, before)
        if end > before:
            ends.append(end)
            before = end
    if before < len(elapsed_s):
        ends.append(len(elapsed_s))
    return ends


def _rows_that_matter(column: Column, start: int, stop: int) -> set[int]:
    part = column[start:stop]
    rows: set[int] = set()
    if None in part:
        rows.add(start + part.index(None))
    there = [temp_c for temp_c in part if temp_c is not None] if rows else part
    if there:
        rows.add(start + part.index(min(there)))  # type: ignore[type-var]
        rows.add(start + part.index(max(there)))  # type: ignore[type-var]
    return rows
