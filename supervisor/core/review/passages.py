"""How the kiln went through a range of temperatures. Knows the trace and no table of bands."""

from __future__ import annotations

from supervisor.core.review.facts import Passage
from supervisor.core.review.trace import Trace

STRETCH_C = 25.0
"""The fastest rate is that of a stretch so long: what a guarded band calls gross is judged over
the same (``supervisor.core.phases.pace``)."""
_STEP_C = 5.0
LEAST_PART = 0.5
"""As for a plan (``supervisor.core.phases.passage``): less of a range is no passage."""
_TURN_C = 5.0


def passage(trace: Trace, from_c: float, to_c: float, start: int, end: int) -> Passage | None:
    """The passage between two points of the trace; None where nothing of it lies there.

    A kiln that turned within the range, or began in it, went through it if it saw half of it;
    rates are then those of the part that it saw.
    """
    rising = to_c > from_c
    inside = trace.kiln_c[start : end + 1]
    if not inside:
        return None
    low_c, high_c = min(inside), max(inside)
    if rising:
        seen_from_c, seen_to_c = max(from_c, low_c), min(to_c, high_c)
    else:
        seen_from_c, seen_to_c = min(from_c, high_c), max(to_c, low_c)
    seen_c = seen_to_c - seen_from_c if rising else seen_from_c - seen_to_c
    part = seen_c / abs(to_c - from_c)
    if part <= 0.0:
        return None
    nothing = Passage(from_c, to_c, part, None, None, None, None, None)
    if part < LEAST_PART:
        return nothing
    # Where the kiln turns it lingers, and that is no part of its way.
    inset_c = 0.0 if seen_to_c == to_c else min(_TURN_C, 0.1 * seen_c)
    seen_to_c += -inset_c if rising else inset_c
    left_s = trace.first_at(seen_to_c, start, end, rising=rising)
    if left_s is None:
        return nothing
    entered_s = trace.last_at(seen_from_c, start, left_s, rising=rising)
    if entered_s is None or left_s <= entered_s:
        return nothing
    mean_c_per_h = (seen_c - inset_c) / (left_s - entered_s) * 3600.0
    fastest, at_c = _fastest(trace, seen_from_c, seen_to_c, start, entered_s, left_s)
    return Passage(
        from_c, to_c, part, entered_s, left_s, mean_c_per_h, max(fastest, mean_c_per_h), at_c
    )


def _fastest(
    trace: Trace, from_c: float, to_c: float, start: int, entered_s: float, left_s: float
) -> tuple[float, float]:
    """The fastest stretch in °C an hour, and where it began."""
    sign = 1.0 if to_c > from_c else -1.0
    width_c = abs(to_c - from_c)
    count = max(1, round(width_c / _STEP_C))
    apart_c = width_c / count
    back = min(count, max(1, round(STRETCH_C / apart_c)))
    levels = [from_c + sign * n * apart_c for n in range(count + 1)]
    begin, end = max(trace.place(entered_s), start), min(trace.place(left_s) + 1, len(trace) - 1)
    rising = sign > 0.0
    best, best_c = 0.0, from_c
    for n in range(back, count + 1):
        at_s = trace.first_at(levels[n], begin, end, rising=rising)
        if at_s is None:
            continue
        since_s = trace.last_at(levels[n - back], start, at_s, rising=rising)
        if since_s is None or since_s >= at_s:
            continue
        rate_c_per_h = back * apart_c / (at_s - since_s) * 3600.0
        if rate_c_per_h > best:
            best, best_c = rate_c_per_h, levels[n - back]
    return best, best_c
