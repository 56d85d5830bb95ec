"""What each fault of a thermocouple means and what to go and check: the one list of it.

The watch's messages and ``spyhole rig`` both speak from here. Knows words only.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from supervisor.core.readings import FaultCause

BEFORE_TOUCHING = (
    "Before you touch a probe or its leads, switch the kiln off at its isolator and mind the heat."
)


class SensorCheck(NamedTuple):
    """A fault in words. ``says`` goes on from the thermocouple's name, ``check`` from there.

    ``short`` is for a table. ``is_hands_on`` says that checking means touching the probe.
    """

    short: str
    says: str
    check: str
    is_hands_on: bool = False

    @property
    def whole(self) -> str:
        """What it does and what to check, to go on from the thermocouple's name."""
        return f"{self.says}: {self.check}"


SENSOR_CHECKS: Mapping[FaultCause, SensorCheck] = MappingProxyType(
    {
        FaultCause.OPEN: SensorCheck(
            "broken circuit",
            "gives no usable value",
            "look for a broken probe, a loose or burnt terminal, or a lead that has come off",
            is_hands_on=True,
        ),
        FaultCause.SHORT: SensorCheck(
            "not measuring the kiln",
            "reads a temperature from outside the kiln",
            "look where its leads touch each other or metal, for a wet terminal, and whether the "
            "probe has slipped out",
            is_hands_on=True,
        ),
        FaultCause.VOLTAGE: SensorCheck(
            "foreign voltage",
            "sees a voltage that no thermocouple gives",
            "the probe may touch an element or another live part, so touch nothing, switch the "
            "kiln off at its isolator and call a licensed electrician to look",
        ),
        FaultCause.RANGE: SensorCheck(
            "out of range",
            "is outside the range of its thermocouple type",
            "check the type in the configuration and the leads' polarity",
            is_hands_on=True,
        ),
        FaultCause.COLD_JUNCTION: SensorCheck(
            "terminals too hot or cold",
            "sits on terminals that are too hot or too cold",
            "move the box away from the kiln",
        ),
        FaultCause.BUS: SensorCheck(
            "no answer",
            "has a converter that does not answer",
            "check the board's power and the cable to it",
        ),
        FaultCause.FROZEN: SensorCheck(
            "frozen",
            "has stood at one value for longer than any real signal does",
            "check the converter and the logger",
        ),
        FaultCause.JUMP: SensorCheck(
            "jumping",
            "has jumped, or left the others, as no kiln moves",
            "look whether it has slipped out or cracked, and for a loose terminal",
            is_hands_on=True,
        ),
        FaultCause.REVERSED: SensorCheck(
            "swapped leads",
            "falls as the kiln heats",
            "its leads are swapped, so exchange plus and minus",
            is_hands_on=True,
        ),
        FaultCause.TYPE: SensorCheck(
            "wrong type",
            "reads as a thermocouple of another type would",
            "check the letter on the probe and on its lead against the type in the configuration",
            is_hands_on=True,
        ),
    }
)
"""Cause -> what to say. Every cause is in it."""
