"""Which rows of a chart are worth sending, when all of them have come from one reading to the next.

Pure: knows times and temperatures. What it leaves out lies nearer to the line between its
neighbours than ``within_c``, in every channel (Ramer 1972, Douglas and Peucker 1973); nothing is
averaged, the latest row always stays, and so does each that has a gap in it or beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from supervisor.core.thinning import Column

Row = tuple[float, tuple[float | None, ...]]
"""An elapsed time, and a temperature for each channel."""


def outline(
    elapsed_s: Sequence[float],
    channels: Mapping[str, Column],
    drawn: Row | None,
    within_c: float,
) -> tuple[list[int], Row]:
    """The rows to send, by their place, and the last of them, to be given as ``drawn`` next time.

    ``drawn`` is the row that was sent last, to which these are joined; None: there is none.

    >>> times = [10.0, 20.0, 30.0, 40.0]
    >>> rows, last = outline(times, {"top": [21.0, 25.0, 23.1, 24.0]}, (0.0, (20.0,)), 0.5)
    >>> rows, last
    ([0, 1, 2, 3], (40.0, (24.0,)))
    >>> outline(times, {"top": [21.0, 22.2, 23.1, 24.0]}, (0.0, (20.0,)), 0.5)[0]
    [3]
    """
    columns = list(channels.values())
    rows: list[Row] = [
        (at_s, tuple(column[row] for column in columns)) for row, at_s in enumerate(elapsed_s)
    ]
    before = 0
    if drawn is not None and len(drawn[1]) == len(columns):
        rows.insert(0, drawn)
        before = 1
    kept = {len(rows) - 1} | (set() if before else {0})
    parts = [(0, len(rows) - 1)]
    while parts:
        first, last = parts.pop()
        farthest = _farthest(rows, first, last, within_c)
        if farthest is not None:
            kept.add(farthest)
            parts += [(first, farthest), (farthest, last)]
    return sorted(row - before for row in kept), rows[-1]


def _farthest(rows: Sequence[Row], first: int, last: int, within_c: float) -> int | None:
    """The row between the two that is farthest from the line; None when all are near it."""
    farthest, most_c = None, within_c
    (from_s, from_c), (to_s, to_c) = rows[first], rows[last]
    for row in range(first + 1, last):
        at_s, temps_c = rows[row]
        share = (at_s - from_s) / (to_s - from_s)
        for begin_c, temp_c, end_c in zip(from_c, temps_c, to_c, strict=True):
            if begin_c is None or temp_c is None or end_c is None:
                if begin_c is temp_c is end_c:
                    continue
                return row
            away_c = abs(temp_c - begin_c - share * (end_c - begin_c))
            if away_c > most_c:
                farthest, most_c = row, away_c
    return farthest
