"""The chart's rows as a firing grows: bounded in memory however long it lasts.

Knows times and temperatures only. Where no reading came for longer than ``gap_s``, a row of
``None`` stands between, so that nobody draws a line through an hour that was not seen. Past
``max_rows`` the rows are thinned in place: peaks and gaps stay.
"""

from __future__ import annotations

import math
from array import array
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence

from supervisor.core.thinning import thin

MAX_ROWS = 20_000
"""Rows kept by default: a day at 1 s is thinned four or five times, a night at 3 s hardly."""
DECIMALS = 1
"""Decimals of a degree that are kept: a chart shows no more, and a phone loads half as much."""


class Trace:
    """Rows of one firing, oldest first, to a tenth of a degree.

    ``gap_s`` is the time without any reading from which on a gap is shown, in seconds (for a
    rig: some missed samplings).

    >>> trace = Trace(["top"], gap_s=60.0)
    >>> for at_s, temp_c in [(0.0, 20.0), (10.0, 21.0), (400.0, 55.0)]:
    ...     trace.append(at_s, {"top": temp_c})
    >>> trace.rows(max_points=100)
    ([0.0, 10.0, 205.0, 400.0], {'top': [20.0, 21.0, None, 55.0]})
    >>> trace.rows(max_points=100, after_s=10.0)
    ([205.0, 400.0], {'top': [None, 55.0]})
    """

    def __init__(self, channels: Sequence[str], *, gap_s: float, max_rows: int = MAX_ROWS) -> None:
        self._gap_s = gap_s
        self._max_rows = max_rows
        # Packed, a fast day takes a fifth of what lists of numbers do; nan stands for None.
        self._elapsed_s = array("d")
        self._channels = {name: array("d") for name in channels}

    def append(self, elapsed_s: float, temps_c: Mapping[str, float | None]) -> None:
        """Add a reading; one not later than the last is left out, as no chart can show it."""
        if self._elapsed_s:
            last_s = self._elapsed_s[-1]
            if elapsed_s <= last_s:
                return
            if elapsed_s - last_s > self._gap_s:
                self._add((last_s + elapsed_s) / 2, {})
        self._add(elapsed_s, temps_c)
        if len(self._elapsed_s) > self._max_rows:
            elapsed, columns = self.rows(self._max_rows // 2)
            self._elapsed_s = array("d", elapsed)
            self._channels = {name: array("d", _packed(columns[name])) for name in columns}

    def _add(self, elapsed_s: float, temps_c: Mapping[str, float | None]) -> None:
        self._elapsed_s.append(elapsed_s)
        for name, column in self._channels.items():
            temp_c = temps_c.get(name)
            column.append(math.nan if temp_c is None else round(temp_c, DECIMALS))

    def rows(
        self, max_points: int, after_s: float | None = None
    ) -> tuple[list[float], dict[str, list[float | None]]]:
        """At most ``max_points`` rows, all of them or those later than ``after_s``.

        Raises ValueError as ``web.thinning.thin`` does.
        """
        start = 0 if after_s is None else bisect_right(self._elapsed_s, after_s)
        return thin(
            self._elapsed_s[start:].tolist(),
            {name: _unpacked(column[start:]) for name, column in self._channels.items()},
            max_points,
        )


def _packed(column: Iterable[float | None]) -> Iterable[float]:
    return (math.nan if temp_c is None else temp_c for temp_c in column)


def _unpacked(column: Iterable[float]) -> list[float | None]:
    return [None if math.isnan(temp_c) else temp_c for temp_c in column]
