"""Where a person may be reducing the body: the climb is let creep or stand there, and dips.

Knows the plan's band of body reduction, the step that the plan has for it, and that an electric
kiln is not reduced in.
"""

from __future__ import annotations

from itertools import pairwise
from math import inf

from supervisor.core.phases.bands import Band, bands_of
from supervisor.core.schedule.model import Atmosphere, BandName, Schedule
from supervisor.core.watch.detectors.kept_line import KeptLine
from supervisor.core.watch.detectors.moment import Moment

_MARGIN_C = 40.0
"""The band's limits are a person's, who goes by the colour of the flame: give or take this much
(common practice, no source)."""
_OWN_STEP_MARGIN_C = 20.0
_SLOWER = 0.7
"""A plan that climbs so much more slowly through the band, or holds there, has a step of its own
for it, and whoever fires by that plan reduces there and not later: give or take what two
thermocouples differ by (common practice, no source)."""
_STANDS_S, _OWN_STEP_S = 5700.0, 1800.0
"""The climb is let stop for so long; with gas, where the plan goes on slowly in a step for it, only
for the second: then damper and air want another look (common practice, no source)."""
_DIPS_C, _GAS_DIPS_C = 25.0, 11.0
"""With damper and air closed a kiln stands, and comes down by a few degrees until it takes the fuel
up again; a fire burns down with each charge as well. Below its highest by more, its heat has gone
(common practice, no source)."""


class Reduction:
    """Of a plan that reduces; of any other, ``may_be_at`` is never true."""

    __slots__ = ("_from_c", "_has_own_step", "_high_c", "_is_kept", "_line", "_to_c")

    def __init__(self, schedule: Schedule | None) -> None:
        self._from_c = self._to_c = 0.0
        self._high_c = -inf
        self._has_own_step = self._is_kept = False
        """Whether the plan has a step for it, and a controller keeps the kiln to that."""
        self._line = KeptLine()
        if schedule is None or schedule.atmosphere is not Atmosphere.REDUCTION:
            return
        for band in bands_of(schedule):
            if band.name == BandName.BODY_REDUCTION:
                own = _own_step_c(schedule, band)
                self._has_own_step = own is not None
                if own is None:
                    self._from_c, self._to_c = band.from_c - _MARGIN_C, band.to_c + _MARGIN_C
                else:
                    self._from_c = own[0] - _OWN_STEP_MARGIN_C
                    self._to_c = own[1] + _OWN_STEP_MARGIN_C

    def may_be_at(self, temp_c: float, kiln_kind: str | None) -> bool:
        """Whether the kiln, of this kind where that is known, may be reduced in at ``temp_c``."""
        return self._from_c < temp_c < self._to_c and kiln_kind != "electric"

    def follow(self, moment: Moment, temp_c: float) -> None:
        """Take in the kiln, and whether its climb is a straight line up to where it is reduced in
        by a step of its own."""
        if self._to_c == 0.0:
            return
        if self._has_own_step:
            is_news = self._line.look(moment, temp_c)
            if is_news and not self.may_be_at(temp_c, moment.kiln_kind):
                self._is_kept = self._line.is_straight(moment.sigma_c)
        self.look(temp_c, moment.kiln_kind)

    def look(self, temp_c: float, kiln_kind: str | None) -> None:
        """Take in the climbing kiln: how high it came since it may be reduced in."""
        if not self.may_be_at(temp_c, kiln_kind):
            self._high_c = -inf
        elif temp_c > self._high_c:
            self._high_c = temp_c

    def stands_for_s(self, temp_c: float, kiln_kind: str | None) -> float | None:
        """For how long the kiln, which does not climb at ``temp_c``, may stand for reduction; None
        where it is not reduced in."""
        if not self.explains(temp_c, kiln_kind):
            return None
        return _OWN_STEP_S if self._has_own_step and kiln_kind == "gas" else _STANDS_S

    def explains(self, temp_c: float, kiln_kind: str | None) -> bool:
        """Whether that a kiln at ``temp_c`` does not climb may be reduction, and no more."""
        if self._is_kept:
            # A controller keeps to a slow step as well: there too a kiln that stands has stalled.
            return False
        dips_c = _GAS_DIPS_C if kiln_kind == "gas" else _DIPS_C
        return self.may_be_at(temp_c, kiln_kind) and temp_c > self._high_c - dips_c


def _own_step_c(schedule: Schedule, band: Band) -> tuple[float, float] | None:
    """From where to where the plan reduces, by a slow step or a hold in the band; None where it
    has none."""
    found: tuple[float, float] | None = None
    for before, step in pairwise(schedule.steps[: schedule.peak_step + 1]):
        if not band.from_c < step.to_c < band.to_c or step.to_c <= before.to_c:
            continue
        rate_c_per_h, before_c_per_h = step.rate_c_per_h, before.rate_c_per_h
        is_slow = rate_c_per_h is not None and (
            before_c_per_h is None or rate_c_per_h <= _SLOWER * before_c_per_h
        )
        if is_slow or step.hold_s > 0.0:
            from_c = before.to_c if is_slow else step.to_c
            found = (from_c if found is None else found[0], step.to_c)
    return found
