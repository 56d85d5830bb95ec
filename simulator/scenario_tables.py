"""What may stand in a scenario file: its keys, their kinds and their limits.

Knows each key by itself. What keys mean together is ``scenario``'s.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field


class Table(BaseModel):
    """Strict: no unknown keys, no text for numbers, no infinities."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


_Seconds = Annotated[float, Field(ge=0.5, le=600.0)]
_Minutes = Annotated[float, Field(ge=0.0, le=10_000.0)]
_Hours = Annotated[float, Field(gt=0.0, le=168.0)]
_Share = Annotated[float, Field(gt=0.0, le=1.0)]
_Kiln_C = Annotated[float, Field(ge=0.0, le=1500.0)]
_Channel = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,30}$")]
_Zone = Literal["top", "middle", "bottom"]


class SensorTable(Table):
    """One channel of the rig."""

    channel: _Channel
    zone: _Zone
    lag_s: _Seconds = 30.0
    noise_c: Annotated[float, Field(ge=0.0, le=50.0)] = 0.3
    offset_c: Annotated[float, Field(ge=-50.0, le=50.0)] | None = None
    gain_error: Annotated[float, Field(ge=-0.1, le=0.1)] = 0.0
    drift_c_per_h: Annotated[float, Field(ge=-50.0, le=50.0)] = 0.0
    toward_wall: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0
    cold_junction_c: Annotated[float, Field(ge=-50.0, le=50.0)] = 0.0
    spikes_per_h: Annotated[float, Field(ge=0.0, le=3600.0)] = 0.0
    spike_c: Annotated[float, Field(ge=0.0, le=500.0)] = 20.0
    hum_c: Annotated[float, Field(ge=0.0, le=50.0)] = 0.0
    resolution_c: Annotated[float, Field(gt=0.0, le=10.0)] | None = None


class FaultTable(Table):
    """One thing that goes wrong."""

    kind: Literal[
        "stall",
        "power_cut",
        "early_shut_off",
        "worn_elements",
        "phase_lost",
        "gas_icing",
        "relay_stuck",
        "door_ajar",
        "fast_cooling",
        "cold_zone",
        "open_thermocouple",
        "shorted_thermocouple",
        "frozen_thermocouple",
        "reversed_thermocouple",
        "slipped_thermocouple",
        "silent_rig",
        "clock_step",
    ]
    at_min: _Minutes | None = None
    at_c: _Kiln_C | None = None
    below_c: _Kiln_C | None = None
    stage: Literal["climb", "last_climb", "hold", "last_hold", "cooling", "after_end"] | None = None
    after_min: _Minutes | None = None
    for_min: _Minutes | None = None
    severity: _Share | None = None
    channel: _Channel | None = None
    zone: _Zone | None = None
    step_min: Annotated[float, Field(ge=-100_000.0, le=100_000.0)] | None = None


class OperatorTable(Table):
    """Who works the kiln, and how. Steps are counted from 1."""

    kind: Literal["controller", "switches", "burner", "stoking"] = "controller"
    gain_error: Annotated[float, Field(ge=-0.1, le=0.1)] = 0.0
    offset_c: Annotated[float, Field(ge=-50.0, le=50.0)] = 0.0
    visit_min: Annotated[list[float], Field(min_length=2, max_length=2)] | None = None
    looks_per_h: Annotated[float, Field(ge=0.0, le=60.0)] = 0.0
    reduce_at_c: _Kiln_C | None = None
    reduce_min: _Minutes | None = None
    reduce_rate: Annotated[float, Field(ge=0.0, le=500.0)] | None = None
    candle_min: _Minutes | None = None
    candle_share: _Share | None = None
    pause_at_c: _Kiln_C | None = None
    pause_min: _Minutes | None = None
    skip_step: Annotated[int, Field(ge=1, le=100)] | None = None


class ScenarioTable(Table):
    """A whole scenario file."""

    title: Annotated[str, Field(min_length=1, max_length=200)]
    kiln: str
    schedule: str
    seed: Annotated[int, Field(ge=0, le=2**63 - 1)] = 1
    ambient_c: Annotated[float, Field(ge=-30.0, le=50.0)] = 18.0
    start_c: Annotated[float, Field(ge=-30.0, le=1000.0)] | None = None
    start_delay_min: _Minutes = 0.0
    hours: _Hours | None = None
    max_hours: _Hours = 48.0
    interval_s: Annotated[float, Field(ge=0.1, le=3600.0)] = 1.0
    began: str | None = None
    load: Annotated[float, Field(ge=0.05, le=2.0)] = 1.0
    ageing: Annotated[float, Field(gt=0.0, le=1.0)] = 1.0
    mains_sag: Annotated[float, Field(ge=0.0, le=0.5)] = 0.0
    operator: OperatorTable | None = None
    sensor: list[SensorTable] = Field(default_factory=list, max_length=16)
    fault: list[FaultTable] = Field(default_factory=list, max_length=16)


TABLES: dict[str, type[Table]] = {
    "sensor": SensorTable,
    "fault": FaultTable,
    "operator": OperatorTable,
}
"""The tables within a scenario, by their key."""
