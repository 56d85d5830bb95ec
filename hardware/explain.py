"""A channel of the rig in words: what it reads, and what to go and check when it does not.

For the day of wiring. The words for each fault are the watch's own; what only the wiring shows is
added here. Knows sentences only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.diagnosis import Finding
from hardware.silence import WHAT_IT_MEANS, Silence
from supervisor.core.readings import FaultCause
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.units import Unit, show_temp

_WARM_TERMINALS_C: Final = 60.0
"""Connection heads are better kept cooler (common practice, no source)."""

_WELL: Final = "The probe reads well."

_OF_THE_WIRES: Final = frozenset(
    {Silence.LOW, Silence.HIGH, Silence.DEAF, Silence.GARBLED, Silence.REFUSED}
)

_NOTHING_CONNECTED: Final = (
    "A board without any probe may show this too: if that is so, switch the Pi off, connect the "
    "probe, and look again."
)
"""The inputs float beyond the supply (Analog Devices, EngineerZone, "MAX31856: open circuit fault
not detected upon startup with no thermocouple attached")."""


@dataclass(frozen=True, slots=True)
class ChannelReport:
    """One channel as a person wants it told; temperatures in °C, ``None`` where unknown.

    ``short`` is for a table; ``sentences`` say it at length. ``is_fine`` means that there is
    nothing to mend.
    """

    name: str
    thermocouple_type: str
    temp_c: float | None
    cold_junction_c: float | None
    fault: FaultCause | None
    short: str
    sentences: tuple[str, ...]
    is_fine: bool
    is_waiting: bool = False


def report(
    channel: ThermocoupleChannel,
    finding: Finding,
    neighbours: Sequence[Finding] = (),
    unit: Unit = Unit.C,
) -> ChannelReport:
    """The finding on ``channel`` as a report, its sentences in ``unit``.

    ``neighbours`` are the others on its bus.
    """
    is_waiting = finding.fault is None and finding.temp_c is None and not finding.below_range
    sentences = (*_sentences(channel, finding, neighbours, unit), *_restarts(finding))
    return ChannelReport(
        name=channel.name,
        thermocouple_type=channel.thermocouple_type,
        temp_c=finding.temp_c,
        cold_junction_c=finding.cold_junction_c,
        fault=finding.fault,
        short=_short(finding, is_waiting=is_waiting),
        sentences=sentences,
        is_fine=finding.fault is None and not is_waiting and not finding.restarts,
        is_waiting=is_waiting,
    )


def _short(finding: Finding, *, is_waiting: bool) -> str:
    if finding.fault is not None:
        return SENSOR_CHECKS[finding.fault].short
    if finding.below_range:
        return "below range"
    if is_waiting:
        return "waiting"
    if finding.restarts:
        return "losing power"
    return "in doubt" if finding.fits else "ok"


def _sentences(
    channel: ThermocoupleChannel, finding: Finding, neighbours: Sequence[Finding], unit: Unit
) -> tuple[str, ...]:
    if finding.fault is None:
        told = _without_fault(channel.thermocouple_type, finding, unit)
        return () if finding.restarts and told == _WELL else (told,)
    check = SENSOR_CHECKS[finding.fault]
    said = [f"It {check.whole}.", *_more(channel, finding, neighbours, unit)]
    if check.is_hands_on:
        said.append(BEFORE_TOUCHING)
    return tuple(said)


def _without_fault(letter: str, finding: Finding, unit: Unit) -> str:
    if finding.below_range:
        lowest = show_temp(TYPE_RANGE_C[letter][0], unit)
        return f"Type {letter} measures from {lowest} up: nothing is wrong while it is cooler."
    if finding.temp_c is None:
        return "No value yet: the first conversion is under way."
    if finding.fits:
        return (
            f"It reads as a type {_either(finding.fits)} would on an input that is set to "
            f"{letter}; or it sits in a colder or hotter part of the kiln. Compare the letter on "
            f"the probe."
        )
    if finding.cold_junction_c is not None and finding.cold_junction_c > _WARM_TERMINALS_C:
        return (
            f"The probe reads well, but its terminals are at "
            f"{show_temp(finding.cold_junction_c, unit)}: move the converter to a cooler place."
        )
    return _WELL


def _more(
    channel: ThermocoupleChannel, finding: Finding, neighbours: Sequence[Finding], unit: Unit
) -> list[str]:
    """What the wiring shows beyond the fault's own words."""
    letter = channel.thermocouple_type
    if finding.fault is FaultCause.RANGE:
        low, high = (show_temp(end_c, unit) for end_c in TYPE_RANGE_C[letter])
        return [f"Type {letter} goes from {low} to {high}."]
    if finding.fault is FaultCause.TYPE:
        fits = _either(finding.fits)
        beside = "its voltage beside the other channels fits"
        return [f"It is set to type {letter}, and {beside} type {fits}."]
    if finding.fault is FaultCause.VOLTAGE:
        return [_NOTHING_CONNECTED]
    if finding.silence is None:
        return []
    return [WHAT_IT_MEANS[finding.silence], *_whose_wires(channel, finding.silence, neighbours)]


def _whose_wires(
    channel: ThermocoupleChannel, silence: Silence, neighbours: Sequence[Finding]
) -> list[str]:
    """Whether to look at this board's own wires or at those that all boards share."""
    bus = channel.bus
    if not neighbours or silence not in _OF_THE_WIRES:
        return []
    if all(other.fault is FaultCause.BUS for other in neighbours):
        return [f"Every board on {bus} is silent: look first at the leads they share."]
    own = f"its supply and its chip select {channel.chip_select}"
    return [f"Other boards on {bus} answer, so look at this board's own leads: {own}."]


def _restarts(finding: Finding) -> tuple[str, ...]:
    if not finding.restarts:
        return ()
    times = "once" if finding.restarts == 1 else f"{finding.restarts} times"
    return (f"The board has lost its power {times}: look for a loose supply or ground lead.",)


def _either(letters: Sequence[str]) -> str:
    return " or ".join(letters)
