"""Ware that dries: how long it takes nobody can tell from outside. Knows one hold of a plan.

A kiln that has been candled begins its plan's hold when its potter thinks so, and goes on when the
ware is dry. The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep

DRYING_C, _DRIED_C, _CREPT_C = 150.0, 20.0, 200.0
"""A hold below the first temperature is for drying; a kiln so much above it has left it for good,
and does not swing about it. What only creeps takes its ware along up to the last."""
_DRIES_S = 12 * 3600.0
"""The climb after it is due so long after the hold's planned end at the latest."""


class Drying:
    """Remembers where the ware dried, from the end of that hold until the kiln has left it."""

    __slots__ = ("_at_c", "due_after_s")

    def __init__(self) -> None:
        self._at_c: float | None = None
        self.due_after_s = 0.0
        """After how long, from where the hold was left, the climb is due, as long as that goes
        on."""

    @property
    def goes_on(self) -> bool:
        """Whether the ware may still be drying."""
        return self._at_c is not None

    def hold_ends(self, step: PlannedStep, level_c: float, held_s: float) -> None:
        """The plan's hold is over, or left after ``held_s``: in which the kiln stood at
        ``level_c``, or crept up to it."""
        if step.to_c < DRYING_C:
            left_s = max(step.hold_s - held_s, 0.0)
            # Before its time it may have swung out, and must leave by more to be gone for good.
            swings_c = _DRIED_C if left_s > 0.0 else 0.0
            self._at_c = max(step.to_c, level_c) + swings_c
            self.due_after_s = left_s + _DRIES_S

    def leave(self) -> bool:
        """The kiln has climbed far out of the hold; whether the ware might have dried there."""
        was_going_on, self._at_c = self.goes_on, None
        return was_going_on

    def look(self, temp_c: float, *, creeps: bool) -> bool:
        """Take in the kiln; whether it has now left where the ware dried. One that only ``creeps``
        has not: a small flame overnight takes what dries up with it."""
        if self._at_c is None:
            return False
        if creeps:
            self._at_c = max(self._at_c, min(temp_c, _CREPT_C))
        if temp_c <= self._at_c + _DRIED_C:
            return False
        self._at_c = None
        return True
