"""After how long a kiln that stands quite still, here and now, is called stalled.

Knows who works the kiln and how hot it is, not what it has done.
"""

from __future__ import annotations

from supervisor.core.watch.beginning import FAST_C_PER_H
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import FIRES, WARM_C, Pauses, fired_with

CLOSE_S, LOOSE_S = 255.0, 540.0
_FLAME_CLOSE_S, _FLAME_LOOSE_S = 390.0, 600.0
"""An electric kiln that stands quite still is called stalled after this time: one that keeps its
plan closely, and one that a person works, who looks away. What burns, or may for all that is
known, flickers and is looked into, and is given longer (common practice, no source). With the
filter's own delay all lie within a quarter of an hour."""
_COLD_C, _COLD_LOOSE_S, _COLD_FIRE_S = 150.0, 1500.0, 3600.0
"""A cold kiln that a person works heats in fits and starts, and loses little by standing: from
``WARM_C`` down to the first temperature it is given more and more time, a fire the most."""
_COLD_PART, _CANDLED_S = 0.4, 2100.0
"""And no more than this part of the time that the plan takes over the step, though of a flame as
long as it takes to see that the kiln is candled; none where it climbs fast: who fires for raku in
an hour or three looks each few minutes (common practice, no source)."""


def still_for_s(moment: Moment, pauses: Pauses) -> float:
    """After how long a kiln like this one, here, is called stalled if it stands quite still."""
    temp_c, close_s, loose_s = moment.temp_c, CLOSE_S, LOOSE_S
    if moment.kiln_kind != "electric":
        close_s, loose_s = _FLAME_CLOSE_S, _FLAME_LOOSE_S
    if temp_c is not None and temp_c < WARM_C:
        cold = min((WARM_C - temp_c) / (WARM_C - _COLD_C), 1.0)
        cold_loose_s = _COLD_FIRE_S if fired_with(moment) in FIRES else _COLD_LOOSE_S
        step = moment.plan.step
        if step is not None:
            planned_s = _COLD_PART * (step.reach_s - step.start_s)
            if moment.kiln_kind in FIRES:
                planned_s = max(planned_s, _CANDLED_S)
            if (step.rate_c_per_h or 0.0) > FAST_C_PER_H:
                planned_s = 0.0
            cold_loose_s = max(min(cold_loose_s, planned_s), loose_s)
        loose_s += cold * (cold_loose_s - loose_s)
        swings_s = pauses.swings_for_s(moment.elapsed_s)
        if swings_s is not None:
            loose_s = min(loose_s, max(swings_s, LOOSE_S))
    return close_s + moment.habits.looseness * (loose_s - close_s)
