"""What a schedule says, in Celsius and seconds. Knows nothing of files or of any one firing."""

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
    """A whole firing as planned. ``units`` is the scale its writer thinks in."""

    name: str
    steps: tuple[Step, ...]
    units: Unit = Unit.C
    kind: FiringKind = FiringKind.OTHER
    atmosphere: Atmosphere = Atmosphere.OXIDATION
    target_cone: str | None = None

    @property
    def peak_c(self) -> float:
        """The highest temperature that the plan asks for."""
        return max(step.to_c for step in self.steps)

    @property
    def peak_step(self) -> int:
        """Index of the last step that ends at the peak: what comes after it is cooling."""
        peak_c = self.peak_c
        return max(i for i, step in enumerate(self.steps) if step.to_c == peak_c)
