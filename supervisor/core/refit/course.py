"""Which part of a firing a plan can repeat: from the first climb to the last heat, and no farther.

Natural cooling needs no plan. It is told from cooling with heat on by the kiln itself: the hotter
a kiln that is let go, the faster it falls, so where it falls much slower than it does later and
colder, somebody cools it by a plan. What went wrong on the way (a fall while it was to climb, a
stall) is no part of what should be done again, and is cut out of the time.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from supervisor.core.events import Kind
from supervisor.core.review import FiringFacts, Trace

MOST_POINTS = 1200
"""So many points are fitted at the most: a day and a night, each minute."""
LEAST_HOLD_S = 300.0
"""A shorter stand is a corner."""
_WARMED_C = 2.0
"""A kiln that is warmer than at its coldest by more has begun to climb."""
_SPAN_S = 900.0
_SLOWER = 0.8
"""A kiln that falls at less than this part of its later, colder rate is held back."""
_MOST_STRETCHES = 5
"""More than these are no plan but a fire that dies down."""
_LEAST_S = 900.0
"""A shorter stretch is a swing or the last of the peak's heat."""
_COLD_C = 250.0
"""Nobody cools a kiln by a plan below (common practice, no source)."""
_THERE_C, _LEFT_C = 1.0, 1.5
"""So near its level the kiln has come up to it; so far below again it has been let go."""
_FALL_C, _STALL_C = 25.0, 4.0
"""A fall by more on the way up is no swing of a fire; what moves less than this stands."""


@dataclass(frozen=True, slots=True)
class Points:
    """A stretch of the firing as points, cleaned of what went wrong."""

    at_s: tuple[float, ...]
    temp_c: tuple[float, ...]

    def __len__(self) -> int:
        return len(self.at_s)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What the plan does not repeat: from ``from_s`` for ``lasted_s``, about ``temp_c``.

    ``what`` is ``kind``, a stall or lost heat, in words.
    """

    kind: Kind
    what: str
    from_s: float
    lasted_s: float
    temp_c: float


@dataclass(frozen=True, slots=True)
class Course:
    """The parts that a plan repeats.

    ``fired`` leads from the first climb to the end of the peak; from ``hold_from_s`` on, the kiln
    stood at ``level_c``. ``up`` is the same without its dips and swings, which were up to
    ``swing_c`` high: it never falls before the peak. ``down`` are the stretches that were cooled
    with heat on, in order; between them, and from the peak to the first, the kiln was let go.
    """

    fired: Points
    up: Points
    swing_c: float
    hold_from_s: float
    level_c: float
    down: tuple[Points, ...]
    left_out: tuple[LeftOut, ...]


def course_of(trace: Trace, facts: FiringFacts) -> Course | None:
    """None for what was no firing."""
    peak = facts.peak
    if peak is None or not facts.is_whole:
        return None
    top = trace.place(peak.hold_to_s)
    level_c = peak.level_c if peak.hold_s >= LEAST_HOLD_S else peak.temp_c
    while trace.kiln_c[top] < level_c - _LEFT_C and trace.at_s[top] > peak.at_s:
        top -= 1
    start = _beginning(trace, facts, top)
    if top - start < 2:
        return None
    lost = _falls(trace, start, trace.place(peak.hold_from_s))
    stalls = _stalls(trace, facts, start, top)
    fired = _thinned(_without(trace, start, top, [*lost, *stalls]))
    stood_s = trace.first_at(level_c - _THERE_C, trace.place(peak.hold_from_s), top, rising=True)
    stood_s = peak.hold_from_s if stood_s is None else stood_s
    hold_from_s = stood_s - _covered(_spans([*lost, *stalls]), stood_s)
    up, swing_c = _rising(fired, hold_from_s)
    return Course(
        fired=fired,
        up=up,
        swing_c=swing_c,
        hold_from_s=hold_from_s,
        level_c=level_c,
        down=_held_back(trace.steadied(), facts, top),
        left_out=tuple(sorted([*lost, *stalls], key=lambda one: one.from_s)),
    )


def _beginning(trace: Trace, facts: FiringFacts, top: int) -> int:
    """Where the kiln last was as cold as at the beginning: it takes minutes to get going."""
    plan, first = facts.plan, 0
    if plan is not None and plan.begun_s is not None:
        first = trace.place(plan.begun_s)
    lowest_c = min(trace.kiln_c[first : top + 1])
    return max(i for i in range(first, top + 1) if trace.kiln_c[i] <= lowest_c + _WARMED_C)


def _falls(trace: Trace, start: int, top: int) -> list[LeftOut]:
    """Where the kiln fell by much while it was to climb, until it was back."""
    at_s, kiln_c = trace.at_s, trace.kiln_c
    found = []
    high = start
    for i in range(start, top + 1):
        if kiln_c[i] >= kiln_c[high]:
            lowest_c = min(kiln_c[high : i + 1])
            if kiln_c[high] - lowest_c > _FALL_C:
                found.append(
                    LeftOut(
                        Kind.HEAT_LOST,
                        "heat was lost",
                        at_s[high],
                        at_s[i] - at_s[high],
                        kiln_c[high],
                    )
                )
            high = i
    return found


def _stalls(trace: Trace, facts: FiringFacts, start: int, top: int) -> list[LeftOut]:
    """Where the watch told of a stall that ended: from where the climb died to where it went on."""
    found = []
    for trouble in facts.troubles_of(Kind.STALL):
        if trouble.ended_s is None or trouble.temp_c is None:
            continue
        told = trace.place(trouble.began_s)
        if not start < told < top:
            continue
        level_c = trace.kiln_c[told]
        first = told
        while first > start and abs(trace.kiln_c[first - 1] - level_c) <= _STALL_C:
            first -= 1
        last = told
        while last < top and abs(trace.kiln_c[last + 1] - level_c) <= _STALL_C:
            last += 1
        lasted_s = trace.at_s[last] - trace.at_s[first]
        found.append(LeftOut(Kind.STALL, "the climb stalled", trace.at_s[first], lasted_s, level_c))
    return found


def _without(trace: Trace, start: int, end: int, left_out: Sequence[LeftOut]) -> Points:
    """The points with those stretches cut out of the time."""
    at_s: list[float] = []
    temps_c: list[float] = []
    spans = _spans(left_out)
    for i in range(start, end + 1):
        now_s = trace.at_s[i]
        if any(from_s < now_s < to_s for from_s, to_s in spans):
            continue
        cut_s = _covered(spans, now_s)
        place_s = now_s - cut_s
        if not at_s or place_s > at_s[-1]:
            at_s.append(place_s)
            temps_c.append(trace.kiln_c[i])
    return Points(tuple(at_s), tuple(temps_c))


def _rising(fired: Points, until_s: float) -> tuple[Points, float]:
    """The climb without its dips and swings, and how high the highest was.

    Half-way between the highest that the kiln had been till then, and the lowest that it would
    be from then on: that never falls, and a swing to either side costs it nothing.
    """
    count = bisect_right(fired.at_s, until_s)
    climb = fired.temp_c[:count]
    highest = list(accumulate(climb, max))
    lowest = list(accumulate(reversed(climb), min))[::-1]
    swing_c = max((high - low for high, low in zip(highest, lowest, strict=True)), default=0.0)
    middle = [(high + low) / 2.0 for high, low in zip(highest, lowest, strict=True)]
    return Points(fired.at_s, (*middle, *fired.temp_c[count:])), swing_c


def _spans(left_out: Sequence[LeftOut]) -> list[tuple[float, float]]:
    return sorted((one.from_s, one.from_s + one.lasted_s) for one in left_out)


def _covered(spans: Sequence[tuple[float, float]], until_s: float) -> float:
    """How much of the time up to then the spans cover together."""
    total_s, reached_s = 0.0, -math.inf
    for from_s, to_s in spans:
        begin_s, end_s = max(from_s, reached_s), min(to_s, until_s)
        if end_s > begin_s:
            total_s += end_s - begin_s
        reached_s = max(reached_s, to_s)
    return total_s


def _held_back(trace: Trace, facts: FiringFacts, top: int) -> tuple[Points, ...]:
    """The stretches of the cooling in which heat was on."""
    cooling = facts.cooling
    if cooling is None:
        return ()
    until_s = trace.at_s[-1] if cooling.opened is None else cooling.opened.at_s
    spans = _rates(trace, top, until_s)
    slow: list[tuple[int, int]] = []
    fastest_later = last_rate = 0.0
    for i, j, rate in reversed(spans):
        if rate < _SLOWER * fastest_later:
            if slow and slow[-1][0] == j:
                slow[-1] = (i, slow[-1][1])
            else:
                slow.append((i, j))
        # A look through the spyhole makes one span fast; two in a row are the kiln's own.
        fastest_later = max(fastest_later, min(rate, last_rate))
        last_rate = rate
    found = []
    for i, j in reversed(slow):
        if trace.at_s[j] - trace.at_s[i] >= _LEAST_S:
            first, last = _widened(trace, i, j, top)
            if trace.at_s[last] - trace.at_s[first] >= _LEAST_S:
                found.append(_thinned(_without(trace, first, last, ())))
    return tuple(found) if len(found) <= _MOST_STRETCHES else ()


def _rates(trace: Trace, top: int, until_s: float) -> list[tuple[int, int, float]]:
    """Spans of the cooling, and how fast the kiln fell in each, in °C an hour."""
    found = []
    at_s, kiln_c = trace.at_s, trace.kiln_c
    i = top
    while i + 1 < len(trace) and at_s[i] < until_s and kiln_c[i] > _COLD_C:
        j = i + 1
        while j + 1 < len(trace) and at_s[j] - at_s[i] < _SPAN_S:
            j += 1
        if at_s[j] > until_s:
            break
        found.append((i, j, (kiln_c[i] - kiln_c[j]) / (at_s[j] - at_s[i]) * 3600.0))
        i = j
    return found


def _widened(trace: Trace, i: int, j: int, top: int) -> tuple[int, int]:
    """The stretch from where the kiln was first held back to where it was let go again.

    The spans are coarse. Seen against the chord over each end the corner is the farthest point:
    below it where a fall becomes slower, above it where it becomes faster.
    """
    at_s = trace.at_s
    middle = trace.place((at_s[i] + at_s[j]) / 2.0)
    before = max(trace.place(at_s[i] - _SPAN_S), top)
    after = trace.place(at_s[j] + _SPAN_S)
    return _corner(trace, before, middle, sign=-1.0), _corner(trace, middle, after, sign=1.0)


def _corner(trace: Trace, start: int, end: int, *, sign: float) -> int:
    """The point farthest above (1) or below (−1) the straight line between two points."""
    at_s, kiln_c = trace.at_s, trace.kiln_c
    run_s = at_s[end] - at_s[start]
    if run_s <= 0.0:
        return start

    def off(n: int) -> float:
        part = (at_s[n] - at_s[start]) / run_s
        line_c = kiln_c[start] + part * (kiln_c[end] - kiln_c[start])
        return sign * (kiln_c[n] - line_c)

    return max(range(start, end + 1), key=off)


def _thinned(points: Points) -> Points:
    """At most so many points, each the mean of its neighbours; the ends as they are."""
    count = len(points)
    every = math.ceil(count / MOST_POINTS)
    if every <= 1:
        return points
    at_s, temps_c = [points.at_s[0]], [points.temp_c[0]]
    for first, last in pairwise([*range(1, count - 1, every), count - 1]):
        size = last - first
        at_s.append(math.fsum(points.at_s[first:last]) / size)
        temps_c.append(math.fsum(points.temp_c[first:last]) / size)
    at_s.append(points.at_s[-1])
    temps_c.append(points.temp_c[-1])
    return Points(tuple(at_s), tuple(temps_c))
