"""A firing that still goes on, held against where another was at the same hour, and as hot.

Of a peak, a hold and a cooling that are still to come it knows nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from supervisor.core.compare.aligned import Align, zero_s
from supervisor.core.compare.subject import Subject


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far ``name`` has come beside ``against``; °C, and seconds since both began to climb.

    ``at_s`` and ``temp_c`` are now, None where it has not begun to climb; ``against_c`` is where
    the other was after as long, None where its log ends before. ``later_s`` is how much later it
    came to ``reached_c``, the hottest that it was so far, None where the other never did.
    """

    name: str
    against: str
    has_peaked: bool
    at_s: float | None
    temp_c: float | None
    against_c: float | None
    reached_c: float | None
    later_s: float | None


def so_far(subject: Subject, other: Subject, from_c: float) -> SoFar | None:
    """None for a firing that is over."""
    if not subject.goes_on:
        return None
    name, against, has_peaked = subject.name, other.name, subject.has_peaked
    zero, zero_other = (zero_s(one, Align.TIME, from_c) for one in (subject, other))
    if zero is None:
        return SoFar(name, against, has_peaked, None, None, None, None, None)
    trace, beside = subject.trace, other.trace
    at_s = trace.at_s[-1] - zero
    reached_c = float(math.floor(max(trace.kiln_c)))
    against_c = later_s = None
    if zero_other is not None:
        if at_s + zero_other <= min(beside.at_s[-1], other.until_s):
            against_c = beside.temp_at(at_s + zero_other)
        first, first_other = (
            one.trace.first_at(reached_c, 0, len(one.trace) - 1, rising=True)
            for one in (subject, other)
        )
        if first is not None and first_other is not None:
            later_s = (first - zero) - (first_other - zero_other)
    return SoFar(name, against, has_peaked, at_s, trace.kiln_c[-1], against_c, reached_c, later_s)
