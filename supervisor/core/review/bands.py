"""The bands that the ware goes through, as this kiln crossed them.

The table, its guards and the rule for "too fast" are those of ``supervisor.core.phases``, which
plan and watch go by too. Heating bands are looked for up to the end of the peak, cooling bands
after it. Without a plan nobody knows what is in the kiln: the bands are named and none is guarded.
"""

from __future__ import annotations

from supervisor.core.phases.bands import Band, bands_of
from supervisor.core.phases.pace import Paces
from supervisor.core.phases.passage import phases_of
from supervisor.core.review.facts import BandFacts, Passage, PeakFacts
from supervisor.core.review.passages import passage
from supervisor.core.review.steps import Pursuit
from supervisor.core.review.trace import GAP_S, Trace
from supervisor.core.schedule.model import Schedule, Step, Way


def bands_seen(
    trace: Trace,
    peak: PeakFacts,
    schedule: Schedule | None,
    pursuit: Pursuit | None,
    *,
    is_stoked: bool,
) -> tuple[BandFacts, ...]:
    """Each band of the plan that the kiln saw something of, in the table's order.

    ``is_stoked``: it was fired with wood.
    """
    bands = bands_of(schedule or Schedule("unknown", (Step(peak.temp_c, None),)))
    planned: dict[tuple[str, Way], float] = {}
    if schedule is not None and pursuit is not None:
        planned = {
            (phase.band.name, phase.band.way): phase.rate_c_per_h
            for phase in phases_of(schedule, pursuit.timeline)
        }
    worst = _worst(trace, Paces(bands, is_stoked=is_stoked))
    found = []
    for band in bands:
        seen = _passage(trace, peak, band)
        if seen is None:
            continue
        rate = planned.get((band.name, band.way))
        found.append(
            BandFacts(
                band.name,
                band.way,
                seen,
                band.fastest_c_per_h,
                worst.get((band.name, band.way)),
                None if band.way is Way.HOLDING else rate,
            )
        )
    return tuple(found)


def _passage(trace: Trace, peak: PeakFacts, band: Band) -> Passage | None:
    if band.way is Way.HOLDING:
        return Passage(
            peak.level_c, peak.level_c, 1.0, peak.hold_from_s, peak.hold_to_s, 0.0, 0.0, None
        )
    if band.way is Way.HEATING:
        return passage(trace, band.from_c, band.to_c, 0, trace.place(peak.hold_to_s))
    return passage(trace, band.from_c, band.to_c, trace.place(peak.hold_to_s), len(trace) - 1)


def _worst(trace: Trace, paces: Paces) -> dict[tuple[str, Way], float]:
    """How much too fast each guarded band was crossed, by the rule of plan and watch."""
    last_s: float | None = None
    for at_s, temp_c in zip(trace.at_s, trace.kiln_c, strict=True):
        if last_s is not None and at_s - last_s > GAP_S:
            paces.begin(at_s, temp_c)
        else:
            paces.feed(at_s, temp_c)
        last_s = at_s
    return {(pace.band.name, pace.band.way): pace.worst for pace in paces.of}
