"""What a kiln is lined and filled with: density, heat capacity, conductivity, each with its source.

Knows no shapes and no times. Conductivity and heat capacity are straight lines between the
published points and go on straight beyond them. For the solver each is laid out once in steps
of one kelvin: within a step the heat capacity is constant, so stored heat is known exactly.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

ZERO_CELSIUS_K = 273.15
"""0 °C on the absolute scale (definition)."""
STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374e-8
"""CODATA 2018, rounded."""

HOTTEST_K = 2200
"""The tables are laid out from 0 K to here, far above any kiln."""

Points: TypeAlias = tuple[tuple[float, float], ...]
"""(temperature in °C, value), temperatures rising."""


def on_the_line(points: Points, temp_c: float) -> float:
    """The value at ``temp_c`` by straight lines through ``points``, drawn on beyond both ends.

    >>> round(on_the_line(((400.0, 0.14), (600.0, 0.16)), 500.0), 6)
    0.15
    >>> on_the_line(((0.0, 3.0),), 900.0)
    3.0
    """
    if len(points) == 1:
        return points[0][1]
    place = bisect_right([point[0] for point in points], temp_c)
    place = min(max(place, 1), len(points) - 1)
    (low_c, low), (high_c, high) = points[place - 1], points[place]
    return low + (high - low) * (temp_c - low_c) / (high_c - low_c)


@dataclass(frozen=True, slots=True)
class Material:
    """A material: density in kg/m3, heat capacity in J/kgK and conductivity in W/mK over °C."""

    name: str
    density_kg_per_m3: float
    heat_points: Points
    conductivity_points: Points

    def conductivity_w_per_m_k(self, temp_c: float) -> float:
        """Conductivity at ``temp_c``.

        >>> round(LIGHT_BRICK_1260.conductivity_w_per_m_k(900.0), 3)
        0.19
        """
        return on_the_line(self.conductivity_points, temp_c)

    def heat_j_per_kg_k(self, temp_c: float) -> float:
        """Heat capacity at ``temp_c``.

        >>> LIGHT_BRICK_1260.heat_j_per_kg_k(700.0)
        990.5
        """
        return on_the_line(self.heat_points, temp_c)


@dataclass(frozen=True, slots=True)
class HeatTable:
    """Heat of one kilogram by whole kelvins: ``held_j[i]`` at i K, ``j_per_k[i]`` from i to i+1."""

    held_j: list[float]
    j_per_k: list[float]

    def held_j_at(self, temp_k: float) -> float:
        """Heat held at ``temp_k`` above 0 K, in J/kg (0 to ``HOTTEST_K``)."""
        whole = int(temp_k)
        return self.held_j[whole] + (temp_k - whole) * self.j_per_k[whole]


@cache
def heat_table(points: Points) -> HeatTable:
    """The heat of one kilogram of what has these heat capacities."""
    held_j = [0.0]
    j_per_k = []
    for whole in range(HOTTEST_K):
        # At the middle of the step; never below a tenth, however far the line is drawn on.
        here = on_the_line(points, whole + 0.5 - ZERO_CELSIUS_K)
        j_per_k.append(max(here, 0.1 * points[0][1]))
        held_j.append(held_j[-1] + j_per_k[-1])
    return HeatTable(held_j, j_per_k)


@cache
def conductivity_table(points: Points) -> list[float]:
    """Conductivity in W/mK at each whole kelvin, from 0 K up."""
    lowest = min(value for _, value in points) * 0.5
    return [
        max(on_the_line(points, whole - ZERO_CELSIUS_K), lowest) for whole in range(HOTTEST_K + 1)
    ]


LIGHT_BRICK_1260 = Material(
    "lightweight brick L1260",
    490.0,
    ((400.0, 942.0), (600.0, 979.0), (800.0, 1002.0), (1000.0, 1017.0), (1200.0, 1033.0)),
    ((400.0, 0.14), (600.0, 0.16), (800.0, 0.18), (1000.0, 0.20), (1200.0, 0.22)),
)
"""VDI Heat Atlas, 2nd ed., Springer 2010 (as carried by the library ht 1.2.0)."""

LIGHT_BRICK_1400 = Material(
    "lightweight brick L1400",
    790.0,
    ((400.0, 954.0), (600.0, 994.0), (800.0, 1018.0), (1000.0, 1034.0), (1200.0, 1050.0)),
    ((400.0, 0.27), (600.0, 0.30), (800.0, 0.32), (1000.0, 0.34), (1200.0, 0.36)),
)
"""VDI Heat Atlas, 2nd ed., Springer 2010 (as carried by the library ht 1.2.0)."""

FIRECLAY = Material(
    "dense fireclay brick",
    2150.0,
    ((400.0, 956.0), (600.0, 997.0), (800.0, 1021.0), (1000.0, 1037.0), (1200.0, 1054.0)),
    ((400.0, 1.05), (600.0, 1.10), (800.0, 1.15), (1000.0, 1.18), (1200.0, 1.22)),
)
"""VDI Heat Atlas, 2nd ed., Springer 2010 (as carried by the library ht 1.2.0)."""

INSULATING_FIREBRICK = Material(
    "insulating firebrick",
    604.0,
    LIGHT_BRICK_1260.heat_points,
    ((300.0, 0.20), (750.0, 0.28), (1000.0, 0.32)),
)
"""A supplier's data (single source): 604 kg/m3; k 0.20, 0.28, 0.32 W/mK at 300, 750, 1000 °C.
The heat capacity is that of lightweight brick L1260."""

FIBRE_BLANKET = Material(
    "ceramic fibre blanket",
    128.0,
    ((20.0, 1130.0),),
    ((20.0, 0.04), (400.0, 0.09), (600.0, 0.15), (800.0, 0.20), (1000.0, 0.28)),
)
"""Makers' data, from memory, within 15 %: 128 kg/m3, cp about 1130 J/kgK."""

FIBRE_BOARD = Material(
    "ceramic fibre board",
    280.0,
    ((20.0, 1050.0),),
    ((20.0, 0.06), (400.0, 0.10), (600.0, 0.13), (800.0, 0.16), (1000.0, 0.20)),
)
"""Makers' data, from memory, within 20 %."""

WARE_HEAT: Points = ((20.0, 850.0), (1200.0, 1100.0))
"""Fired stoneware 850 (cold) to 1100 J/kgK (hot): Kingery, Bowen and Uhlmann, 1976, from memory."""
SHELF_HEAT: Points = ((20.0, 1000.0), (1200.0, 1050.0))
"""Cordierite-mullite shelves about 1000 to 1050 J/kgK: makers' data, from memory."""
ELEMENT_HEAT_J_PER_KG_K = 650.0
"""Iron-chromium-aluminium element wire, mean over the range: makers' data, from memory."""
BURNER_BLOCK_HEAT_J_PER_KG_K = 1030.0
"""Burner blocks and bag walls, as shelves."""
