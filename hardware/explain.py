"""A channel of the rig in words: what it reads, and what to go and check when it does not.

For the day of wiring. Knows sentences only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.diagnosis import Finding
from supervisor.core.readings import FaultCause

_WARM_TERMINALS_C: Final = 60.0
"""Connection heads are better kept cooler (common practice, no source)."""

_CHECKS: Final = {
    FaultCause.OPEN: (
        "The circuit is broken: check the probe for a burnt-through tip, then the lead and the "
        "screws of both terminals."
    ),
    FaultCause.VOLTAGE: (
        "There is a voltage on the input that no thermocouple gives. The probe may touch an "
        "element's circuit: touch nothing, switch the kiln off at its isolator and call a "
        "licensed electrician."
    ),
    FaultCause.COLD_JUNCTION: (
        "The terminals are too hot or too cold for a trustworthy value: move the converter away "
        "from the kiln and out of its exhaust."
    ),
    FaultCause.BUS: (
        "The converter chip does not answer: check its supply, the SPI leads and its chip select, "
        "and that no other program uses the bus."
    ),
}


@dataclass(frozen=True, slots=True)
class ChannelReport:
    """One channel as a person wants it told; temperatures in °C, ``None`` where unknown."""

    name: str
    thermocouple_type: str
    temp_c: float | None
    cold_junction_c: float | None
    fault: FaultCause | None
    sentence: str


def report(channel: ThermocoupleChannel, finding: Finding) -> ChannelReport:
    """The finding on ``channel`` as a report."""
    return ChannelReport(
        name=channel.name,
        thermocouple_type=channel.thermocouple_type,
        temp_c=finding.temp_c,
        cold_junction_c=finding.cold_junction_c,
        fault=finding.fault,
        sentence=_sentence(channel, finding),
    )


def _sentence(channel: ThermocoupleChannel, finding: Finding) -> str:
    letter = channel.thermocouple_type
    low_c, high_c = TYPE_RANGE_C[letter]
    if finding.fault is FaultCause.RANGE:
        return (
            f"The value is outside what type {letter} can measure ({low_c:g} to {high_c:g} °C): "
            "check that the probe is of this type and that plus and minus are not swapped."
        )
    if finding.fault is not None:
        return _CHECKS[finding.fault]
    if finding.below_range:
        return f"Type {letter} measures from {low_c:g} °C up: nothing is wrong while it is cooler."
    if finding.temp_c is None:
        return "No value yet: the first conversion is under way."
    if finding.cold_junction_c is not None and finding.cold_junction_c > _WARM_TERMINALS_C:
        return (
            f"The probe reads well, but its terminals are at {finding.cold_junction_c:.0f} °C: "
            "move the converter to a cooler place."
        )
    return "The probe reads well."
