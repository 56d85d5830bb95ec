"""The cones and how fast each softens. Knows nothing of firings.

A cone softens like a viscous body, and the viscosity of a glassy melt follows the law of Vogel
(1921) and Fulcher (J. Am. Ceram. Soc. 8, 339-355, 1925): its rate of deformation is
``k(T) = exp(a − B/(T − T0))`` with T in kelvin, and it is down when ``∫ k dt = 1``. The table
``cones.csv`` beside this module is solved from the temperature equivalents that the Edward
Orton Jr. Ceramic Foundation publishes for its self-supporting cones (2016 issue, 60 and
150 °C/h); ``tests/reference/solve_cones.py`` says how and makes the table anew. It meets every
published figure within 1 °C.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType

KELVIN_OFFSET = 273.15
"""0 °C in kelvin (definition)."""
LEAST_ABOVE_T0_K = 20.0
"""So near its T0 a cone would take longer than any kiln stands; it counts as rigid."""


@dataclass(frozen=True, slots=True)
class Cone:
    """One cone: ``k(T) = exp(a − b_k / (T − t0_k))`` in 1/s with T in kelvin; 0 near T0."""

    name: str
    a: float
    b_k: float
    t0_k: float

    def rate_per_s(self, temp_c: float) -> float:
        """Softening per second at ``temp_c``; the whole way down is 1."""
        above_k = temp_c + KELVIN_OFFSET - self.t0_k
        if above_k < LEAST_ABOVE_T0_K:
            return 0.0
        return math.exp(self.a - self.b_k / above_k)

    def growth_per_c(self, temp_c: float) -> float:
        """By what part the softening rate grows for each °C at ``temp_c``, in 1/°C."""
        above_k = max(temp_c + KELVIN_OFFSET - self.t0_k, LEAST_ABOVE_T0_K)
        return self.b_k / (above_k * above_k)

    def temp_at_rate(self, rate_per_s: float) -> float:
        """The temperature in °C at which the cone softens at ``rate_per_s``, below exp(a)."""
        return self.b_k / (self.a - math.log(rate_per_s)) + self.t0_k - KELVIN_OFFSET


def _load() -> Mapping[str, Cone]:
    text = files(__package__).joinpath("cones.csv").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            row["cone"]: Cone(
                row["cone"], float(row["a_ln_per_s"]), float(row["b_k"]), float(row["t0_k"])
            )
            for row in csv.DictReader(text.splitlines())
        }
    )


CONES: Mapping[str, Cone] = _load()
"""Every cone by name, from the softest ("022") to the hardest ("14"). Names are text."""
CONE_NAMES: tuple[str, ...] = tuple(CONES)
ALLOWED_CONES = '"022" to "14", half cones as "05.5" and "5.5"'
"""What a person may name, for the sentence that says so."""
WHOLE_CONE_NAMES: tuple[str, ...] = tuple(name for name in CONES if not name.endswith(".5"))


def time_share(work_share: float, growth: float) -> float:
    """After what part of a piece of time this part of its work is done, both from 0 to 1.

    Along the piece the rate grows by ``exp(growth)``, exponentially.

    >>> time_share(0.5, 0.0), round(time_share(0.5, 1.0), 3), time_share(1.0, -2.0)
    (0.5, 0.62, 1.0)
    """
    if abs(growth) > 1e-5:
        work_share = math.log1p(work_share * math.expm1(growth)) / growth
    return min(work_share, 1.0)


def pack_around(target: str) -> tuple[str, str, str]:
    """Guide, target and guard: the cone before, the cone wanted, the cone after.

    At either end of the series the target stands in for the missing neighbour.

    >>> pack_around("6"), pack_around("01"), pack_around("5.5"), pack_around("14")
    (('5', '6', '7'), ('02', '01', '1'), ('5', '5.5', '6'), ('13', '14', '14'))
    """
    series = WHOLE_CONE_NAMES if target in WHOLE_CONE_NAMES else CONE_NAMES
    place = series.index(target)
    return series[max(place - 1, 0)], target, series[min(place + 1, len(series) - 1)]
