"""What differs between two firings, and by how much more than is worth a word.

Each difference is measured in what a potter would call one: a quarter of a cone, five degrees at
the peak, five minutes of hold. So unlike things can be put in order, the biggest first. These
measures are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from supervisor.core.compare.aligned import LOW_C
from supervisor.core.compare.subject import Subject, worth
from supervisor.core.report.ware import ranges_of
from supervisor.core.review import FiringFacts, Passage

CONES, PEAK_C, HOLD_S = 0.25, 5.0, 300.0
CLIMB_S, CLIMB_PART = 1200.0, 0.04
RATE_RATIO, COOLING_RATIO = 1.15, 1.2
DWELL_S, APART_C, OPENED_C = 600.0, 10.0, 50.0
WARNINGS = 1.5
"""How a warning that only one of them had counts against the rest."""
SAME_PEAK_C, NEAR_PEAK_C = 25.0, 60.0
"""Holds are compared at about the same heat, climbs to about the same."""
ALIKE = 1.0
"""Differences below one measure are none."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs: what each has (None: not at all), by how many of its measures.

    ``what`` names it, ``unit`` is c, s, c_per_h, cones or empty. ``parts`` is what of the cones
    comes of climb, hold and cooling.
    """

    what: str
    unit: str
    reference: float | None
    other: float | None
    weight: float
    parts: dict[str, float] = field(default_factory=dict)
    names: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())

    @property
    def by(self) -> float | None:
        """Other less reference."""
        if self.reference is None or self.other is None:
            return None
        return self.other - self.reference

    @property
    def is_alike(self) -> bool:
        return self.weight < ALIKE


def differences(reference: Subject, other: Subject) -> tuple[Difference, ...]:
    """All that can be compared, the biggest difference first.

    Of a firing that goes on only once its peak is behind it; before, warnings alone.
    """
    return tuple(sorted(_all(reference, other), key=lambda one: -one.weight))


def _all(reference: Subject, other: Subject) -> Iterator[Difference]:
    one, two = reference.facts, other.facts
    if not (reference.has_peaked and other.has_peaked):
        if not reference.is_plan:
            yield from _warnings(reference, other)
        return
    yield from _cones(reference, other)
    if one.peak is not None and two.peak is not None:
        yield _plain("peak", "c", one.peak.level_c, two.peak.level_c, PEAK_C)
        apart_c = abs(two.peak.level_c - one.peak.level_c)
        if apart_c <= SAME_PEAK_C:
            yield _plain("hold", "s", one.peak.hold_s, two.peak.hold_s, HOLD_S)
        if apart_c <= NEAR_PEAK_C:
            yield from _climbs(reference, other)
            yield from _ratio(
                "last 100 °C", one.peak.rate_c_per_h, two.peak.rate_c_per_h, RATE_RATIO
            )
    yield from _coolings(reference, other)
    if reference.is_plan:
        return
    if one.evenness is not None and two.evenness is not None:
        apart = one.evenness.peak_apart_c, two.evenness.peak_apart_c
        if apart[0] is not None and apart[1] is not None:
            yield _plain("evenness", "c", apart[0], apart[1], APART_C)
    yield from _opened(one, two)
    yield from _warnings(reference, other)


def _plain(what: str, unit: str, one: float, two: float, measure: float) -> Difference:
    return Difference(what, unit, one, two, abs(two - one) / measure)


def _ratio(what: str, one: float | None, two: float | None, measure: float) -> Iterator[Difference]:
    if one is not None and two is not None and one > 0.0 and two > 0.0:
        yield Difference(what, "c_per_h", one, two, abs(math.log(two / one)) / math.log(measure))


def _cones(reference: Subject, other: Subject) -> Iterator[Difference]:
    one, two = reference.place, other.place
    if one is None or two is None:
        return
    parts = {part.value: by for part, by in worth(reference.works, other.works).items()}
    yield Difference("cones", "cones", one, two, abs(two - one) / CONES, parts)


def _climbs(reference: Subject, other: Subject) -> Iterator[Difference]:
    """From where both have begun to the beginning of the hold."""
    took = [
        _climb_s(subject, max(LOW_C, *_starts(reference, other))) for subject in (reference, other)
    ]
    if took[0] is not None and took[1] is not None:
        measure = max(CLIMB_S, CLIMB_PART * took[0])
        yield _plain("climb", "s", took[0], took[1], measure)


def _starts(*subjects: Subject) -> tuple[float, ...]:
    return tuple((s.facts.start_c or 0.0) + 10.0 for s in subjects)


def _climb_s(subject: Subject, from_c: float) -> float | None:
    peak, trace = subject.facts.peak, subject.trace
    if peak is None:
        return None
    since_s = trace.first_at(from_c, 0, len(trace) - 1, rising=True)
    return None if since_s is None else peak.hold_from_s - since_s


def _coolings(reference: Subject, other: Subject) -> Iterator[Difference]:
    one, two = reference.facts.cooling, other.facts.cooling
    if one is None or two is None:
        return
    seen = dict(ranges_of(two))
    for name, passage in ranges_of(one):
        if name in seen and _is_planned(reference, passage):
            yield from _ratio(name, passage.mean_c_per_h, seen[name].mean_c_per_h, COOLING_RATIO)
    dwelt = sum(d.hold_s for d in one.dwells), sum(d.hold_s for d in two.dwells)
    if any(dwelt):
        yield _plain("holds on the way down", "s", *dwelt, DWELL_S)


def _is_planned(subject: Subject, passage: Passage) -> bool:
    """Of a plan only what it plans counts: steps with a rate, or holds."""
    if not subject.is_plan:
        return True
    entered_s, left_s = passage.entered_s, passage.left_s
    if entered_s is None or left_s is None or left_s > subject.until_s:
        return False
    return all(
        step.planned.rate_c_per_h is not None
        for step in subject.facts.steps
        if step.planned.start_s < left_s and step.planned.reach_s > entered_s
    )


def _opened(one: FiringFacts, two: FiringFacts) -> Iterator[Difference]:
    """At which temperature each was opened; where it was not, the last one of the log."""
    if one.cooling is None or two.cooling is None:
        return
    opened = [
        None if cooling.opened is None else cooling.opened.temp_c
        for cooling in (one.cooling, two.cooling)
    ]
    if opened == [None, None]:
        return
    at = [
        cooling.end_c if temp_c is None else temp_c
        for cooling, temp_c in zip((one.cooling, two.cooling), opened, strict=True)
    ]
    yield Difference("opened", "c", opened[0], opened[1], abs(at[1] - at[0]) / OPENED_C)


def _warnings(reference: Subject, other: Subject) -> Iterator[Difference]:
    one, two = reference.facts, other.facts
    told = [tuple(dict.fromkeys(str(t.kind) for t in facts.troubles)) for facts in (one, two)]
    # What one that goes on has not been warned of, it may be yet.
    only = [
        () if beside.goes_on else tuple(k for k in told[n] if k not in told[1 - n])
        for n, beside in enumerate((other, reference))
    ]
    if any(only):
        yield Difference(
            "warnings",
            "",
            float(len(one.troubles)),
            float(len(two.troubles)),
            WARNINGS,
            names=(only[0], only[1]),
        )
