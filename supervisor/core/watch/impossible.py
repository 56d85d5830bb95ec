"""Why a value can't be the temperature of a kiln. Knows the values and nothing else."""

from __future__ import annotations

from supervisor.core.readings import FaultCause

LOWEST_C, HIGHEST_C = -50.0, 1500.0
"""Outside this no kiln and no shed is; an open input often reads so."""
_COLDEST_C = -270.0
"""The table of type K begins here (IEC 60584-1)."""


class Impossible:
    """Feed it with one impossible value after the other, and ``forget`` between two stretches."""

    __slots__ = ("_before_c", "_varies")

    def __init__(self) -> None:
        self._before_c: float | None = None
        self._varies = False

    def forget(self) -> None:
        """What was seen before says nothing any more."""
        self._before_c = None
        self._varies = False

    def why(self, value_c: float) -> FaultCause:
        """What is wrong. Colder than any shed, and not the same each time, is a warm kiln behind
        swapped leads; anything else, NaN as well, stands for no value."""
        if not _COLDEST_C <= value_c < LOWEST_C:
            self.forget()
            return FaultCause.OPEN
        self._varies = self._varies or (self._before_c is not None and value_c != self._before_c)
        self._before_c = value_c
        return FaultCause.REVERSED if self._varies else FaultCause.OPEN
