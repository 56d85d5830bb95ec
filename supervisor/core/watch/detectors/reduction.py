"""Where a person may be reducing the body: the climb is let creep or stand there, and dips.

Knows the plan's band of body reduction, and that an electric kiln is not reduced in.
"""

from __future__ import annotations

from math import inf

from supervisor.core.phases.bands import bands_of
from supervisor.core.schedule.model import Atmosphere, BandName, Schedule

_MARGIN_C = 40.0
"""The band's limits are a person's, who goes by the colour of the flame: give or take this much
(common practice, no source)."""
_DIPS_C = 25.0
"""With damper and air closed a kiln stands, and comes down by a few degrees until it takes the fuel
up again. Below its highest by more, its heat has gone (common practice, no source)."""


class Reduction:
    """Of a plan that reduces; of any other, ``may_be_at`` is never true."""

    __slots__ = ("_from_c", "_high_c", "_to_c")

    def __init__(self, schedule: Schedule | None) -> None:
        self._from_c = self._to_c = 0.0
        self._high_c = -inf
        if schedule is None or schedule.atmosphere is not Atmosphere.REDUCTION:
            return
        for band in bands_of(schedule):
            if band.name == BandName.BODY_REDUCTION:
                self._from_c, self._to_c = band.from_c - _MARGIN_C, band.to_c + _MARGIN_C

    def may_be_at(self, temp_c: float, kiln_kind: str | None) -> bool:
        """Whether the kiln, of this kind where that is known, may be reduced in at ``temp_c``."""
        return self._from_c < temp_c < self._to_c and kiln_kind != "electric"

    def look(self, temp_c: float, kiln_kind: str | None) -> None:
        """Take in the climbing kiln: how high it came since it may be reduced in."""
        if not self.may_be_at(temp_c, kiln_kind):
            self._high_c = -inf
        elif temp_c > self._high_c:
            self._high_c = temp_c

    def explains(self, temp_c: float, kiln_kind: str | None) -> bool:
        """Whether that a kiln at ``temp_c`` does not climb may be reduction, and no more."""
        return self.may_be_at(temp_c, kiln_kind) and temp_c > self._high_c - _DIPS_C
