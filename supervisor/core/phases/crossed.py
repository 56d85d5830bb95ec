"""When a kiln was, and will be, in which band, by its temperatures. Knows curves, not plans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.phases.bands import Band
from supervisor.core.schedule.model import Way

_PEAK_C = 8.0
"""So far below its highest the kiln still stands at its peak."""


@dataclass(frozen=True, slots=True)
class Crossed:
    """A band and the times between which the kiln is in it, in elapsed seconds."""

    band: Band
    from_s: float
    to_s: float


def bands_crossed(
    bands: Sequence[Band], times_s: Sequence[float], temps_c: Sequence[float]
) -> list[Crossed]:
    """The bands that a curve crosses, in order of time; ``times_s`` rise.

    Heating bands are crossed up to the curve's peak, cooling bands after it, each from the first
    time that its beginning is reached to the first time that its end is.
    """
    if not times_s:
        return []
    peak = max(range(len(temps_c)), key=lambda row: temps_c[row])
    found = []
    for band in bands:
        if band.way is Way.HOLDING:
            rows = [row for row, at_c in enumerate(temps_c) if at_c >= temps_c[peak] - _PEAK_C]
            span = (rows[0], rows[-1])
        elif band.way is Way.HEATING:
            climb = range(peak + 1)
            start = next((row for row in climb if temps_c[row] >= band.from_c), None)
            if start is None or temps_c[start] >= band.to_c:
                continue
            end = next((row for row in climb if temps_c[row] >= band.to_c), peak)
            span = (start, end)
        else:
            fall = range(peak, len(temps_c))
            start = next((row for row in fall if temps_c[row] <= band.from_c), None)
            if start is None or temps_c[start] <= band.to_c:
                continue
            end = next((row for row in fall if temps_c[row] <= band.to_c), len(temps_c) - 1)
            span = (start, end)
        if span[1] > span[0]:
            found.append(Crossed(band, times_s[span[0]], times_s[span[1]]))
    return sorted(found, key=lambda crossed: crossed.from_s)
