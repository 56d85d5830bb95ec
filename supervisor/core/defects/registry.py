"""Every condition that a rule may name, by its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TypeAlias

from supervisor.core.defects.conditions import bands, cooling, heat, plan, reduction
from supervisor.core.defects.finding import Case, Finding

Condition: TypeAlias = Callable[[Case], Finding]

CONDITIONS: Mapping[str, Condition] = MappingProxyType(
    {
        one.__name__: one
        for one in (
            heat.underfired,
            heat.overfired,
            heat.cool_corner,
            heat.hot_corner,
            heat.uneven_kiln,
            plan.broken_off,
            plan.top_too_low,
            plan.top_too_high,
            plan.hold_too_short,
            plan.hold_too_long,
            plan.last_climb_too_fast,
            plan.last_climb_too_slow,
            bands.dried_too_fast,
            bands.clay_water_too_fast,
            bands.quartz_too_fast_up,
            bands.burnt_out_too_fast,
            bands.gases_too_fast,
            bands.quartz_too_fast_down,
            bands.cristobalite_too_fast_down,
            bands.shelf_heated_too_fast,
            cooling.opened_hot,
            cooling.dropped_fast,
            cooling.little_time_to_heal,
            cooling.crystals_had_no_time,
            cooling.crystals_had_time,
            cooling.long_hot,
            reduction.reduced_late,
            reduction.reduced_early,
            reduction.reduced_briefly,
        )
    }
)
"""Every condition by the name that rules use."""
