"""Heat that soaks into and through a kiln wall: layers of brick as a one-dimensional grid.

Knows the wall from its hot face to its outer skin. Knows nothing of what heats the face: the
kiln hands it joules.

The grid has a node at the face, at the skin and at each joint between layers, and evenly
spaced nodes between (finite volumes, explicit in time). With conductivity linear in
temperature, taking it at the mean of two nodes makes the steady flux between them exact
(Kirchhoff transform; Carslaw and Jaeger, *Conduction of Heat in Solids*, 2nd ed., 1959, §1.6).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from simulator.materials import STEFAN_BOLTZMANN_W_PER_M2_K4, ZERO_CELSIUS_K, Material


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
        above_k = skin_k - ambient_k
        film = self.film_w_per_m2_k + self.still_air_w_per_m2_k43 * math.cbrt(abs(above_k))
        return film * above_k + self.emissivity * STEFAN_BOLTZMANN_W_PER_M2_K4 * (
            skin_k**4 - ambient_k**4
        )


class Wall:
    """One zone's share of the wall.

    The face is advanced with the kiln, every step. What lies behind it changes slowly and is
    advanced seldom (``advance_inside``); the heat that crossed from the face in between is
    gathered, so no joule is lost.
    """

    __slots__ = (
        "_area_m2",
        "_capacities_j_per_k",
        "_conductances",
        "_face_base",
        "_face_capacity_j_per_k",
        "_face_slope",
        "_gathered_j",
        "_inside_k",
        "_skin",
        "face_k",
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
        conductances: list[tuple[float, float]] = []
        capacities = [0.0]
        for layer in layers:
            material = layer.material
            intervals = max(2, round(layer.thickness_m / spacing_m))
            width_m = layer.thickness_m / intervals
            half_j_per_k = (
                0.5 * width_m * area_m2 * material.density_kg_per_m3 * material.heat_j_per_kg_k
            )
            k_at_0k = material.k_at_0c_w_per_m_k - material.k_slope_w_per_m_k2 * ZERO_CELSIUS_K
            # Conductance of an interval: base + slope * (sum of its two absolute temperatures).
            interval = (
                k_at_0k * area_m2 / width_m,
                0.5 * material.k_slope_w_per_m_k2 * area_m2 / width_m,
            )
            for _ in range(intervals):
                conductances.append(interval)
                capacities[-1] += half_j_per_k
                capacities.append(half_j_per_k)
        start_k = start_c + ZERO_CELSIUS_K
        self._area_m2 = area_m2
        self._skin = skin
        self._face_base, self._face_slope = conductances[0]
        self._face_capacity_j_per_k = capacities[0]
        self._conductances = conductances[1:]
        self._capacities_j_per_k = capacities[1:]
        self._inside_k = [start_k] * len(self._capacities_j_per_k)
        self._gathered_j = 0.0
        self.face_k = start_k
        self.lost_j = 0.0

    @property
    def inside_c(self) -> list[float]:
        """Temperatures of the nodes behind the face, in °C, the outer skin last."""
        return [temp_k - ZERO_CELSIUS_K for temp_k in self._inside_k]

    def into_wall_w(self) -> float:
        """Heat now passing from the face into the wall behind it."""
        next_k = self._inside_k[0]
        return (self._face_base + self._face_slope * (self.face_k + next_k)) * (
            self.face_k - next_k
        )

    def loss_w(self, ambient_k: float) -> float:
        """Heat now lost from the skin."""
        return self._area_m2 * self._skin.loss_w_per_m2(self._inside_k[-1], ambient_k)

    def heat_face(self, heat_w: float, dt_s: float) -> None:
        """Let the face take ``heat_w`` for ``dt_s`` seconds and pass its share on."""
        face_k = self.face_k
        next_k = self._inside_k[0]
        passed_w = (self._face_base + self._face_slope * (face_k + next_k)) * (face_k - next_k)
        self.face_k = face_k + (heat_w - passed_w) * dt_s / self._face_capacity_j_per_k
        self._gathered_j += passed_w * dt_s

    def advance_inside(self, dt_s: float, ambient_k: float) -> None:
        """Carry the gathered heat on through the wall; ``dt_s`` is the time since the last call."""
        temps_k = self._inside_k
        arriving_j = self._gathered_j
        self._gathered_j = 0.0
        here_k = temps_k[0]
        capacities = self._capacities_j_per_k
        for index, (base, slope) in enumerate(self._conductances):
            next_k = temps_k[index + 1]
            leaving_j = (base + slope * (here_k + next_k)) * (here_k - next_k) * dt_s
            temps_k[index] = here_k + (arriving_j - leaving_j) / capacities[index]
            arriving_j = leaving_j
            here_k = next_k
        leaving_j = self.loss_w(ambient_k) * dt_s
        temps_k[-1] = here_k + (arriving_j - leaving_j) / capacities[-1]
        self.lost_j += leaving_j

    def stored_j(self, datum_k: float) -> float:
        """Heat held above ``datum_k``, with what is on its way in."""
        held_j = self._face_capacity_j_per_k * (self.face_k - datum_k) + self._gathered_j
        for capacity, temp_k in zip(self._capacities_j_per_k, self._inside_k, strict=True):
            held_j += capacity * (temp_k - datum_k)
        return held_j
