"""Heat that soaks into and through a kiln wall: layers as a one-dimensional grid.

Knows the wall from its hot face to its outer skin. Knows nothing of what heats the face: the
kiln and the wall settle each step between them.

The grid has a node at the face, at the skin and at each joint between layers, and evenly
spaced nodes between (finite volumes). A step is implicit (backward Euler), so it may be of any
length; the tridiagonal system is eliminated from the skin inwards (Thomas algorithm), which
leaves one equation for the face, then solved outwards. Conductivity is taken at the mean of two
nodes, which makes the steady flux between them exact where k is a straight line (Kirchhoff
transform; Carslaw and Jaeger, *Conduction of Heat in Solids*, 2nd ed., 1959, §1.6).

Properties change slowly, so they are taken anew only when the wall has aged or moved a little;
the heat that a node holds is then put right to the joule, so none is made or lost by it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from simulator.materials import (
    STEFAN_BOLTZMANN_W_PER_M2_K4,
    ZERO_CELSIUS_K,
    HeatTable,
    Material,
    conductivity_table,
    heat_table,
)

STALE_AFTER_S = 120.0
STALE_FACE_K = 8.0
STALE_SKIN_K = 1.0
"""Properties are taken anew after so long, or when face or skin have moved so far; at the
fastest of ordinary firing (300 °C/h) that is within 1 % of k and 0.2 % of cp."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of a wall, listed from the hot side outwards."""

    material: Material
    thickness_m: float


@dataclass(frozen=True, slots=True)
class Skin:
    """How the outer face loses heat to the shed.

    ``film_w_per_m2_k`` is a constant film coefficient. ``still_air_w_per_m2_k43`` times the cube
    root of the temperature difference is added to it: about 1.31 for a warm upright plate in
    still air, turbulent (Holman, *Heat Transfer*, simplified equations for air; from memory).
    ``emissivity`` is that of the casing.
    """

    film_w_per_m2_k: float = 0.0
    still_air_w_per_m2_k43: float = 1.31
    emissivity: float = 0.5

    def loss_w_per_m2(self, skin_k: float, ambient_k: float) -> float:
        """Heat lost by each square metre of skin to a shed at ``ambient_k``."""
        return self.coefficient_w_per_m2_k(skin_k, ambient_k) * (skin_k - ambient_k)

    def coefficient_w_per_m2_k(self, skin_k: float, ambient_k: float) -> float:
        """Heat lost by each square metre for each degree above the shed."""
        film = self.film_w_per_m2_k + self.still_air_w_per_m2_k43 * math.cbrt(
            abs(skin_k - ambient_k)
        )
        return film + self.emissivity * STEFAN_BOLTZMANN_W_PER_M2_K4 * (
            skin_k * skin_k + ambient_k * ambient_k
        ) * (skin_k + ambient_k)


class HeldHeat:
    """The heat of one body of given mass, kept to the joule while its capacity is held constant.

    ``capacity_j_per_k`` is the one in use; ``renewed`` takes it anew at the present temperature
    and returns the temperature at which the body holds exactly what it has been given.
    """

    __slots__ = ("_held_j", "_parts", "_since_k", "capacity_j_per_k")

    def __init__(self, parts: Sequence[tuple[float, HeatTable]], temp_k: float) -> None:
        self._parts = tuple(parts)
        self._since_k = temp_k
        self._held_j = self.held_at_j(temp_k)
        self.capacity_j_per_k = self._capacity_at(temp_k)

    def _capacity_at(self, temp_k: float) -> float:
        whole = int(temp_k)
        return sum(mass_kg * table.j_per_k[whole] for mass_kg, table in self._parts)

    def held_at_j(self, temp_k: float) -> float:
        """What the body holds above 0 K at ``temp_k``, by the tables."""
        return sum(mass_kg * table.held_j_at(temp_k) for mass_kg, table in self._parts)

    def held_j(self, temp_k: float) -> float:
        """What the body has been given in all, now that it is at ``temp_k``."""
        return self._held_j + self.capacity_j_per_k * (temp_k - self._since_k)

    def renewed(self, temp_k: float) -> float:
        given_j = self.held_j(temp_k)
        capacity = self._capacity_at(temp_k)
        temp_k += (given_j - self.held_at_j(temp_k)) / capacity
        self._held_j = given_j
        self._since_k = temp_k
        self.capacity_j_per_k = capacity
        return temp_k


class Wall:
    """One zone's share of the wall.

    A step is two calls: ``prepare`` says what the face asks for, ``finish`` is told what became
    of it. ``lost_j`` is the heat that has left by the skin so far.
    """

    __slots__ = (
        "_age_s",
        "_area_m2",
        "_bodies",
        "_conductances",
        "_conductivities",
        "_eliminated",
        "_elimination",
        "_film_w_per_k",
        "_renewed_face_k",
        "_renewed_skin_k",
        "_skin",
        "_temps_k",
        "_weights",
        "lost_j",
    )

    def __init__(
        self,
        layers: Sequence[Layer],
        area_m2: float,
        *,
        skin: Skin,
        start_c: float,
        spacing_m: float = 0.0125,
    ) -> None:
        parts: list[list[tuple[float, HeatTable]]] = [[]]
        self._conductivities: list[tuple[list[float], float]] = []
        for layer in layers:
            material = layer.material
            intervals = max(2, round(layer.thickness_m / spacing_m))
            width_m = layer.thickness_m / intervals
            half_kg = 0.5 * width_m * area_m2 * material.density_kg_per_m3
            heat = heat_table(material.heat_points)
            k_table = conductivity_table(material.conductivity_points)
            for _ in range(intervals):
                self._conductivities.append((k_table, area_m2 / width_m))
                parts[-1].append((half_kg, heat))
                parts.append([(half_kg, heat)])
        start_k = start_c + ZERO_CELSIUS_K
        self._area_m2 = area_m2
        self._skin = skin
        self._temps_k = [start_k] * len(parts)
        self._bodies = [HeldHeat(_merged(own), start_k) for own in parts]
        self._conductances: list[float] = []
        self._weights: list[float] = []
        self._elimination: dict[float, list[tuple[float, float, float]]] = {}
        self._eliminated: list[tuple[float, float]] = []
        self._film_w_per_k = 0.0
        self._age_s = math.inf
        self._renewed_face_k = self._renewed_skin_k = start_k
        self.lost_j = 0.0

    @property
    def face_k(self) -> float:
        """Temperature of the hot face."""
        return self._temps_k[0]

    @property
    def inside_c(self) -> list[float]:
        """Temperatures of the nodes behind the face, in °C, the outer skin last."""
        return [temp_k - ZERO_CELSIUS_K for temp_k in self._temps_k[1:]]

    def into_wall_w(self) -> float:
        """Heat now passing from the face into the wall behind it."""
        table, shape_m = self._conductivities[0]
        face_k, next_k = self._temps_k[0], self._temps_k[1]
        return _between(table, 0.5 * (face_k + next_k)) * shape_m * (face_k - next_k)

    def loss_w(self, ambient_k: float) -> float:
        """Heat now lost from the skin."""
        return self._area_m2 * self._skin.loss_w_per_m2(self._temps_k[-1], ambient_k)

    def stored_j(self, datum_k: float) -> float:
        """Heat that the wall has been given and not lost, above a wall all at ``datum_k``."""
        return sum(
            body.held_j(temp_k) - body.held_at_j(datum_k)
            for body, temp_k in zip(self._bodies, self._temps_k, strict=True)
        )

    def stored_by_tables_j(self, datum_k: float) -> float:
        """The same by the temperatures alone and the tables of the materials."""
        return sum(
            body.held_at_j(temp_k) - body.held_at_j(datum_k)
            for body, temp_k in zip(self._bodies, self._temps_k, strict=True)
        )

    def prepare(self, dt_s: float, ambient_k: float) -> tuple[float, float]:
        """Begin a step of ``dt_s``: (stiffness in W/K, heat in W) of the face.

        With ``q`` W let into the face, its next temperature is ``(q + heat) / stiffness`` K.
        """
        temps_k = self._temps_k
        if (
            self._age_s >= STALE_AFTER_S
            or abs(temps_k[0] - self._renewed_face_k) > STALE_FACE_K
            or abs(temps_k[-1] - self._renewed_skin_k) > STALE_SKIN_K
        ):
            self._renew(ambient_k)
        elimination = self._elimination.get(dt_s)
        if elimination is None:
            elimination = self._elimination[dt_s] = self._eliminate(dt_s)
        # The skin's share of the shed's warmth, then inwards node by node.
        carried_w = self._film_w_per_k * ambient_k
        eliminated = self._eliminated
        eliminated.clear()
        place = len(temps_k)
        for weight, inverse, passed in elimination:
            place -= 1
            own_k = (weight * temps_k[place] + carried_w) * inverse
            eliminated.append((own_k, passed))
            carried_w = own_k * self._conductances[place - 1]
        weight = self._weights[0] / dt_s
        stiffness = weight + self._conductances[0] * (1.0 - eliminated[-1][1])
        return stiffness, weight * temps_k[0] + carried_w

    def finish(self, face_k: float, dt_s: float, ambient_k: float) -> None:
        """End the step that was prepared, with the face at ``face_k``."""
        temps_k = self._temps_k
        temps_k[0] = here_k = face_k
        for place, (own_k, passed) in enumerate(reversed(self._eliminated), start=1):
            here_k = own_k + passed * here_k
            temps_k[place] = here_k
        self.lost_j += self._film_w_per_k * (here_k - ambient_k) * dt_s
        self._age_s += dt_s

    def _eliminate(self, dt_s: float) -> list[tuple[float, float, float]]:
        """For each node from the skin inwards: capacity by time, 1/pivot, share of the next."""
        conductances = self._conductances
        rows = []
        outwards = self._film_w_per_k
        passed = 0.0
        for place in range(len(self._weights) - 1, 0, -1):
            weight = self._weights[place] / dt_s
            inwards = conductances[place - 1]
            inverse = 1.0 / (weight + inwards + outwards * (1.0 - passed))
            passed = inwards * inverse
            rows.append((weight, inverse, passed))
            outwards = inwards
        return rows

    def _renew(self, ambient_k: float) -> None:
        """Take capacities, conductances and the skin's film anew."""
        temps_k = self._temps_k
        for place, body in enumerate(self._bodies):
            temps_k[place] = body.renewed(temps_k[place])
        self._weights = [body.capacity_j_per_k for body in self._bodies]
        self._conductances = [
            _between(table, 0.5 * (temps_k[place] + temps_k[place + 1])) * shape_m
            for place, (table, shape_m) in enumerate(self._conductivities)
        ]
        self._film_w_per_k = self._area_m2 * self._skin.coefficient_w_per_m2_k(
            temps_k[-1], ambient_k
        )
        self._elimination.clear()
        self._age_s = 0.0
        self._renewed_face_k = temps_k[0]
        self._renewed_skin_k = temps_k[-1]


def _between(table: list[float], temp_k: float) -> float:
    """A value of a table by whole kelvins."""
    whole = int(temp_k)
    return table[whole] + (temp_k - whole) * (table[whole + 1] - table[whole])


def _merged(parts: Sequence[tuple[float, HeatTable]]) -> list[tuple[float, HeatTable]]:
    """Halves of the same material on both sides of a node as one."""
    if len(parts) == 2 and parts[0][1] is parts[1][1]:
        return [(parts[0][0] + parts[1][0], parts[0][1])]
    return list(parts)
