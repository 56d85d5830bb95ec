"""What of one firing goes into trends. Knows its facts, and nothing of the firings around it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.events import Kind
from supervisor.core.review import FiringFacts, Trace
from supervisor.core.trends.heating import Cooling, Heating, heating_of

_WIDEST_C = 25.0
"""Cones that leave more room than that say nothing of a drift."""


@dataclass(frozen=True, slots=True)
class Apart:
    """How far a bare thermocouple reads from the real cones: between which °C to be added."""

    low_c: float
    high_c: float

    @property
    def middle_c(self) -> float:
        return (self.low_c + self.high_c) / 2.0


@dataclass(frozen=True, slots=True)
class FiringPoint:
    """One firing of a kiln, as trends see it.

    ``late_s`` is how much longer than planned it took, None where it was not completed.
    ``losses`` is how often the climb stalled or heat was lost. ``apart`` is by channel, of
    those thermocouples that are still the same.
    """

    firing: str
    started: str | None
    plan: str | None
    is_complete: bool
    lasted_s: float | None
    late_s: float | None
    peak_c: float | None
    peak_apart_c: float | None
    cones_apart: float | None
    losses: int
    kwh: float | None
    heating: Heating | None
    apart: Mapping[str, Apart]


def point_of(
    firing: str,
    started: str | None,
    trace: Trace,
    facts: FiringFacts,
    *,
    configured_c: Mapping[str, float] | None = None,
    older_probes: frozenset[str] = frozenset(),
    usual: Cooling | None = None,
    is_stoked: bool = False,
) -> FiringPoint:
    """The firing's point.

    ``configured_c`` is by channel what the configuration had added to its readings,
    ``older_probes`` the channels whose thermocouple has been exchanged since, ``usual`` the
    kiln's cooling in an earlier firing. Of a kiln that ``is_stoked`` nobody can tell what it could
    climb: it climbs as it is fed.
    """
    plan, even = facts.plan, facts.evenness
    is_complete = plan is not None and plan.finished_s is not None
    late_s = None
    if plan is not None and plan.lasted_s is not None:
        late_s = plan.lasted_s - plan.planned_s
    return FiringPoint(
        firing=firing,
        started=started,
        plan=None if plan is None else plan.name,
        is_complete=is_complete,
        lasted_s=None if plan is None else plan.lasted_s,
        late_s=late_s,
        peak_c=None if facts.peak is None else facts.peak.temp_c,
        peak_apart_c=None if even is None else even.peak_apart_c,
        cones_apart=None if even is None else even.cones_apart,
        losses=len(facts.troubles_of(Kind.STALL, Kind.HEAT_LOST)),
        kwh=None if facts.energy is None else facts.energy.kwh,
        heating=None if is_stoked else heating_of(trace, facts, usual),
        apart=_apart(facts, configured_c or {}, older_probes),
    )


def _apart(
    facts: FiringFacts, configured_c: Mapping[str, float], older_probes: frozenset[str]
) -> dict[str, Apart]:
    found = {}
    for channel in facts.channels:
        looks = [look for look in facts.looks if look.channel == channel and look.counts]
        lows = [look.offset_low_c for look in looks if look.offset_low_c is not None]
        highs = [look.offset_high_c for look in looks if look.offset_high_c is not None]
        if channel in older_probes or not lows or not highs:
            continue
        low_c, high_c = sorted((max(lows), min(highs)))
        if high_c - low_c <= _WIDEST_C:
            by_c = configured_c.get(channel, 0.0)
            found[channel] = Apart(low_c + by_c, high_c + by_c)
    return found
