"""Ware that dries: how long it takes nobody can tell from outside. Knows one hold of a plan.

A kiln that has been candled begins its plan's hold when its potter thinks so, and goes on when the
ware is dry. The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep

_DRYING_C, _DRIED_C = 150.0, 20.0
"""A hold below the first temperature is for drying; a kiln so much above it has left it for good,
and does not swing about it."""
DRIES_S = 3 * 3600.0
"""The climb after it is due after so long at the latest."""


class Drying:
    """Remembers where the ware dried, from the end of that hold until the kiln has left it."""

    __slots__ = ("_at_c",)

    def __init__(self) -> None:
        self._at_c: float | None = None

    @property
    def goes_on(self) -> bool:
        """Whether the ware may still be drying."""
        return self._at_c is not None

    def hold_ends(self, step: PlannedStep, level_c: float) -> None:
        """The plan's hold is over, in which the kiln stood at ``level_c``, or crept up to it."""
        if step.to_c < _DRYING_C:
            self._at_c = max(step.to_c, level_c)

    def look(self, temp_c: float) -> bool:
        """Take in the kiln; whether it has now left where the ware dried."""
        if self._at_c is None or temp_c <= self._at_c + _DRIED_C:
            return False
        self._at_c = None
        return True
