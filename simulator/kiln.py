"""The heat balance of a kiln with three zones, one above the other.

Knows where heat comes from, where it is kept and where it goes. Knows no plan, no controller,
no thermocouples and no faults: somebody tells it how much power it gets, second by second.

In each zone::

    source ──radiation──> chamber ──radiation, convection──> ware
                             │   └──────────────────────────> furniture (shelves, posts)
              zone above <───┤
              zone below <───┤──radiation, convection──> wall face ──conduction──> skin ──> shed
                             └──> air let in, flue

The chamber is a light node, the gas and the thin things in it, and is what a thermocouple
sees. Radiation goes by the difference of fourth powers (Stefan-Boltzmann), every surface
seeing the others through the chamber node. All of it is explicit in time with a step of 1 or
2 s, which the light nodes of the presets allow up to 1,320 °C.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from simulator.materials import (
    ELEMENT_HEAT_J_PER_KG_K,
    SHELF_HEAT_J_PER_KG_K,
    STEFAN_BOLTZMANN_W_PER_M2_K4,
    WARE_HEAT_J_PER_KG_K,
    ZERO_CELSIUS_K,
)
from simulator.wall import Layer, Skin, Wall

ZONES = ("top", "middle", "bottom")
"""The zones, from above downwards."""

WALL_STEP_S = 10.0
"""The inside of the wall is advanced once in this time; a 12 mm interval of light brick needs
more than 60 s to follow, so nothing is lost by it."""


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
    ``power_w`` that the elements or burners still give. Emissivities are those of the surfaces
    as seen from the chamber.
    """

    name: str
    kind: Literal["electric", "gas"]
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
    flue_per_k: float = 0.0
    source_heat_j_per_kg_k: float = ELEMENT_HEAT_J_PER_KG_K
    source_emissivity: float = 0.7
    ware_emissivity: float = 0.85
    furniture_emissivity: float = 0.8
    wall_emissivity: float = 0.55
    ageing: float = 1.0

    @property
    def zones(self) -> tuple[ZoneSpec, ZoneSpec, ZoneSpec]:
        """The zones in the order of ``ZONES``."""
        return (self.top, self.middle, self.bottom)


class _Zone:
    """The moving part of one zone: five absolute temperatures and the figures between them."""

    __slots__ = ("chamber_k", "furniture_k", "source_k", "terms", "wall", "ware_k")

    def __init__(self, kiln: KilnSpec, zone: ZoneSpec, start_c: float, dt_s: float) -> None:
        start_k = start_c + ZERO_CELSIUS_K
        self.source_k = self.chamber_k = self.ware_k = self.furniture_k = start_k
        self.wall = Wall(kiln.layers, zone.wall_area_m2, skin=kiln.skin, start_c=start_c)
        sigma = STEFAN_BOLTZMANN_W_PER_M2_K4
        film = kiln.film_w_per_m2_k
        self.terms = (
            zone.power_share,
            sigma * kiln.source_emissivity * zone.source_area_m2,
            film * zone.source_area_m2,
            dt_s / (zone.source_kg * kiln.source_heat_j_per_kg_k),
            sigma * kiln.ware_emissivity * zone.ware_area_m2,
            film * zone.ware_area_m2,
            dt_s / (zone.ware_kg * WARE_HEAT_J_PER_KG_K),
            sigma * kiln.furniture_emissivity * zone.furniture_area_m2,
            film * zone.furniture_area_m2,
            dt_s / (zone.furniture_kg * SHELF_HEAT_J_PER_KG_K),
            sigma * kiln.wall_emissivity * zone.wall_area_m2,
            film * zone.wall_area_m2,
            zone.leak_w_per_k,
        )


class Kiln:
    """A kiln in a shed, cold at first and all at ``start_c`` (the shed's temperature if None).

    ``supplied_j`` and ``lost_j`` are the running totals of heat released in the kiln and heat
    that has left it by skin, leaks and flue; ``stored_j()`` is the difference of the two.
    """

    __slots__ = (
        "_chamber_per_j",
        "_datum_k",
        "_dt_s",
        "_leaked_j",
        "_sigma_opening",
        "_wall_age_s",
        "_zones",
        "ambient_c",
        "spec",
        "supplied_j",
    )

    def __init__(
        self,
        spec: KilnSpec,
        *,
        ambient_c: float,
        start_c: float | None = None,
        dt_s: float = 1.0,
    ) -> None:
        begin_c = ambient_c if start_c is None else start_c
        self.spec = spec
        self.ambient_c = ambient_c
        self.supplied_j = 0.0
        self._leaked_j = 0.0
        self._dt_s = dt_s
        self._datum_k = begin_c + ZERO_CELSIUS_K
        self._wall_age_s = 0.0
        self._sigma_opening = STEFAN_BOLTZMANN_W_PER_M2_K4 * spec.opening_m2
        self._chamber_per_j = dt_s / spec.chamber_j_per_k
        self._zones = tuple(_Zone(spec, zone, begin_c, dt_s) for zone in spec.zones)

    @property
    def available_w(self) -> float:
        """Full power as the kiln now is, in W."""
        return self.spec.power_w * self.spec.ageing

    @property
    def chambers_c(self) -> tuple[float, float, float]:
        """Chamber temperatures in °C, in the order of ``ZONES``."""
        top, middle, bottom = self._zones
        return (
            top.chamber_k - ZERO_CELSIUS_K,
            middle.chamber_k - ZERO_CELSIUS_K,
            bottom.chamber_k - ZERO_CELSIUS_K,
        )

    @property
    def chamber_c(self) -> float:
        """Mean chamber temperature in °C."""
        return sum(self.chambers_c) / 3.0

    @property
    def wares_c(self) -> tuple[float, float, float]:
        """Temperatures of the ware in °C, in the order of ``ZONES``."""
        top, middle, bottom = self._zones
        return (
            top.ware_k - ZERO_CELSIUS_K,
            middle.ware_k - ZERO_CELSIUS_K,
            bottom.ware_k - ZERO_CELSIUS_K,
        )

    @property
    def lost_j(self) -> float:
        """Heat that has left the kiln so far."""
        return self._leaked_j + sum(zone.wall.lost_j for zone in self._zones)

    def skin_loss_w(self) -> float:
        """Heat now passing from the skin into the shed."""
        ambient_k = self.ambient_c + ZERO_CELSIUS_K
        return sum(zone.wall.loss_w(ambient_k) for zone in self._zones)

    def stored_j(self) -> float:
        """Heat held by everything in the kiln, above its temperature at the beginning."""
        datum_k = self._datum_k
        dt_s = self._dt_s
        held_j = 0.0
        for zone in self._zones:
            terms = zone.terms
            held_j += (zone.source_k - datum_k) * dt_s / terms[3]
            held_j += (zone.chamber_k - datum_k) * self.spec.chamber_j_per_k
            held_j += (zone.ware_k - datum_k) * dt_s / terms[6]
            held_j += (zone.furniture_k - datum_k) * dt_s / terms[9]
            held_j += zone.wall.stored_j(datum_k)
        return held_j

    def holding_w(self) -> float:
        """The power that would keep the kiln about as hot as it now is.

        It is what the walls soak up and the leaks take at this moment, with the flue's part on
        top. The ware, a few degrees behind the chamber, evens out with it within minutes.
        """
        ambient_k = self.ambient_c + ZERO_CELSIUS_K
        taken_w = 0.0
        kept_share = 0.0
        for zone, spec in zip(self._zones, self.spec.zones, strict=True):
            above_k = zone.chamber_k - ambient_k
            taken_w += zone.wall.into_wall_w() + spec.leak_w_per_k * above_k
            kept_share += spec.power_share * (1.0 - self.spec.flue_per_k * above_k)
        return max(0.0, taken_w / kept_share)

    def advance(self, power_w: float) -> None:
        """Live through one step of time with ``power_w`` released in the kiln."""
        dt_s = self._dt_s
        ambient_k = self.ambient_c + ZERO_CELSIUS_K
        flue_per_k = self.spec.flue_per_k
        chamber_per_j = self._chamber_per_j
        top, middle, bottom = self._zones
        # Heat that crosses the openings between the zones, positive upwards.
        top_k = top.chamber_k
        middle_k = middle.chamber_k
        bottom_k = bottom.chamber_k
        sigma_opening = self._sigma_opening
        mixing = self.spec.mixing_w_per_k
        middle_k4 = middle_k * middle_k * middle_k * middle_k
        up_to_top_w = sigma_opening * (middle_k4 - top_k * top_k * top_k * top_k) + mixing * (
            middle_k - top_k
        )
        up_to_middle_w = sigma_opening * (
            bottom_k * bottom_k * bottom_k * bottom_k - middle_k4
        ) + mixing * (bottom_k - middle_k)
        leaked_w = 0.0
        for zone, from_neighbours_w in (
            (top, up_to_top_w),
            (middle, up_to_middle_w - up_to_top_w),
            (bottom, -up_to_middle_w),
        ):
            (
                share,
                source_sigma,
                source_film,
                source_per_j,
                ware_sigma,
                ware_film,
                ware_per_j,
                shelf_sigma,
                shelf_film,
                shelf_per_j,
                face_sigma,
                face_film,
                leak,
            ) = zone.terms
            chamber_k = zone.chamber_k
            source_k = zone.source_k
            ware_k = zone.ware_k
            shelf_k = zone.furniture_k
            wall = zone.wall
            face_k = wall.face_k
            square = chamber_k * chamber_k
            chamber_k4 = square * square
            square = source_k * source_k
            from_source_w = source_sigma * (square * square - chamber_k4) + source_film * (
                source_k - chamber_k
            )
            square = ware_k * ware_k
            to_ware_w = ware_sigma * (chamber_k4 - square * square) + ware_film * (
                chamber_k - ware_k
            )
            square = shelf_k * shelf_k
            to_shelf_w = shelf_sigma * (chamber_k4 - square * square) + shelf_film * (
                chamber_k - shelf_k
            )
            square = face_k * face_k
            to_face_w = face_sigma * (chamber_k4 - square * square) + face_film * (
                chamber_k - face_k
            )
            zone_w = share * power_w
            away_w = (leak + flue_per_k * zone_w) * (chamber_k - ambient_k)
            leaked_w += away_w
            zone.source_k = source_k + (zone_w - from_source_w) * source_per_j
            zone.ware_k = ware_k + to_ware_w * ware_per_j
            zone.furniture_k = shelf_k + to_shelf_w * shelf_per_j
            zone.chamber_k = (
                chamber_k
                + (from_source_w + from_neighbours_w - to_ware_w - to_shelf_w - to_face_w - away_w)
                * chamber_per_j
            )
            wall.heat_face(to_face_w, dt_s)
        self.supplied_j += power_w * dt_s
        self._leaked_j += leaked_w * dt_s
        self._wall_age_s += dt_s
        if self._wall_age_s >= WALL_STEP_S:
            for zone in self._zones:
                zone.wall.advance_inside(self._wall_age_s, ambient_k)
            self._wall_age_s = 0.0
