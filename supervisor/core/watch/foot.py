"""Whether a kiln that is to climb from the foot of a cooling still comes down to it.

Ours may read less than the kiln's own thermocouple, by which the foot is yet to come. Knows one
such corner of the plan.
"""

from __future__ import annotations

from supervisor.core.watch.step_end import SHORT_OF_C

_LOWER_C = 0.5
"""So much lower than before is lower."""
_MOST_S = 2400.0
"""For so long that is believed: farther apart, at the pace of a slow cooling, no two thermocouples
are (common practice, no source)."""


class Foot:
    """At ``foot_c`` the plan turns; by ours the kiln came to that at ``elapsed_s``."""

    __slots__ = ("_foot_c", "_low_c", "_since_s")

    def __init__(self, foot_c: float, elapsed_s: float) -> None:
        self._foot_c, self._since_s = foot_c, elapsed_s
        self._low_c = float("inf")

    def goes_lower(self, elapsed_s: float, temp_c: float) -> bool:
        """Take in the kiln; whether it has just come lower, and may yet be on its way down."""
        if temp_c > self._low_c - _LOWER_C:
            return False
        self._low_c = temp_c
        may_be = temp_c > self._foot_c - SHORT_OF_C
        return may_be and elapsed_s - self._since_s < _MOST_S
