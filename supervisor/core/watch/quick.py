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


_PLUNGE_S, _PLUNGE_PART, _SURE_PLUNGE_PART = 60.0, 2.0, 2.5
PLUNGES_C_PER_S = -1.0
"""A probe that is pulled out falls by its own lag, with no step too quick, and as far within a
minute as no kiln takes it: on its way up twice as far as such a move, elsewhere, where a
lid is lifted or a fire door opened, two and a half times as far (common practice, no source)."""


class Plunge:
    """Feed it with ``look`` while the probe falls faster than ``PLUNGES_C_PER_S``."""

    __slots__ = ("_before",)

    def __init__(self) -> None:
        self._before: list[tuple[float, float]] = []

    def note(self, elapsed_s: float, temp_c: float) -> None:
        """Take in one temperature."""
        before = self._before
        while before and elapsed_s - before[0][0] > _PLUNGE_S:
            del before[0]
        before.append((elapsed_s, temp_c))

    def look(self, elapsed_s: float, temp_c: float, *, is_on_its_way: bool) -> bool:
        """Take in one temperature; whether it is too far below one of the last minute."""
        self.note(elapsed_s, temp_c)
        part = _PLUNGE_PART if is_on_its_way else _SURE_PLUNGE_PART
        return any(c - temp_c > part * most_c(elapsed_s - s) for s, c in self._before)
