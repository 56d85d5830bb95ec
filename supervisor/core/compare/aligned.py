"""Two firings laid over each other: by time, by temperature, or from the peak.

By time both begin where they pass a low temperature that both came from. By temperature the
question is when each first came to it on the way up. From the peak both are at 0 when they
began to stand at their hottest.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from supervisor.core.compare.subject import Subject
from supervisor.core.review.trace import Trace


class Align(StrEnum):
    """What the two have in common when they are laid over each other."""

    TIME = "time"
    TEMPERATURE = "temperature"
    PEAK = "peak"


LOW_C = 60.0
"""From here on by time: below, a kiln has been waiting (common practice, no source)."""
_ABOVE_START_C = 10.0
STEP_S = 60.0
STEP_C = 5.0


@dataclass(frozen=True, slots=True)
class Laid:
    """The difference, other less reference, along what they have in common.

    ``at`` is seconds since the common point or, by temperature, °C; ``by`` is °C or, by
    temperature, seconds. ``noise`` is the standard deviation of ``by`` that nobody can help.
    Before ``until`` neither has left its peak. From the peak ``offset`` is how far the peaks
    themselves are apart, °C.
    """

    align: Align
    at: tuple[float, ...]
    by: tuple[float, ...]
    noise: float
    until: float = math.inf
    offset: float = 0.0
    is_of_plan: bool = False


def low_c(subjects: tuple[Subject, ...]) -> float:
    """The temperature at which all are taken to begin, °C."""
    starts = [s.facts.start_c for s in subjects if s.facts.start_c is not None]
    return max([LOW_C, *(c + _ABOVE_START_C for c in starts)])


def zero_s(subject: Subject, align: Align, from_c: float) -> float | None:
    """The second of the firing that is 0 in the comparison; None where it never came so far, or
    has not yet."""
    peak = subject.facts.peak
    if not len(subject.trace) or peak is None:
        return None
    if align is Align.PEAK:
        return peak.hold_from_s if subject.has_peaked else None
    return subject.trace.first_at(from_c, 0, len(subject.trace) - 1, rising=True)


def laid(reference: Subject, other: Subject, align: Align, from_c: float) -> Laid | None:
    """The two laid over each other; None where they have nothing in common."""
    zeros = zero_s(reference, align, from_c), zero_s(other, align, from_c)
    if zeros[0] is None or zeros[1] is None:
        return None
    if align is Align.TEMPERATURE:
        return _by_temperature(reference, other, (zeros[0], zeros[1]), from_c)
    return _by_time(reference, other, (zeros[0], zeros[1]), align)


def _by_time(
    reference: Subject, other: Subject, zeros: tuple[float, float], align: Align
) -> Laid | None:
    one, two = reference.trace, other.trace
    from_s = max(one.at_s[0] - zeros[0], two.at_s[0] - zeros[1])
    if align is Align.TIME:
        from_s = max(from_s, 0.0)
    to_s = min(
        min(one.at_s[-1], reference.until_s) - zeros[0], min(two.at_s[-1], other.until_s) - zeros[1]
    )
    if to_s - from_s < STEP_S:
        return None
    first = math.ceil(from_s / STEP_S)
    at = tuple(n * STEP_S for n in range(first, math.floor(to_s / STEP_S) + 1))
    by = tuple(two.temp_at(s + zeros[1]) - one.temp_at(s + zeros[0]) for s in at)
    peaks = reference.facts.peak, other.facts.peak
    assert peaks[0] is not None and peaks[1] is not None  # noqa: S101, PT018 - there is a zero
    return Laid(
        align,
        at,
        by,
        math.hypot(noise_c(one), noise_c(two)),
        until=min(peak.hold_to_s - zero for peak, zero in zip(peaks, zeros, strict=True) if peak),
        offset=abs(peaks[1].level_c - peaks[0].level_c) if align is Align.PEAK else 0.0,
        is_of_plan=reference.is_plan,
    )


def _by_temperature(
    reference: Subject, other: Subject, zeros: tuple[float, float], from_c: float
) -> Laid | None:
    tops = []
    for subject in (reference, other):
        peak = subject.facts.peak
        assert peak is not None  # noqa: S101 - there is a zero
        tops.append(min(peak.level_c, peak.temp_c) - STEP_C)
    first, last = math.ceil(from_c / STEP_C), math.floor(min(tops) / STEP_C)
    temps = [n * STEP_C for n in range(first, last + 1)]
    when = [
        passings(subject.trace, temps, zero, math.inf)
        for subject, zero in ((reference, zeros[0]), (other, zeros[1]))
    ]
    at, by, last_s = [], [], 0.0
    for temp_c, one_s, two_s in zip(temps, *when, strict=True):
        if one_s is not None and two_s is not None:
            at.append(temp_c)
            by.append((two_s - zeros[1]) - (one_s - zeros[0]))
            last_s = one_s
    if len(at) < 2:
        return None
    # What the noise of a temperature is in time, where a kiln climbs as these two do.
    span_s = max(by[-1] + last_s - zeros[0], STEP_S)
    slow_c_per_s = max((at[-1] - at[0]) / span_s, 1e-3)
    noise = math.hypot(noise_c(reference.trace), noise_c(other.trace)) / slow_c_per_s
    return Laid(Align.TEMPERATURE, tuple(at), tuple(by), noise)


def passings(
    trace: Trace, temps_c: Sequence[float], since_s: float, until_s: float
) -> list[float | None]:
    """When the kiln first comes to each of ``temps_c``, which rise, between two times.

    As ``Trace.first_at`` for each, in one pass. None where it does not.
    """
    start, end = trace.place(since_s), trace.place(until_s)
    place = start
    found: list[float | None] = []
    for temp_c in temps_c:
        # A hotter one is not come to before.
        while place <= end and trace.kiln_c[place] < temp_c:
            place += 1
        if place > end:
            found.append(None)
        else:
            found.append(trace.first_at(temp_c, max(place - 1, start), place, rising=True))
    return found


def noise_c(trace: Trace) -> float:
    """The standard deviation of a trace about its own course, °C, by its second differences.

    Their standard deviation is √6 times that of white noise; the median is not moved by corners.
    """
    if len(trace) < 3:
        return 0.0
    # A slow log is not asked between its rows, where its line has no bends.
    every_s = max(STEP_S, statistics.median(b - a for a, b in pairwise(trace.at_s)))
    count = int((trace.at_s[-1] - trace.at_s[0]) // every_s)
    points = [trace.temp_at(trace.at_s[0] + n * every_s) for n in range(count + 1)]
    bends = [abs(a - 2.0 * b + c) for a, b, c in zip(points, points[1:], points[2:], strict=False)]
    return statistics.median(bends) * 1.4826 / math.sqrt(6.0) if bends else 0.0
