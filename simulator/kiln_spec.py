"""What a kiln is: how it is built, loaded, heated and let breathe. Figures only, nothing moves.

Knows no temperatures and no times. Each kiln has three zones, one above the other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from simulator.materials import ELEMENT_HEAT_J_PER_KG_K
from simulator.wall import Layer, Skin

ZONES = ("top", "middle", "bottom")
"""The zones, from above downwards."""


class KilnKind(StrEnum):
    """What heats a kiln."""

    ELECTRIC = "electric"
    GAS = "gas"
    WOOD = "wood"


@dataclass(frozen=True, slots=True)
class Tuning:
    """What the kiln's own controller has been set to.

    ``gain_per_k`` is the share of full power for each degree of error, ``integral_s`` and
    ``derivative_s`` the two times of a PID. ``thermal_mass_j_per_k`` is the heat that one
    degree takes on a ramp; it sets the power given ahead of any error.
    """

    gain_per_k: float
    integral_s: float
    derivative_s: float
    thermal_mass_j_per_k: float


@dataclass(frozen=True, slots=True)
class ZoneSpec:
    """One zone, as built and as loaded. Areas in m2, masses in kg.

    ``power_share`` is this zone's part of the kiln's power. ``leak_w_per_k`` is the heat taken
    by air that finds its way in and out, for each degree above the shed.
    """

    power_share: float
    wall_area_m2: float
    ware_kg: float
    ware_area_m2: float
    furniture_kg: float
    furniture_area_m2: float
    source_kg: float
    source_area_m2: float
    leak_w_per_k: float


@dataclass(frozen=True, slots=True)
class KilnSpec:
    """A kiln: what it is built of, how it is heated and how its controller is set.

    ``power_w`` is full power when new: at the terminals of the elements, or in the fuel burnt.
    ``chamber_j_per_k`` is the heat capacity of each zone's chamber node. Neighbouring zones
    radiate to each other through a free opening of ``opening_m2`` past the shelves and share
    ``mixing_w_per_k`` by moving gas. ``film_w_per_m2_k`` is the convection at every surface
    inside. ``flue_per_k`` is the part of the heat released that leaves by the flue for each
    degree of the chamber above the shed; 0 for an electric kiln. ``ageing`` is the part of
    ``power_w`` that the elements or burners still give, ``mains_sag`` the part that a low mains
    voltage takes away. ``door_m2`` is the opening that a door or lid closes, ``vent_w_per_k``
    what all vents and dampers let through, wide open, for each degree above the shed.
    ``unsteady`` is the standard deviation of a flame's strength from one quarter of a minute to
    the next, as a part of it. ``phases`` is the number of mains phases that feed an electric
    kiln. Emissivities are those of the surfaces as seen from the chamber.
    """

    name: str
    kind: KilnKind
    power_w: float
    layers: tuple[Layer, ...]
    skin: Skin
    top: ZoneSpec
    middle: ZoneSpec
    bottom: ZoneSpec
    tuning: Tuning
    chamber_j_per_k: float
    opening_m2: float
    mixing_w_per_k: float
    film_w_per_m2_k: float
    door_m2: float
    vent_w_per_k: float
    flue_per_k: float = 0.0
    source_heat_j_per_kg_k: float = ELEMENT_HEAT_J_PER_KG_K
    source_emissivity: float = 0.7
    ware_emissivity: float = 0.85
    furniture_emissivity: float = 0.8
    wall_emissivity: float = 0.55
    ageing: float = 1.0
    mains_sag: float = 0.0
    unsteady: float = 0.0
    phases: int = 1
    spacing_m: float = 0.0125

    @property
    def zones(self) -> tuple[ZoneSpec, ZoneSpec, ZoneSpec]:
        """The zones in the order of ``ZONES``."""
        return (self.top, self.middle, self.bottom)

    @property
    def available_w(self) -> float:
        """Full power as the kiln now is; a sag of the voltage counts twice (power goes by V2)."""
        return self.power_w * self.ageing * (1.0 - self.mains_sag) ** 2

    def loaded(self, part: float) -> KilnSpec:
        """The same kiln with so much of its usual load of ware (above 0)."""
        top, middle, bottom = (
            replace(
                zone, ware_kg=zone.ware_kg * part, ware_area_m2=zone.ware_area_m2 * part ** (2 / 3)
            )
            for zone in self.zones
        )
        return replace(self, top=top, middle=middle, bottom=bottom)
