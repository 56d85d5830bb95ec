"""What a thermocouple of each letter gives at a temperature, and back (ITS-90).

Knows the reference functions of NIST Monograph 175. Refuses to know converters: a measured
voltage is between hot junction and terminals, both in °C here.
"""

from __future__ import annotations

import math
from typing import Final

from supervisor.core.its90_table import K_BUMP, PIECES

LETTERS: Final = tuple(PIECES)

_B_FROM_C: Final = 50.0
"""Type B's function dips below zero near 21 °C: only above this has a voltage one temperature."""
_CLOSE_C: Final = 1e-7
_ROUNDING_MV: Final = 1e-9
_STEPS: Final = 60


def range_c(letter: str) -> tuple[float, float]:
    """Where the letter's function is defined, in °C.

    >>> range_c("K")
    (-270.0, 1372.0)
    """
    pieces = PIECES[letter]
    return pieces[0].low_c, pieces[-1].high_c


def emf_mv(letter: str, temp_c: float) -> float:
    """Voltage in mV of a hot junction at ``temp_c`` with terminals at 0 °C.

    Beyond the function's range the voltage at its end.

    >>> round(emf_mv("K", 1000.0), 3), round(emf_mv("S", 1000.0), 3)
    (41.276, 9.587)
    """
    return _emf_and_slope(letter, temp_c)[0]


def slope_mv_per_c(letter: str, temp_c: float) -> float:
    """How many mV a degree makes at ``temp_c``."""
    return _emf_and_slope(letter, temp_c)[1]


def temp_c(letter: str, mv: float) -> float | None:
    """Temperature in °C whose voltage against terminals at 0 °C is ``mv``.

    ``None`` where no temperature in the function's range gives it, and for type B below 50 °C.

    >>> round(temp_c("K", 41.276), 1), temp_c("S", 41.276)
    (1000.0, None)
    """
    low_c, high_c = range_c(letter)
    if letter == "B":
        low_c = _B_FROM_C
    if not emf_mv(letter, low_c) - _ROUNDING_MV <= mv <= emf_mv(letter, high_c) + _ROUNDING_MV:
        return None
    # Newton's steps, kept between two ends that close in.
    guess_c = low_c + (high_c - low_c) * 0.5
    for _ in range(_STEPS):
        found_mv, slope = _emf_and_slope(letter, guess_c)
        if found_mv > mv:
            high_c = guess_c
        else:
            low_c = guess_c
        step_c = (mv - found_mv) / slope if slope > 0.0 else math.inf
        next_c = guess_c + step_c
        if not low_c <= next_c <= high_c:
            next_c = 0.5 * (low_c + high_c)
        if abs(next_c - guess_c) < _CLOSE_C:
            return next_c
        guess_c = next_c
    return guess_c


def read_as_c(
    letter: str, set_to: str, hot_c: float, terminals_c: float, *, swapped: bool = False
) -> float | None:
    """What an input set to the letter ``set_to`` reads of a probe of ``letter``, in °C.

    ``None`` where the reading would be outside the range of ``set_to``.

    >>> read_as_c("K", "K", 500.0, 25.0)
    500.0
    >>> round(read_as_c("S", "K", 0.0, 20.0), 1)
    17.2
    """
    if letter == set_to and not swapped:
        low_c, high_c = range_c(letter)
        return hot_c if low_c <= hot_c <= high_c else None
    measured_mv = emf_mv(letter, hot_c) - emf_mv(letter, terminals_c)
    if swapped:
        measured_mv = -measured_mv
    return temp_c(set_to, measured_mv + emf_mv(set_to, terminals_c))


def _emf_and_slope(letter: str, at_c: float) -> tuple[float, float]:
    pieces = PIECES[letter]
    at_c = min(max(at_c, pieces[0].low_c), pieces[-1].high_c)
    piece = next(p for p in pieces if at_c <= p.high_c)
    mv = slope = 0.0
    for coefficient in reversed(piece.coefficients):
        slope = slope * at_c + mv
        mv = mv * at_c + coefficient
    if letter == "K" and piece.low_c >= 0.0:
        a0, a1, a2 = K_BUMP
        bump_mv = a0 * math.exp(a1 * (at_c - a2) ** 2)
        mv += bump_mv
        slope += bump_mv * 2.0 * a1 * (at_c - a2)
    return mv, slope
