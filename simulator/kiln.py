"""The heat balance of a kiln with three zones, one above the other.

Knows where heat comes from, where it is kept and where it goes. Knows no plan, no controller,
no thermocouples and no faults: somebody tells it how much power it gets, step by step.

In each zone::

    source ──radiation──> chamber ──radiation, convection──> ware
                             │   └──────────────────────────> furniture (shelves, posts)
              zone above <───┤
              zone below <───┤──radiation, convection──> wall face ──conduction──> skin ──> shed
                             └──> air let in, flue, a door that is not shut

The chamber is a light node, the gas and the thin things in it, and is what a thermocouple
sees. It stands for the mean light in the zone: every surface sends ε σ T⁴ and takes up ε of what
falls on it, which is the same for all (radiosity with every surface seeing the others by their
area; Modest, *Radiative Heat Transfer*, enclosures of grey surfaces, from memory).

A step is implicit and of any length: fluxes by the full fourth powers at its beginning, their
change over the step by the tangent (one Newton step of backward Euler). Source, ware, furniture
and wall each meet the chamber only, so they are eliminated one by one; the three chambers that
are left form a chain and are solved directly. Every flux is booked on both its sides alike, so
no joule is made or lost at any step length.
"""

from __future__ import annotations

from simulator.kiln_spec import ZONES, KilnKind, KilnSpec, Tuning, ZoneSpec
from simulator.materials import (
    SHELF_HEAT,
    STEFAN_BOLTZMANN_W_PER_M2_K4,
    WARE_HEAT,
    ZERO_CELSIUS_K,
    heat_table,
)
from simulator.wall import HeldHeat, Wall

__all__ = ["ZONES", "Kiln", "KilnKind", "KilnSpec", "Tuning", "ZoneSpec"]

STALE_LOAD_K = 8.0
"""The load's heat capacity is taken anew when it has moved so far: 0.2 % of it."""
DRAUGHT_W_PER_M2_K = 550.0
"""Air through a gap, for each m2 of it and each degree above the shed. A single upright opening
passes a third of Cd A sqrt(g H dρ/ρ): Cd 0.6, H 0.7 m, hot against cold 0.77, gives 0.46 m/s of
cold air of 1.2 kJ/m3K (natural ventilation, textbook relation from memory)."""


class _Zone:
    """The moving part of one zone: five absolute temperatures and the figures between them."""

    __slots__ = (
        "chamber_k",
        "furniture_heat",
        "furniture_k",
        "loss",
        "power_share",
        "renewed_furniture_k",
        "renewed_ware_k",
        "solved",
        "source_j_per_k",
        "source_k",
        "terms",
        "wall",
        "ware_heat",
        "ware_k",
    )

    def __init__(self, kiln: KilnSpec, zone: ZoneSpec, start_c: float) -> None:
        start_k = start_c + ZERO_CELSIUS_K
        self.source_k = self.chamber_k = self.ware_k = self.furniture_k = start_k
        self.renewed_ware_k = self.renewed_furniture_k = start_k
        self.wall = Wall(
            kiln.layers,
            zone.wall_area_m2,
            skin=kiln.skin,
            start_c=start_c,
            spacing_m=kiln.spacing_m,
        )
        self.ware_heat = HeldHeat([(zone.ware_kg, heat_table(WARE_HEAT))], start_k)
        self.furniture_heat = HeldHeat([(zone.furniture_kg, heat_table(SHELF_HEAT))], start_k)
        self.source_j_per_k = zone.source_kg * kiln.source_heat_j_per_kg_k
        self.power_share = zone.power_share
        self.loss = zone.leak_w_per_k
        self.solved = (0.0,) * 10
        sigma = STEFAN_BOLTZMANN_W_PER_M2_K4
        film = kiln.film_w_per_m2_k
        self.terms = (
            sigma * kiln.source_emissivity * zone.source_area_m2,
            film * zone.source_area_m2,
            sigma * kiln.ware_emissivity * zone.ware_area_m2,
            film * zone.ware_area_m2,
            sigma * kiln.furniture_emissivity * zone.furniture_area_m2,
            film * zone.furniture_area_m2,
            sigma * kiln.wall_emissivity * zone.wall_area_m2,
            film * zone.wall_area_m2,
        )

    def renew(self) -> None:
        """Take the load's heat capacities anew where it has moved."""
        if abs(self.ware_k - self.renewed_ware_k) > STALE_LOAD_K:
            self.ware_k = self.renewed_ware_k = self.ware_heat.renewed(self.ware_k)
        if abs(self.furniture_k - self.renewed_furniture_k) > STALE_LOAD_K:
            self.furniture_k = self.furniture_heat.renewed(self.furniture_k)
            self.renewed_furniture_k = self.furniture_k

    def begin(
        self, power_w: float, dt_s: float, ambient_k: float, away_w_per_k: float, gap_sigma: float
    ) -> tuple[float, float]:
        """(heat in W, stiffness in W/K) of the chamber's change over the step, all else
        eliminated but the neighbouring zones."""
        source_sigma, source_film, ware_sigma, ware_film, *rest = self.terms
        shelf_sigma, shelf_film, face_sigma, face_film = rest
        chamber_k = self.chamber_k
        chamber_k3 = chamber_k * chamber_k * chamber_k
        chamber_k4 = chamber_k3 * chamber_k
        steep_k3 = 4.0 * chamber_k3

        body_k = self.source_k
        body_k3 = body_k * body_k * body_k
        weight = self.source_j_per_k / dt_s
        source_own = 4.0 * source_sigma * body_k3 + source_film
        source_ours = source_sigma * steep_k3 + source_film
        flux = source_sigma * (body_k3 * body_k - chamber_k4) + source_film * (body_k - chamber_k)
        pivot = 1.0 / (weight + source_own)
        source_alone = (power_w - flux) * pivot
        source_with = source_ours * pivot
        heat_w = flux + source_own * source_alone
        stiffness = source_ours * weight * pivot

        body_k = self.ware_k
        body_k3 = body_k * body_k * body_k
        weight = self.ware_heat.capacity_j_per_k / dt_s
        own = 4.0 * ware_sigma * body_k3 + ware_film
        ours = ware_sigma * steep_k3 + ware_film
        flux = ware_sigma * (body_k3 * body_k - chamber_k4) + ware_film * (body_k - chamber_k)
        pivot = 1.0 / (weight + own)
        ware_alone = -flux * pivot
        ware_with = ours * pivot
        heat_w += flux + own * ware_alone
        stiffness += ours * weight * pivot

        body_k = self.furniture_k
        body_k3 = body_k * body_k * body_k
        weight = self.furniture_heat.capacity_j_per_k / dt_s
        own = 4.0 * shelf_sigma * body_k3 + shelf_film
        ours = shelf_sigma * steep_k3 + shelf_film
        flux = shelf_sigma * (body_k3 * body_k - chamber_k4) + shelf_film * (body_k - chamber_k)
        pivot = 1.0 / (weight + own)
        shelf_alone = -flux * pivot
        shelf_with = ours * pivot
        heat_w += flux + own * shelf_alone
        stiffness += ours * weight * pivot

        wall_stiffness, wall_heat_w = self.wall.prepare(dt_s, ambient_k)
        body_k = self.wall.face_k
        body_k3 = body_k * body_k * body_k
        own = 4.0 * face_sigma * body_k3 + face_film
        ours = face_sigma * steep_k3 + face_film
        flux = face_sigma * (body_k3 * body_k - chamber_k4) + face_film * (body_k - chamber_k)
        pivot = 1.0 / (wall_stiffness + own)
        face_alone = (wall_heat_w - wall_stiffness * body_k - flux) * pivot
        face_with = ours * pivot
        heat_w += flux + own * face_alone
        stiffness += ours * wall_stiffness * pivot

        lost_w = away_w_per_k * (chamber_k - ambient_k)
        lost_steep = away_w_per_k
        if gap_sigma:
            lost_w += gap_sigma * (chamber_k4 - ambient_k**4)
            lost_steep += gap_sigma * steep_k3
        self.solved = (
            source_alone,
            source_with,
            ware_alone,
            ware_with,
            shelf_alone,
            shelf_with,
            face_alone,
            face_with,
            lost_w,
            lost_steep,
        )
        return heat_w - lost_w, stiffness + lost_steep

    def finish(self, change_k: float, dt_s: float, ambient_k: float) -> float:
        """Take up the chamber's change; the heat that went out of it, in J."""
        (
            source_alone,
            source_with,
            ware_alone,
            ware_with,
            shelf_alone,
            shelf_with,
            face_alone,
            face_with,
            lost_w,
            lost_steep,
        ) = self.solved
        self.chamber_k += change_k
        self.source_k += source_alone + source_with * change_k
        self.ware_k += ware_alone + ware_with * change_k
        self.furniture_k += shelf_alone + shelf_with * change_k
        wall = self.wall
        wall.finish(wall.face_k + face_alone + face_with * change_k, dt_s, ambient_k)
        return (lost_w + lost_steep * change_k) * dt_s


class Kiln:
    """A kiln in a shed, all at ``start_c`` at first (the shed's temperature if None).

    ``supplied_j`` and ``lost_j`` are the running totals of heat released in the kiln and heat
    that has left it by skin, leaks, flue and openings; ``stored_j()`` is the difference of the
    two. ``gap_m2`` is an opening to the shed and ``draught_w_per_k`` air drawn through on top of
    the usual leaks, both for the whole kiln and both 0 until somebody sets them.
    """

    __slots__ = (
        "_datum_k",
        "_dt_s",
        "_leaked_j",
        "_zones",
        "ambient_c",
        "draught_w_per_k",
        "gap_m2",
        "spec",
        "supplied_j",
    )

    def __init__(
        self,
        spec: KilnSpec,
        *,
        ambient_c: float,
        start_c: float | None = None,
        dt_s: float = 10.0,
    ) -> None:
        begin_c = ambient_c if start_c is None else start_c
        self.spec = spec
        self.ambient_c = ambient_c
        self.supplied_j = 0.0
        self.gap_m2 = 0.0
        self.draught_w_per_k = 0.0
        self._leaked_j = 0.0
        self._dt_s = dt_s
        self._datum_k = begin_c + ZERO_CELSIUS_K
        self._zones = tuple(_Zone(spec, zone, begin_c) for zone in spec.zones)

    @property
    def available_w(self) -> float:
        """Full power as the kiln now is, in W."""
        return self.spec.available_w

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
    def faces_c(self) -> tuple[float, float, float]:
        """Temperatures of the walls' hot faces in °C, in the order of ``ZONES``."""
        top, middle, bottom = self._zones
        return (
            top.wall.face_k - ZERO_CELSIUS_K,
            middle.wall.face_k - ZERO_CELSIUS_K,
            bottom.wall.face_k - ZERO_CELSIUS_K,
        )

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
        held_j = 0.0
        for zone in self._zones:
            held_j += (zone.source_k - datum_k) * zone.source_j_per_k
            held_j += (zone.chamber_k - datum_k) * self.spec.chamber_j_per_k
            for body, temp_k in (
                (zone.ware_heat, zone.ware_k),
                (zone.furniture_heat, zone.furniture_k),
            ):
                held_j += body.held_j(temp_k) - body.held_at_j(datum_k)
            held_j += zone.wall.stored_j(datum_k)
        return held_j

    def holding_w(self) -> float:
        """The power that would keep the kiln about as hot as it now is."""
        return self.needed_w(0.0)

    def needed_w(self, rate_c_per_h: float) -> float:
        """The power that would move the kiln at about ``rate_c_per_h`` from here, at least 0.

        It is what walls soak up, leaks take and the contents keep at this moment, with the
        flue's part on top. The ware, a few degrees behind the chamber, evens out within minutes.
        """
        ambient_k = self.ambient_c + ZERO_CELSIUS_K
        taken_w = 0.0
        kept_share = 0.0
        for zone, spec in zip(self._zones, self.spec.zones, strict=True):
            above_k = zone.chamber_k - ambient_k
            taken_w += zone.wall.into_wall_w() + spec.leak_w_per_k * above_k
            mass_j_per_k = zone.ware_heat.capacity_j_per_k + zone.furniture_heat.capacity_j_per_k
            taken_w += (mass_j_per_k + zone.source_j_per_k) * rate_c_per_h / 3600.0
            kept_share += spec.power_share * (1.0 - self.spec.flue_per_k * above_k)
        return max(0.0, taken_w / kept_share)

    def advance(self, power_w: float, dt_s: float | None = None) -> None:
        """Live through one step of time with ``power_w`` shared out as the kiln is built.

        ``dt_s`` is the length of the step in seconds, above 0; the kiln's own if None.
        """
        top, middle, bottom = self._zones
        self.advance_zones(
            power_w * top.power_share,
            power_w * middle.power_share,
            power_w * bottom.power_share,
            self._dt_s if dt_s is None else dt_s,
        )

    def advance_zones(self, top_w: float, middle_w: float, bottom_w: float, dt_s: float) -> None:
        """Live through one step of ``dt_s`` with so much power released in each zone."""
        spec = self.spec
        top, middle, bottom = self._zones
        ambient_k = self.ambient_c + ZERO_CELSIUS_K
        flue = spec.flue_per_k
        gap_sigma = 0.0
        extra = self.draught_w_per_k / 3.0
        if self.gap_m2:
            gap_sigma = STEFAN_BOLTZMANN_W_PER_M2_K4 * self.gap_m2 / 3.0
            extra += DRAUGHT_W_PER_M2_K * self.gap_m2 / 3.0
        top.renew()
        middle.renew()
        bottom.renew()
        top_heat, top_pivot = top.begin(
            top_w, dt_s, ambient_k, top.loss + extra + flue * top_w, gap_sigma
        )
        middle_heat, middle_pivot = middle.begin(
            middle_w, dt_s, ambient_k, middle.loss + extra + flue * middle_w, gap_sigma
        )
        bottom_heat, bottom_pivot = bottom.begin(
            bottom_w, dt_s, ambient_k, bottom.loss + extra + flue * bottom_w, gap_sigma
        )
        # Heat that crosses the openings between the zones, positive upwards.
        sigma_opening = STEFAN_BOLTZMANN_W_PER_M2_K4 * spec.opening_m2
        mixing = spec.mixing_w_per_k
        top_k, middle_k, bottom_k = top.chamber_k, middle.chamber_k, bottom.chamber_k
        top_k3 = top_k * top_k * top_k
        middle_k3 = middle_k * middle_k * middle_k
        bottom_k3 = bottom_k * bottom_k * bottom_k
        upper_w = sigma_opening * (middle_k3 * middle_k - top_k3 * top_k) + mixing * (
            middle_k - top_k
        )
        lower_w = sigma_opening * (bottom_k3 * bottom_k - middle_k3 * middle_k) + mixing * (
            bottom_k - middle_k
        )
        of_top = 4.0 * sigma_opening * top_k3 + mixing
        of_middle = 4.0 * sigma_opening * middle_k3 + mixing
        of_bottom = 4.0 * sigma_opening * bottom_k3 + mixing
        weight = spec.chamber_j_per_k / dt_s
        top_pivot += weight + of_top
        middle_pivot += weight + 2.0 * of_middle
        bottom_pivot += weight + of_bottom
        top_heat += upper_w
        middle_heat += lower_w - upper_w
        bottom_heat -= lower_w
        # The chain of three, from both ends to the middle.
        from_top = of_top / top_pivot
        from_bottom = of_bottom / bottom_pivot
        middle_change = (middle_heat + from_top * top_heat + from_bottom * bottom_heat) / (
            middle_pivot - (from_top + from_bottom) * of_middle
        )
        top_change = (top_heat + of_middle * middle_change) / top_pivot
        bottom_change = (bottom_heat + of_middle * middle_change) / bottom_pivot
        self._leaked_j += top.finish(top_change, dt_s, ambient_k)
        self._leaked_j += middle.finish(middle_change, dt_s, ambient_k)
        self._leaked_j += bottom.finish(bottom_change, dt_s, ambient_k)
        self.supplied_j += (top_w + middle_w + bottom_w) * dt_s
