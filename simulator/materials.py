"""What a kiln is lined with: density, heat capacity and conductivity, each with its source.

Knows no shapes and no temperatures. Conductivity is a straight line over temperature, which
meets the published points below to about 3 %; the heat capacity is one mean figure, so that
stored heat is simply proportional to temperature.
"""

from __future__ import annotations

from dataclasses import dataclass

ZERO_CELSIUS_K = 273.15
"""0 °C on the absolute scale (definition)."""
STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374e-8
"""CODATA 2018, rounded."""


@dataclass(frozen=True, slots=True)
class Material:
    """A lining material.

    ``k_at_0c_w_per_m_k`` is the conductivity drawn back to 0 °C and ``k_slope_w_per_m_k2`` its
    rise for each degree; ``density_kg_per_m3`` and ``heat_j_per_kg_k`` are means.
    """

    name: str
    density_kg_per_m3: float
    heat_j_per_kg_k: float
    k_at_0c_w_per_m_k: float
    k_slope_w_per_m_k2: float = 0.0

    def conductivity_w_per_m_k(self, temp_c: float) -> float:
        """Conductivity at ``temp_c``.

        >>> round(LIGHT_BRICK_1260.conductivity_w_per_m_k(800.0), 3)
        0.18
        """
        return self.k_at_0c_w_per_m_k + self.k_slope_w_per_m_k2 * temp_c


LIGHT_BRICK_1260 = Material("lightweight brick L1260", 490.0, 1000.0, 0.10, 1.0e-4)
"""VDI Heat Atlas, 2nd ed., Springer 2010: 490 kg/m3; k 0.14, 0.16, 0.18, 0.20, 0.22 W/mK at
400, 600, 800, 1000, 1200 °C; cp 942 to 1033 J/kgK, here 1000."""

LIGHT_BRICK_1400 = Material("lightweight brick L1400", 790.0, 1000.0, 0.23, 1.1e-4)
"""VDI Heat Atlas, 2nd ed., Springer 2010: 790 kg/m3; k 0.27, 0.30, 0.32, 0.34, 0.36 W/mK at
400, 600, 800, 1000, 1200 °C; cp 954 to 1050 J/kgK, here 1000."""

INSULATING_FIREBRICK = Material("insulating firebrick", 604.0, 1000.0, 0.148, 1.73e-4)
"""A supplier's data (single source): 604 kg/m3; k 0.20, 0.28, 0.32 W/mK at 300, 750, 1000 °C.
The heat capacity is that of the lightweight bricks above."""

WARE_HEAT_J_PER_KG_K = 1000.0
"""Fired stoneware 850 (cold) to 1100 J/kgK (hot): Kingery, Bowen and Uhlmann, 1976, from memory."""
SHELF_HEAT_J_PER_KG_K = 1030.0
"""Cordierite-mullite shelves about 1000 to 1050 J/kgK: makers' data, from memory."""
ELEMENT_HEAT_J_PER_KG_K = 650.0
"""Iron-chromium-aluminium element wire, mean over the range: makers' data, from memory."""
