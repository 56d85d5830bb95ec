"""How far the calculated cones may be off, said as degrees on the temperature.

Everything that is unsure is put as an offset in °C on the whole temperature history, because
that is what it does to heat-work: a wire within its tolerance, a cone within its own, the law
of softening where there is no table. What the potter saw of the real cones takes the place of
the first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from supervisor.core.heatwork.cones import Cone

_E230: Mapping[tuple[str, bool], tuple[float, float]] = MappingProxyType(
    {
        ("B", False): (0.0, 0.005),
        ("B", True): (0.0, 0.0025),
        ("E", False): (1.7, 0.005),
        ("E", True): (1.0, 0.004),
        ("J", False): (2.2, 0.0075),
        ("J", True): (1.1, 0.004),
        ("K", False): (2.2, 0.0075),
        ("K", True): (1.1, 0.004),
        ("N", False): (2.2, 0.0075),
        ("N", True): (1.1, 0.004),
        ("R", False): (1.5, 0.0025),
        ("R", True): (0.6, 0.001),
        ("S", False): (1.5, 0.0025),
        ("S", True): (0.6, 0.001),
        ("T", False): (1.0, 0.0075),
        ("T", True): (0.5, 0.004),
    }
)
"""(type, special) -> the greater of so many °C and this part of the temperature in °C. ASTM
E230/E230M, tolerances of new wire; types K and N read in summaries of the standard, the others
from memory."""
WIRE_TYPES = tuple(sorted({kind for kind, _ in _E230}))

_CONE_LIMIT_C = 2.0
"""A cone is within this of the standard cone (T. Frederich, the cone maker's, letter to the
Clayart list, 7 May 2003)."""
_TABLE_C = 1.0
"""Our law is within this of the published table, printed to the degree itself."""
_SLOW_C, _FAST_C = 5.0, 3.0
"""One sigma for each e-fold outside the table's 60 and 150 °C/h, where the law is extrapolated: a
judgement. At 20 °C/h, 1.1 e-folds out, the law is 13 °C (rms; 8 °C too low on average) from what
Fairchild and Peters measured in 1926; their cones had other mixtures, so about half of it is taken
as ours."""
FIRING_C = 2.5
"""One sigma by which a kiln's offset differs from firing to firing: packing, draught (common
practice, no source)."""
QUANTILE = 1.386
"""Sigmas on either side of an interval that holds four of five, for an error that is anywhere
within its limits (0.8·√3); for a normal one 1.28 would do. Ours are of both kinds."""


@dataclass(frozen=True, slots=True)
class Wire:
    """What thermocouple wire: its letter, and whether it is of the special tolerance.

    >>> Wire().tolerance_c(1200.0), Wire("S", special=True).tolerance_c(1200.0)
    (9.0, 1.2)
    """

    kind: str = "K"
    special: bool = False

    def tolerance_c(self, temp_c: float) -> float:
        """Limits of the error of new wire at ``temp_c``, ± °C. Old wire drifts beyond."""
        least_c, part = _E230[self.kind, self.special]
        return max(least_c, round(part * abs(temp_c), 9))


@dataclass(frozen=True, slots=True)
class Correction:
    """An offset in force for one channel, from what real cones did in it: ± one sigma."""

    offset_c: float
    sigma_c: float


def offset_sigma_c(
    cone: Cone, temp_c: float, wire: Wire, correction: Correction | None = None
) -> float:
    """One sigma of the offset, in °C, by which a cone near ``temp_c`` may be miscalculated.

    A limit that nothing more is known of counts as a rectangle of that half-width, sigma =
    limit/√3 (JCGM 100:2008, 4.3.7). Without a correction this is of a cone right beside the
    probe: what lies between probe and ware is not counted, for it can be anything. With one, the
    wire and where it stands are what the cones have shown, but firings differ.
    """
    if correction is None:
        return math.hypot(cone_sigma_c(cone, temp_c), wire_sigma_c(wire, temp_c))
    return math.hypot(cone_sigma_c(cone, temp_c), correction.sigma_c, FIRING_C)


def wire_sigma_c(wire: Wire, temp_c: float) -> float:
    """The wire's part: one sigma of how far it reads off, in °C."""
    return wire.tolerance_c(temp_c) / math.sqrt(3.0)


def cone_sigma_c(cone: Cone, temp_c: float) -> float:
    """The part of the cone and of the law: one sigma, in °C, for a fall near ``temp_c``."""
    limits_c = (_CONE_LIMIT_C / math.sqrt(3.0), _TABLE_C / math.sqrt(3.0))
    return math.hypot(*limits_c, extrapolated_c(cone, temp_c))


def extrapolated_c(cone: Cone, temp_c: float) -> float:
    """What a fall at ``temp_c`` adds because no table is published for so slow or fast a firing.

    The steady climb that would bring the cone down at ``temp_c`` tells how slow it is.
    """
    growth_per_c, rate_per_s = cone.growth_per_c(temp_c), cone.rate_per_s(temp_c)
    if rate_per_s <= 0.0:
        return 3.0 * _SLOW_C
    rate_c_per_h = rate_per_s / growth_per_c * 3600.0
    if rate_c_per_h < 60.0:
        return min(_SLOW_C * math.log(60.0 / rate_c_per_h), 3.0 * _SLOW_C)
    if rate_c_per_h > 150.0:
        return min(_FAST_C * math.log(rate_c_per_h / 150.0), 3.0 * _FAST_C)
    return 0.0
