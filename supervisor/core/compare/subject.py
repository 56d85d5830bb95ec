"""One firing, or one plan, as it is held against another: its facts, its line, its heat-work.

The heat-work is split into climb, hold and cooling, because each adds to it by itself: so what a
longer hold was worth can be told by putting one firing's hold in the place of the other's.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Set
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations, permutations

from supervisor.core.heatwork.cones import CONES, WHOLE_CONE_NAMES
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.heatwork.scale import place_on_scale
from supervisor.core.review import FiringFacts, Reviewer
from supervisor.core.review.trace import Trace

_NO_DIP_C = 100.0
"""Heat that is lost for an hour costs less, mostly (common practice, no source)."""


class Part(StrEnum):
    """What a firing's heat-work comes from."""

    CLIMB = "climb"
    HOLD = "hold"
    COOLING = "cooling"


Works = Mapping[Part, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Subject:
    """A firing by a short name for sentences ("B") and a ``label`` that tells which it is.

    ``is_plan`` is true for a plan, of which only what it plans counts: ``until_s`` is where its
    last planned move ends. ``goes_on`` is true for a firing of which more is to come.
    """

    name: str
    label: str
    facts: FiringFacts
    trace: Trace
    works: Works
    is_plan: bool = False
    until_s: float = math.inf
    goes_on: bool = False

    @property
    def has_peaked(self) -> bool:
        """Whether its peak and hold can be spoken of: they are behind it."""
        return not self.goes_on or _is_past_peak(self.facts)

    @property
    def place(self) -> float | None:
        """Where all of its heat-work stands on the scale of cones."""
        return place_of(self.works, self.works, frozenset())


def _is_past_peak(facts: FiringFacts) -> bool:
    """Whether the plan's top was fired to its end and the kiln falls; without a plan whether it
    has fallen so far that no dip on the way was."""
    peak, cooling = facts.peak, facts.cooling
    if peak is None or cooling is None:
        return False
    climbs = [step for step in facts.steps if step.planned.to_c >= step.planned.from_c]
    if not climbs:
        return peak.level_c - cooling.end_c >= _NO_DIP_C
    return max(climbs, key=lambda step: (step.planned.to_c, step.number)).is_complete


def subject_of(name: str, label: str, reviewer: Reviewer, facts: FiringFacts) -> Subject:
    """A firing whose readings the reviewer has taken in, with its facts."""
    return Subject(name, label, facts, reviewer.trace, works_of(reviewer, facts))


def works_of(reviewer: Reviewer, facts: FiringFacts) -> Works:
    """The heat-work of the leading channel, by its parts."""
    lead, peak = facts.lead_cones, facts.peak
    nothing = {part: dict.fromkeys(WHOLE_CONE_NAMES, 0.0) for part in Part}
    if lead is None or peak is None:
        return nothing
    path = reviewer.work_of(lead.channel).work.path
    limits = {
        Part.CLIMB: (-math.inf, peak.hold_from_s),
        Part.HOLD: (peak.hold_from_s, peak.hold_to_s),
        Part.COOLING: (peak.hold_to_s, math.inf),
    }
    for part, (from_s, to_s) in limits.items():
        for name in WHOLE_CONE_NAMES:
            nothing[part][name] = _work_between(path, name, lead.offset_c, from_s, to_s)
    return nothing


def _work_between(
    path: ThermalPath, name: str, offset_c: float, from_s: float, to_s: float
) -> float:
    """The work of one cone between two times; a piece that lies across counts by its share."""
    rate_per_s = CONES[name].rate_per_s
    total = 0.0
    for start_s, length_s, mean_c, _, _ in path.pieces():
        inside_s = min(start_s + length_s, to_s) - max(start_s, from_s)
        if inside_s > 0.0:
            total += rate_per_s(mean_c + offset_c) * inside_s
    return total


def place_of(one: Works, other: Works, swapped: Set[Part]) -> float | None:
    """Where ``one`` would stand on the scale of cones with these parts of ``other``."""
    return place_on_scale(
        {
            name: sum((other if part in swapped else one)[part][name] for part in Part)
            for name in WHOLE_CONE_NAMES
        }
    )


def worth(one: Works, other: Works) -> dict[Part, float]:
    """What each part of ``other`` is worth in cones in the place of that of ``one``.

    What a longer hold is worth depends on the climb that came before it; each part has the mean
    over all orders of putting them in (L. S. Shapley, A value for n-person games, 1953), so that
    together they are the whole difference. Empty where some mixture has no cone down.
    """
    parts = tuple(Part)
    places: dict[frozenset[Part], float] = {}
    for count in range(len(parts) + 1):
        for swapped in combinations(parts, count):
            place = place_of(one, other, frozenset(swapped))
            if place is None:
                return {}
            places[frozenset(swapped)] = place
    orders = list(permutations(parts))
    found = dict.fromkeys(parts, 0.0)
    for order in orders:
        for n, part in enumerate(order):
            before = frozenset(order[:n])
            found[part] += (places[before | {part}] - places[before]) / len(orders)
    return found
