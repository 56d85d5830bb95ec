"""What goes wrong in a simulated firing, when it begins and when it ends.

Knows every kind of fault, what a scenario may say of it, and its onset. Each acts on the
physical thing it stands for (the power, the air, a circuit, the rig) and never on a result:
``firing`` joins them.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum

from simulator.kiln import Kiln
from simulator.operation import Stage


class FaultKind(StrEnum):
    """What goes wrong."""

    STALL = "stall"
    """The heat falls to what just holds the present temperature, or by a given part."""
    POWER_CUT = "power_cut"
    """Heat and controller are both off; the thermocouple rig has a supply of its own."""
    EARLY_SHUT_OFF = "early_shut_off"
    """Something switches the kiln off for good before its plan is done."""
    WORN_ELEMENTS = "worn_elements"
    """Elements have lost a part of their power."""
    PHASE_LOST = "phase_lost"
    """One phase of the mains is gone, and the elements of one zone with it."""
    GAS_ICING = "gas_icing"
    """The gas bottle ices up and its pressure fades over an hour."""
    RELAY_STUCK = "relay_stuck"
    """A relay is welded: its elements stay on whatever the controller wants."""
    DOOR_AJAR = "door_ajar"
    """Door or lid are not shut."""
    FAST_COOLING = "fast_cooling"
    """Vents and damper stand open."""
    COLD_ZONE = "cold_zone"
    """One zone gets less heat than it should."""
    OPEN_THERMOCOUPLE = "open_thermocouple"
    """The circuit of one channel breaks."""
    SHORTED_THERMOCOUPLE = "shorted_thermocouple"
    """The leads of one channel touch, outside the kiln."""
    FROZEN_THERMOCOUPLE = "frozen_thermocouple"
    """One channel's value stands still."""
    REVERSED_THERMOCOUPLE = "reversed_thermocouple"
    """The leads of one channel are swapped."""
    SLIPPED_THERMOCOUPLE = "slipped_thermocouple"
    """One probe has slipped out of the wall, most of the way."""
    SILENT_RIG = "silent_rig"
    """No channel gives a value; the kiln knows nothing of it."""
    CLOCK_STEP = "clock_step"
    """The wall clock is put forward or back: labels change and nothing else."""


OF_A_CHANNEL = frozenset(
    {
        FaultKind.OPEN_THERMOCOUPLE,
        FaultKind.SHORTED_THERMOCOUPLE,
        FaultKind.FROZEN_THERMOCOUPLE,
        FaultKind.REVERSED_THERMOCOUPLE,
        FaultKind.SLIPPED_THERMOCOUPLE,
    }
)
"""Kinds that concern one channel of the rig."""

OF_A_ZONE = frozenset({FaultKind.PHASE_LOST, FaultKind.RELAY_STUCK, FaultKind.COLD_ZONE})
"""Kinds that concern one zone; a stuck relay without a zone concerns the whole kiln."""

WHAT_SEVERITY_IS: dict[FaultKind, str] = {
    FaultKind.STALL: "the part of full power that is gone",
    FaultKind.WORN_ELEMENTS: "the part of full power that is gone",
    FaultKind.GAS_ICING: "the part of full power that is gone after an hour",
    FaultKind.RELAY_STUCK: "the part of the elements' power that stays on",
    FaultKind.DOOR_AJAR: "the part of the opening that is free",
    FaultKind.FAST_COOLING: "the part of all vents that is open",
    FaultKind.COLD_ZONE: "the part of the zone's power that is gone",
    FaultKind.SLIPPED_THERMOCOUPLE: "how far out the probe is; at 1 it measures the shed",
}
"""The kinds that have a severity, above 0 and up to 1."""

USUAL_SEVERITY: dict[FaultKind, float] = {
    FaultKind.WORN_ELEMENTS: 0.3,
    FaultKind.GAS_ICING: 0.7,
    FaultKind.RELAY_STUCK: 1.0,
    FaultKind.DOOR_AJAR: 0.04,
    FaultKind.FAST_COOLING: 1.0,
    FaultKind.COLD_ZONE: 0.5,
    FaultKind.SLIPPED_THERMOCOUPLE: 0.8,
}
"""Where a scenario gives none (guesses); a stall without one just holds the temperature."""

ICING_S = 3600.0
"""A bottle's pressure fades over this time (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FaultSpec:
    """One fault of a scenario.

    It begins at ``at_s`` seconds; or when the chamber first passes ``at_c`` on its way up; or
    when it first comes down to ``below_c`` after the peak; or ``after_s`` seconds into the first
    ``stage`` of that name: exactly one of ``at_s``, ``at_c``, ``below_c`` and ``stage`` is given.
    It ends after ``lasts_s`` seconds, or never. ``severity`` is explained by
    ``WHAT_SEVERITY_IS``. ``channel`` is the probe concerned, ``zone`` the zone, ``step_s`` how
    far a clock is put forward.
    """

    kind: FaultKind
    at_s: float | None = None
    at_c: float | None = None
    below_c: float | None = None
    stage: Stage | None = None
    after_s: float = 0.0
    lasts_s: float | None = None
    severity: float | None = None
    channel: str | None = None
    zone: str | None = None
    step_s: float = 0.0

    @property
    def strength(self) -> float:
        """The severity, or the usual one (1 where there is none)."""
        if self.severity is not None:
            return self.severity
        return USUAL_SEVERITY.get(self.kind, 1.0)


_NO_STAGES: frozenset[Stage] = frozenset()


class Fault:
    """A fault as it lives through a firing: ``is_on`` says whether it acts at the moment.

    ``began_at_s`` is when it came up; ``told_at_s`` is when it first did something, which
    ``firing`` writes down.
    """

    __slots__ = ("_stage_since_s", "began_at_s", "is_on", "spec", "told_at_s")

    def __init__(self, spec: FaultSpec) -> None:
        self.spec = spec
        self.is_on = False
        self.began_at_s: float | None = None
        self.told_at_s: float | None = None
        self._stage_since_s: float | None = None

    def advance(
        self, elapsed_s: float, chamber_c: float, stages: AbstractSet[Stage] = _NO_STAGES
    ) -> None:
        """Begin or end as time, temperature and stage have it."""
        if self.began_at_s is None:
            if self._begins(elapsed_s, chamber_c, stages):
                self.began_at_s = elapsed_s
                self.is_on = True
        elif self.is_on and self.spec.lasts_s is not None:
            self.is_on = elapsed_s - self.began_at_s < self.spec.lasts_s

    def _begins(self, elapsed_s: float, chamber_c: float, stages: AbstractSet[Stage]) -> bool:
        spec = self.spec
        if spec.at_s is not None:
            return elapsed_s >= spec.at_s
        if spec.at_c is not None:
            return chamber_c >= spec.at_c
        if spec.below_c is not None:
            return Stage.COOLING in stages and chamber_c <= spec.below_c
        if self._stage_since_s is None and spec.stage in stages:
            self._stage_since_s = elapsed_s
        return self._stage_since_s is not None and elapsed_s >= self._stage_since_s + spec.after_s

    def next_change_s(self) -> float | None:
        """When it begins or ends by the clock; None where that is over or not known yet."""
        if self.began_at_s is None:
            if self._stage_since_s is not None:
                return self._stage_since_s + self.spec.after_s
            return self.spec.at_s
        if self.is_on and self.spec.lasts_s is not None:
            return self.began_at_s + self.spec.lasts_s
        return None

    def tell(self, elapsed_s: float) -> None:
        """Write down that it does something at ``elapsed_s``; the first time counts."""
        if self.told_at_s is None:
            self.told_at_s = elapsed_s

    def most_share(self, elapsed_s: float, kiln: Kiln) -> float:
        """The share of full power that is left while a stall, wear or icing is on.

        A stall with no severity follows what walls and leaks take, as a bottle that ices up
        gives less the more is drawn: the temperature stands still, to a few degrees.
        """
        spec = self.spec
        if spec.kind is FaultKind.STALL:
            if spec.severity is None:
                return min(1.0, kiln.holding_w() / kiln.available_w)
            return 1.0 - spec.severity
        if spec.kind is FaultKind.WORN_ELEMENTS:
            return 1.0 - spec.strength
        if spec.kind is FaultKind.GAS_ICING and self.began_at_s is not None:
            return 1.0 - spec.strength * min(1.0, (elapsed_s - self.began_at_s) / ICING_S)
        return 1.0
