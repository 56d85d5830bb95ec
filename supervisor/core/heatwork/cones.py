"""The cones and how fast each softens. Knows nothing of firings.

A cone softens like a viscous body: its rate of deformation follows
``k(T) = exp(ln A − Q/(R·T))`` (Arrhenius), and it is down when ``∫ k dt = 1``. The table
``cones.csv`` beside this module is solved from the temperature equivalents that the Edward
Orton Jr. Ceramic Foundation publishes for its self-supporting cones (2016 issue, 60 and
150 °C/h); ``tests/reference/solve_cones.py`` says how and makes the table anew. It meets the
published figures within 0.9 °C, cones 022 and 021 within 1.2 °C.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType

GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324
"""Exact by the definition of the SI units (2019)."""
KELVIN_OFFSET = 273.15
"""0 °C in kelvin (definition)."""


@dataclass(frozen=True, slots=True)
class Cone:
    """One cone: ``k(T) = exp(ln_a − q_over_r_k / T)`` in 1/s with T in kelvin."""

    name: str
    ln_a: float
    q_over_r_k: float

    def rate_per_s(self, temp_c: float) -> float:
        """Softening per second at ``temp_c``; the whole way down is 1."""
        return math.exp(self.ln_a - self.q_over_r_k / (temp_c + KELVIN_OFFSET))

    def temp_at_rate(self, rate_per_s: float) -> float:
        """The temperature in °C at which the cone softens at ``rate_per_s``."""
        return self.q_over_r_k / (self.ln_a - math.log(rate_per_s)) - KELVIN_OFFSET


def _load() -> Mapping[str, Cone]:
    text = files(__package__).joinpath("cones.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            row["cone"]: Cone(
                row["cone"],
                float(row["ln_a_per_s"]),
                float(row["q_j_per_mol"]) / GAS_CONSTANT_J_PER_MOL_K,
            )
            for row in csv.DictReader(text.splitlines())
        }
    )


CONES: Mapping[str, Cone] = _load()
"""Every cone by name, from the softest ("022") to the hardest ("14"). Names are text."""
CONE_NAMES: tuple[str, ...] = tuple(CONES)
WHOLE_CONE_NAMES: tuple[str, ...] = tuple(name for name in CONES if not name.endswith(".5"))


def pack_around(target: str) -> tuple[str, str, str]:
    """Guide, target and guard: the cone before, the cone wanted, the cone after.

    At either end of the series the target stands in for the missing neighbour.

    >>> pack_around("6"), pack_around("01"), pack_around("5.5"), pack_around("14")
    (('5', '6', '7'), ('02', '01', '1'), ('5', '5.5', '6'), ('13', '14', '14'))
    """
    series = WHOLE_CONE_NAMES if target in WHOLE_CONE_NAMES else CONE_NAMES
    place = series.index(target)
    return series[max(place - 1, 0)], target, series[min(place + 1, len(series) - 1)]
