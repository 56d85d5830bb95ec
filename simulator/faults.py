"""What goes wrong in a simulated firing, when it begins and when it ends.

Knows three faults: heat that no longer suffices (``stall``), no heat at all (``power_cut``) and
a broken probe (``open_thermocouple``). Each acts on the physical thing it stands for, the power
or a circuit, and never on a reading.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from simulator.kiln import Kiln


class FaultKind(StrEnum):
    """What goes wrong."""

    STALL = "stall"
    """The heat falls to what just holds the present temperature, or to a given part."""
    POWER_CUT = "power_cut"
    """Heat and controller are both off; the thermocouple rig has a supply of its own."""
    OPEN_THERMOCOUPLE = "open_thermocouple"
    """The circuit of one channel breaks."""


@dataclass(frozen=True, slots=True)
class FaultSpec:
    """One fault of a scenario.

    It begins at ``at_s`` seconds, or when the chamber first passes ``at_c`` on its way up:
    exactly one of the two is given. It ends after ``lasts_s`` seconds, or never. ``severity`` is
    the part of full power that a stall takes away, above 0 and up to 1; ``None`` leaves just
    what holds the temperature at the time. ``channel`` is the probe that breaks.
    """

    kind: FaultKind
    at_s: float | None = None
    at_c: float | None = None
    lasts_s: float | None = None
    severity: float | None = None
    channel: str | None = None


class Fault:
    """A fault as it lives through a firing: ``is_on`` says whether it acts at the moment."""

    __slots__ = ("began_at_s", "is_on", "spec")

    def __init__(self, spec: FaultSpec) -> None:
        self.spec = spec
        self.is_on = False
        self.began_at_s: float | None = None

    def advance(self, elapsed_s: float, chamber_c: float) -> None:
        """Begin or end as time and temperature have it."""
        spec = self.spec
        if self.began_at_s is None:
            if spec.at_s is not None:
                begins = elapsed_s >= spec.at_s
            else:
                begins = spec.at_c is not None and chamber_c >= spec.at_c
            if begins:
                self.began_at_s = elapsed_s
                self.is_on = True
        elif (
            self.is_on and spec.lasts_s is not None and elapsed_s - self.began_at_s >= spec.lasts_s
        ):
            self.is_on = False

    def limit_w(self, kiln: Kiln) -> float:
        """The most power that is left while this stall is on.

        With no severity it follows what walls and leaks take, as a bottle that ices up gives
        less the more is drawn: the temperature stands still, to a few degrees.
        """
        if self.spec.severity is None:
            return kiln.holding_w()
        return kiln.available_w * (1.0 - self.spec.severity)
