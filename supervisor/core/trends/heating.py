"""What a kiln's heating still manages, told from one firing's temperatures.

While a kiln climbs it gains what its heating gives less what it loses; while it cools, shut and
with the heat off, it loses the same at the same temperature. So *climb + cooling* is what the
heating alone would give, in °C an hour: for a kiln at full power the same figure at every
temperature (in the simulator within 3 % from 650 to 1,080 °C). Divided by the cooling it is
free of the load: more ware slows both alike (there, 0.8 and 1.15 of a load differ by 0.4 %).

Full power is known only where the kiln climbs *behind* its plan: then whoever fires gives all
there is. A kiln that keeps its plan shows no more than that it has at least so much. Near the
peak the first fall is that of hot air and elements, so the cooling there is drawn out from
colder: it goes as a power of the excess over the air about it.

Knows a trace and steps; knows nothing of other firings.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from supervisor.core.review import FiringFacts, StepFacts, Trace
from supervisor.core.trends.theil_sen import theil_sen

LEVEL_C = 25.0
"""Rates are those of stretches so long."""
LEAST_C, COOLEST_C = 600.0, 450.0
"""Climbs are looked at from here, the cooling from there: colder, walls still soak up heat."""
_BEHIND_C = 8.0
"""So far behind its plan a controller gives full power: more than it takes to follow a ramp."""
_LEAST_STRETCHES = 4
"""A hundred degrees at full power are a measurement; less is chance."""
_LEAST_COOLING = 5
_FROM_PEAK_C, _DRAWN_OUT_C = 150.0, 350.0
"""The cooling is looked at from so far below the peak, and drawn out by so much at most."""
_LET_GO_S = 1500.0
_TOP_C = 100.0
"""The last climb is that of the last hundred degrees below the plan's peak."""
_KEPT = 0.93
"""A climb at this part of its planned rate is kept."""


@dataclass(frozen=True, slots=True)
class Cooling:
    """How the shut kiln cools: ``exp(a) · excess^power`` in °C an hour, of ``points`` stretches."""

    a: float
    power: float
    points: int
    hottest_c: float
    ambient_c: float

    def at(self, temp_c: float) -> float:
        """The rate, positive, at which it cools there."""
        return math.exp(self.a + self.power * math.log(temp_c - self.ambient_c))


@dataclass(frozen=True, slots=True)
class Heating:
    """What one firing tells of its kiln's heating.

    ``heat_c_per_h`` is climb and cooling together: measured where ``is_full_power``, else at
    least so much. ``stretches`` is how many spans of 25 °C it was measured over.
    ``last_c_per_h`` is the climb in the last hundred degrees below the plan's peak, and
    ``last_planned_c_per_h`` what the plan wanted; ``last_is_full`` tells that this was all the
    kiln had.
    """

    heat_c_per_h: float
    is_full_power: bool
    stretches: int
    cooling: Cooling
    peak_c: float
    last_c_per_h: float | None = None
    last_planned_c_per_h: float | None = None
    last_at_c: float | None = None
    last_is_full: bool = False

    def climb_at(self, temp_c: float) -> float:
        """The climb that this heating manages at a temperature, in °C an hour."""
        return self.heat_c_per_h - self.cooling.at(temp_c)


@dataclass(frozen=True, slots=True)
class _Climb:
    temp_c: float
    rate_c_per_h: float
    is_behind: bool


def heating_of(trace: Trace, facts: FiringFacts, usual: Cooling | None = None) -> Heating | None:
    """What the firing tells of its kiln's heating.

    ``usual`` is the kiln's cooling in another firing, for one that shows none. None where the
    firing tells nothing: no climb with a plan, or no natural cooling known.
    """
    peak = facts.peak
    if peak is None or not facts.is_whole:
        return None
    cooling = _cooling(trace, facts) or usual
    if cooling is None:
        return None
    climbs = list(_climbs(trace, facts))
    if len(climbs) < _LEAST_STRETCHES:
        return None
    known = [one for one in climbs if one.temp_c <= cooling.hottest_c + _DRAWN_OUT_C]
    full = [one.rate_c_per_h + cooling.at(one.temp_c) for one in known if one.is_behind]
    is_full_power = len(full) >= _LEAST_STRETCHES
    figures = full if is_full_power else [o.rate_c_per_h + cooling.at(o.temp_c) for o in known]
    if not figures:
        return None
    last = _last_climb(trace, facts)
    return Heating(
        heat_c_per_h=statistics.median(figures) if is_full_power else _high(figures),
        is_full_power=is_full_power,
        stretches=len(figures),
        cooling=cooling,
        peak_c=peak.temp_c,
        last_c_per_h=None if last is None else last[1],
        last_planned_c_per_h=None if last is None else last[2],
        last_at_c=None if last is None else last[0],
        last_is_full=last is not None and last[1] < _KEPT * last[2],
    )


def _high(figures: Sequence[float]) -> float:
    """Nearly the largest: one stretch alone may be a swing."""
    ordered = sorted(figures)
    return ordered[-2] if len(ordered) > 2 else ordered[0]


def _climbs(trace: Trace, facts: FiringFacts) -> Iterator[_Climb]:
    """Each stretch of the plan's climbs, and whether the kiln was behind in it."""
    for step in facts.steps:
        leg = step.actual
        if leg is None or leg.to_c <= leg.from_c or step.planned.to_c <= step.planned.from_c:
            continue
        start, end = trace.place(leg.start_s), trace.place(leg.reach_s)
        temp_c = max(LEAST_C, math.ceil((leg.from_c + LEVEL_C) / LEVEL_C) * LEVEL_C)
        while temp_c + LEVEL_C <= leg.to_c:
            to_s = trace.first_at(temp_c + LEVEL_C, start, end, rising=True)
            from_s = None if to_s is None else trace.last_at(temp_c, start, to_s, rising=True)
            if to_s is None:
                break
            if from_s is not None and to_s > from_s:
                rate_c_per_h = LEVEL_C / (to_s - from_s) * 3600.0
                is_behind = all(
                    _behind_c(step, at_s, at_c) >= _BEHIND_C
                    for at_s, at_c in ((from_s, temp_c), (to_s, temp_c + LEVEL_C))
                )
                yield _Climb(temp_c + LEVEL_C / 2.0, rate_c_per_h, is_behind)
            temp_c += LEVEL_C


def _behind_c(step: StepFacts, at_s: float, temp_c: float) -> float:
    """How far below its step's own line the kiln is; a natural step is always full power."""
    leg, rate = step.actual, step.planned.rate_c_per_h
    assert leg is not None  # noqa: S101 - asked for above
    if rate is None:
        return math.inf
    line_c = min(leg.from_c + rate * (at_s - leg.start_s) / 3600.0, step.planned.to_c)
    return line_c - temp_c


def _cooling(trace: Trace, facts: FiringFacts) -> Cooling | None:
    """How this firing cooled while it was shut and the heat was off."""
    cooling, peak = facts.cooling, facts.peak
    if cooling is None or peak is None:
        return None
    start, end = trace.place(cooling.begun_s), len(trace) - 1
    until_s = cooling.opened.at_s if cooling.opened is not None else trace.at_s[-1]
    heated = _heated(facts)
    places: list[float] = []
    rates: list[float] = []
    hottest_c = 0.0
    temp_c = COOLEST_C
    while temp_c + LEVEL_C <= peak.level_c - _FROM_PEAK_C:
        to_s = trace.first_at(temp_c, start, end, rising=False)
        from_s = None
        if to_s is not None and to_s <= until_s:
            from_s = trace.last_at(temp_c + LEVEL_C, start, to_s, rising=False)
        if from_s is not None and to_s is not None and to_s > from_s:
            meets = any(from_s < last_s and first_s < to_s for first_s, last_s in heated)
            if not meets:
                places.append(math.log(temp_c + LEVEL_C / 2.0 - cooling.ambient_c))
                rates.append(math.log(LEVEL_C / (to_s - from_s) * 3600.0))
                hottest_c = temp_c + LEVEL_C
        temp_c += LEVEL_C
    if len(places) < _LEAST_COOLING:
        return None
    line = theil_sen(places, rates)
    if line is None:
        return None
    a = line.middle_y - line.slope * line.middle_x
    return Cooling(a, line.slope, len(places), hottest_c, cooling.ambient_c)


def _heated(facts: FiringFacts) -> list[tuple[float, float]]:
    """When the plan cooled with heat on, or held on the way down, and the first fall after."""
    found = []
    for step in facts.steps:
        leg = step.actual
        if leg is None or step.planned.to_c >= step.planned.from_c:
            continue
        if step.planned.rate_c_per_h is not None:
            found.append((leg.start_s, leg.end_s + _LET_GO_S))
        elif leg.hold_s > 0.0:
            found.append((leg.reach_s, leg.end_s + _LET_GO_S))
    return found


def _last_climb(trace: Trace, facts: FiringFacts) -> tuple[float, float, float] | None:
    """Where the last climb was, its rate in the last hundred degrees, and what was planned."""
    steps = [s for s in facts.steps if s.planned.to_c > s.planned.from_c]
    if not steps or facts.plan is None:
        return None
    last = [s for s in steps if s.planned.to_c >= facts.plan.peak_c]
    step = last[0] if last else steps[-1]
    leg, planned = step.actual, step.planned.rate_c_per_h
    if leg is None or planned is None:
        return None
    from_c = max(step.planned.to_c - _TOP_C, leg.from_c + LEVEL_C)
    to_c = min(leg.to_c - 5.0, step.planned.to_c - 5.0)
    if to_c - from_c < LEVEL_C:
        return None
    start, end = trace.place(leg.start_s), trace.place(leg.end_s)
    to_s = trace.first_at(to_c, start, end, rising=True)
    from_s = None if to_s is None else trace.last_at(from_c, start, to_s, rising=True)
    if from_s is None or to_s is None or to_s <= from_s:
        return None
    return (from_c + to_c) / 2.0, (to_c - from_c) / (to_s - from_s) * 3600.0, planned
