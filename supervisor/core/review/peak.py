"""The hottest of a firing, how long it stood there, and how long it was how hot."""

from __future__ import annotations

import math
import statistics
from bisect import bisect_left, bisect_right

from supervisor.core.review.facts import PeakFacts, TimeAbove
from supervisor.core.review.trace import Trace

_LEVEL_C = 10.0
"""What lies so near the highest is where it stood, where it stood at all."""
_STANDS_C = 5.0
"""Controllers and fires swing by less at a hold (common practice, no source)."""
LAST_C = 100.0
"""The heating rate over so much below the peak is the one that the cone chart goes by (Orton,
text of the chart of temperature equivalents, 2016)."""
FIRST_HUNDRED_C = 600
BELOW_PEAK_C = (100.0, 50.0, 25.0, 10.0)


def peak_of(trace: Trace) -> PeakFacts:
    """The peak of a trace that has a point at least."""
    kiln_c, at_s = trace.kiln_c, trace.at_s
    top = max(range(len(trace)), key=kiln_c.__getitem__)
    temp_c = kiln_c[top]
    start, end = _about(trace, top, temp_c - _LEVEL_C)
    level_c = statistics.median(kiln_c[start : end + 1])
    start, end = _about(trace, top, max(level_c, temp_c - _STANDS_C) - _STANDS_C)
    # A climb that turns at once passes those degrees too, and did not stand there.
    hold_from_s, hold_to_s = _standing(trace, start, end)
    rate_c_per_h = None
    low_c = temp_c - LAST_C
    until_s = trace.first_at(temp_c - _STANDS_C, 0, top, rising=True)
    since_s = None if until_s is None else trace.last_at(low_c, 0, until_s, rising=True)
    if since_s is not None and until_s is not None and until_s > since_s:
        rate_c_per_h = (LAST_C - _STANDS_C) / (until_s - since_s) * 3600.0
    highest = {
        name: max((value for value in values if value is not None), default=math.nan)
        for name, values in trace.channels_c.items()
    }
    return PeakFacts(
        temp_c=temp_c,
        at_s=at_s[top],
        hold_from_s=hold_from_s,
        hold_to_s=hold_to_s,
        hold_s=hold_to_s - hold_from_s,
        level_c=level_c,
        rate_c_per_h=rate_c_per_h,
        channels_c={name: c for name, c in highest.items() if math.isfinite(c)},
    )


def _about(trace: Trace, top: int, least_c: float) -> tuple[int, int]:
    """The first and last point of the stretch about ``top`` that is nowhere below."""
    start = end = top
    while start > 0 and trace.kiln_c[start - 1] >= least_c:
        start -= 1
    while end + 1 < len(trace) and trace.kiln_c[end + 1] >= least_c:
        end += 1
    return start, end


_RISES_C, _SPAN_S = 3.0, 300.0
"""A kiln that rises no farther within five minutes stands: less than the slowest climb to a peak,
more than half of a controller's swing (common practice, no source)."""


def _standing(trace: Trace, start: int, end: int) -> tuple[float, float]:
    """From when to when, within two points, the kiln no longer climbed and did not fall yet."""
    at_s, kiln_c = trace.at_s, trace.kiln_c
    first, last = start, end
    while first < end:
        ahead = bisect_right(at_s, at_s[first] + _SPAN_S, first + 1, end + 1)
        if max(kiln_c[first:ahead]) - kiln_c[first] <= _RISES_C:
            break
        first += 1
    while last > first:
        back = bisect_left(at_s, at_s[last] - _SPAN_S, first, last)
        if max(kiln_c[back : last + 1]) - kiln_c[last] <= _RISES_C:
            break
        last -= 1
    return at_s[first], at_s[last]


def times_above(trace: Trace, peak: PeakFacts) -> tuple[TimeAbove, ...]:
    """Time above each whole hundred from 600 °C up, and in the last degrees below the peak."""
    hundreds = {float(c) for c in range(FIRST_HUNDRED_C, int(peak.temp_c), 100)}
    below = {round(peak.temp_c - c, 1) for c in BELOW_PEAK_C}
    return tuple(TimeAbove(c, trace.time_above_s(c)) for c in sorted(hundreds | below))
