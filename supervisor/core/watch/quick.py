"""How far a thermocouple in a kiln can move: faster is electrical (common practice, no source)."""

from __future__ import annotations

import math

JUMP_C, JUMP_C_PER_S, _JUMP_S, _LATER_C_PER_S = 25.0, 4.0, 15.0, 0.5
"""A sheathed probe with a time constant of 30 s or more, taken from a hot kiln into a draught,
moves by a few °C a second, for a quarter of a minute; a step larger than this is electrical
(common practice, no source)."""


def most_c(since_s: float, above_c: float = math.inf) -> float:
    """How far a real probe may move within ``since_s``, in °C; downwards from ``above_c`` over the
    shed, as one with a time constant of a quarter of a minute in air from there."""
    quick_s = min(_JUMP_S, since_s)
    quick_c_per_s = min(JUMP_C_PER_S, max(above_c, 0.0) / _JUMP_S)
    return JUMP_C + quick_c_per_s * quick_s + _LATER_C_PER_S * (since_s - quick_s)
