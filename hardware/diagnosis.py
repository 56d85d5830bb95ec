"""What a chip's registers mean: a temperature, or the cause why there is none.

Pure: registers in, finding out. Refuses to know how they were read. The order of the causes
is the order of danger: a foreign voltage first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.converter import (
    FAULT_CJ_HIGH,
    FAULT_CJ_LOW,
    FAULT_CJ_RANGE,
    FAULT_OPEN,
    FAULT_TC_HIGH,
    FAULT_TC_LOW,
    FAULT_TC_RANGE,
    FAULT_VOLTAGE,
    Snapshot,
)
from hardware.silence import Silence
from supervisor.core.readings import FaultCause

_CAUSES: Final = (
    (FAULT_VOLTAGE, FaultCause.VOLTAGE),
    (FAULT_OPEN, FaultCause.OPEN),
    (FAULT_CJ_RANGE | FAULT_CJ_HIGH | FAULT_CJ_LOW, FaultCause.COLD_JUNCTION),
    (FAULT_TC_RANGE | FAULT_TC_HIGH | FAULT_TC_LOW, FaultCause.RANGE),
)

COLD_JUNCTION_RANGE_C: Final = (-55.0, 125.0)
"""Terminals outside this are outside the chip's own limits (data sheet)."""

_RANGE_SLACK_C: Final = 1.0
"""A value this far outside its type's range without the chip's range bit can't be right."""


_BELOW_TERMINALS_C: Final = 60.0
"""No kiln is so much colder than the box beside it; swapped leads read below the terminals by as
much as the kiln is above them (common practice, no source)."""
_BELOW_RANGE_C: Final = 20.0
"""Out of the range, and by so much below the terminals, is the range's lower end."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What one look at one channel gave; ``None`` where there is nothing to say.

    ``temp_c`` has the channel's offset in it and is ``None`` with a fault. ``below_range``
    says that the type can't measure yet: type B gives nothing useful below 250 °C.
    ``measured_c`` is what the chip made of the voltage, without offset, where it made anything
    of it; to judge by, never to show. ``silence`` says how a chip does not answer, ``fits`` which
    types the values fit that they should not. ``restarts`` counts how often the chip has lost
    its power since the beginning.
    """

    temp_c: float | None = None
    cold_junction_c: float | None = None
    fault: FaultCause | None = None
    below_range: bool = False
    measured_c: float | None = None
    silence: Silence | None = None
    fits: tuple[str, ...] = ()
    restarts: int = 0


NOTHING_YET: Final = Finding()
"""The chip is set up and its first conversion is under way."""


def no_answer(silence: Silence) -> Finding:
    """The chip did not answer, or not twice alike."""
    return Finding(fault=FaultCause.BUS, silence=silence)


def diagnose(snapshot: Snapshot, channel: ThermocoupleChannel) -> Finding:
    """What the registers of a chip with the right configuration say of ``channel``."""
    cold_junction_c = snapshot.cold_junction_c
    low_c, high_c = TYPE_RANGE_C[channel.thermocouple_type]
    temp_c = snapshot.temp_c
    bits = snapshot.fault_bits
    cause = next((cause for mask, cause in _CAUSES if bits & mask), None)
    coldest_c, warmest_c = COLD_JUNCTION_RANGE_C
    if cause in (None, FaultCause.RANGE) and not coldest_c <= cold_junction_c <= warmest_c:
        cause = FaultCause.COLD_JUNCTION
    if cause is None and not low_c - _RANGE_SLACK_C <= temp_c <= high_c + _RANGE_SLACK_C:
        cause = FaultCause.RANGE
    if cause is FaultCause.RANGE and channel.thermocouple_type == "B" and temp_c < low_c:
        return Finding(cold_junction_c=cold_junction_c, below_range=True)
    if cause in (None, FaultCause.RANGE):
        below_c = cold_junction_c - temp_c
        if below_c > _BELOW_TERMINALS_C or (cause is not None and below_c > _BELOW_RANGE_C):
            cause = FaultCause.REVERSED
    if cause is FaultCause.VOLTAGE:
        # The chip stops converting, so its terminals are as old as its temperature.
        return Finding(fault=cause)
    if cause is not None:
        return Finding(cold_junction_c=cold_junction_c, fault=cause)
    return Finding(
        temp_c=temp_c + channel.offset_c, cold_junction_c=cold_junction_c, measured_c=temp_c
    )
