"""What a schedule says, in Celsius and seconds. Knows nothing of files or of any one firing.

It knows the phases of the ware by name and direction only; what happens in them, where and how
fast they may be crossed stands in ``supervisor.core.phases``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from supervisor.core.units import Unit


class FiringKind(StrEnum):
    """What is in the kiln."""

    BISQUE = "bisque"
    GLAZE = "glaze"
    OTHER = "other"


class Atmosphere(StrEnum):
    """Whether the ware is to see spare air or a smoky flame."""

    OXIDATION = "oxidation"
    REDUCTION = "reduction"


class Way(StrEnum):
    """Which way the kiln goes through a band of temperatures."""

    HEATING = "heating"
    HOLDING = "holding"
    COOLING = "cooling"


class BandName(StrEnum):
    """The phases of the ware that spyhole knows, by the names that a schedule may use."""

    DRYING = "drying"
    CHEMICAL_WATER = "chemical water"
    QUARTZ_TURNS = "quartz turns"
    BURNING_OUT = "burning out"
    GASES_LEAVE = "gases leave"
    BODY_REDUCTION = "body reduction"
    MELTING = "melting"
    LEVELLING = "levelling"
    CRYSTALS_GROW = "crystals grow"
    GLAZE_SETS = "glaze sets"
    QUARTZ_TURNS_BACK = "quartz turns back"
    CRISTOBALITE_TURNS_BACK = "cristobalite turns back"
    OPENING = "opening"

    @property
    def way(self) -> Way:
        if self is BandName.LEVELLING:
            return Way.HOLDING
        return Way.COOLING if self in _COOLING else Way.HEATING


_COOLING = frozenset(
    {
        BandName.CRYSTALS_GROW,
        BandName.GLAZE_SETS,
        BandName.QUARTZ_TURNS_BACK,
        BandName.CRISTOBALITE_TURNS_BACK,
        BandName.OPENING,
    }
)


@dataclass(frozen=True, slots=True)
class BandChange:
    """What a schedule says of one band: a known one changed or left out, or one of its own.

    ``from_c`` and ``to_c`` are both given or both None (as the table has them); the direction
    follows from them. ``fastest_c_per_h`` is None for the table's own rate; ``at_any_rate``
    lifts the guard. ``why`` is what happens there, in the writer's words, or empty.
    """

    name: str
    from_c: float | None = None
    to_c: float | None = None
    fastest_c_per_h: float | None = None
    at_any_rate: bool = False
    is_left_out: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One leg of the schedule: go to ``to_c``, then hold there for ``hold_s`` seconds.

    ``rate_c_per_h`` is positive, the direction follows from ``to_c``; ``None`` is natural: as
    fast as the kiln climbs at full power, or cools with the heat off.
    """

    to_c: float
    rate_c_per_h: float | None
    hold_s: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Schedule:
    """A whole firing as planned. ``units`` is the scale its writer thinks in.

    ``bands`` is what this schedule says otherwise of the bands that the ware goes through.
    """

    name: str
    steps: tuple[Step, ...]
    units: Unit = Unit.C
    kind: FiringKind = FiringKind.OTHER
    atmosphere: Atmosphere = Atmosphere.OXIDATION
    target_cone: str | None = None
    bands: tuple[BandChange, ...] = ()

    @property
    def peak_c(self) -> float:
        """The highest temperature that the plan asks for."""
        return max(step.to_c for step in self.steps)

    @property
    def peak_step(self) -> int:
        """Index of the last step that ends at the peak: what comes after it is cooling."""
        peak_c = self.peak_c
        return max(i for i, step in enumerate(self.steps) if step.to_c == peak_c)
