"""When water boils: from the air's pressure, and that from the height above the sea.

Knows published formulas only. The pressure from a height is that of a standard day: weather moves
it by some 20 hPa either way, and the boiling point by some 0.6 °C.
"""

from __future__ import annotations

import math
from typing import Final

ICE_POINT_C: Final = 0.0
"""Melting ice with air-saturated water at ordinary pressure, within a few thousandths."""

PRESSURE_RANGE_HPA: Final = (500.0, 1100.0)
ALTITUDE_RANGE_M: Final = (-430.0, 5500.0)
"""From the lowest land to above the highest town."""

METRES_PER_FOOT: Final = 0.3048
"""Exactly: the international foot (NIST SP 811, appendix B.8)."""

_KELVIN: Final = 273.15
_EARTH_M: Final = 6_356_766.0
"""The Earth's radius for the standard atmosphere (ISO 2533)."""
_N: Final = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
"""Coefficients of region 4, the saturation line (IAPWS-IF97, table 34)."""


def boiling_point_c(pressure_hpa: float) -> float:
    """Temperature in °C at which pure water boils under ``pressure_hpa``.

    IAPWS-IF97 (2007), equation 31, the saturation line solved for temperature.

    >>> round(boiling_point_c(1013.25), 2), round(boiling_point_c(850.0), 1)
    (99.97, 95.1)
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = math.sqrt(math.sqrt(pressure_hpa * 1e-4))
    e = beta * beta + n3 * beta + n6
    f = n1 * beta * beta + n4 * beta + n7
    g = n2 * beta * beta + n5 * beta + n8
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    both = n10 + d
    return (both - math.sqrt(both * both - 4.0 * (n9 + n10 * d))) / 2.0 - _KELVIN


def pressure_hpa(altitude_m: float) -> float:
    """The standard atmosphere's pressure at ``altitude_m`` above the sea (ISO 2533:1975).

    >>> round(pressure_hpa(0.0), 2), round(pressure_hpa(1500.0), 1)
    (1013.25, 845.6)
    """
    geopotential_m = _EARTH_M * altitude_m / (_EARTH_M + altitude_m)
    colder = 1.0 - 0.0065 * geopotential_m / 288.15
    return 1013.25 * math.pow(colder, 9.80665 / (0.0065 * 287.05287))
