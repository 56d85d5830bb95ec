"""Small firings for the record's tests."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.readings import FaultCause, Reading
from supervisor.record.rows import NewFiring

NEW = NewFiring(
    kiln="Big Bertha",
    channels=("top", "bottom"),
    name="Glaze",
    schedule_toml='name = "Glaze"\n',
    started_label="2026-11-25T20:00:00+00:00",
    boot_id="boot-1",
    boottime_start_s=12.25,
    settings={"sensitivity": 1.5},
)


def reading(elapsed_s: float, label: str | None = None) -> Reading:
    """A reading with a value, and now and then a fault."""
    if int(elapsed_s) % 7 == 3:
        return Reading(elapsed_s, {"top": None, "bottom": 19.1}, {"top": FaultCause.OPEN}, label)
    return Reading(elapsed_s, {"top": 20.0 + elapsed_s / 3.0, "bottom": None}, time=label)


def event(number: int, elapsed_s: float = 60.0) -> Event:
    """One of many different events."""
    return Event(
        elapsed_s,
        Kind.STALL,
        Severity.WARNING,
        State.RAISED,
        f"The kiln has stopped climbing ({number}): look at the elements.",
        data={"rate_c_per_h": 1.25},
    )
