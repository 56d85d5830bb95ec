"""Whether who fires may end: the cone of the plan may be down. Knows no temperature."""

from __future__ import annotations

from supervisor.core.heatwork import HeatWork, pack_around
from supervisor.core.phases.worth import heatwork_of
from supervisor.core.schedule import Timeline
from supervisor.core.watch.detectors.pauses import FIRES
from supervisor.core.watch.step_end import SHORT_OF_C

BY_HAND, _FLAME_BY_HAND = 0.3, 0.15
"""A kiln that wanders so much about its plan is fired by a person, who fires to the cone: a
controller holds its hold. Taps and dampers that somebody minds keep a kiln closer to its plan than
switches do (common practice, no source)."""
_GUIDE_WORK = 0.67
"""By witness cones: ours may read 9 °C less than what they stand in (ASTM E230: class 2 of type K
at 1,250 °C), and a cone softens half as fast again for that; so the guide may be down when so much
of its work is counted."""
_NAMED_C, _MADE_C = 2.0 * SHORT_OF_C, SHORT_OF_C
"""Who has named a cone ends when that is down, though it be earlier than planned; who has not goes
by the plan, as near as thermocouples differ."""


class FiredTo:
    """The cone that a plan is for: the ``target``; or, where none is named, the one that it makes,
    of a kiln that is known to burn."""

    __slots__ = ("_is_sought", "_short_c", "_target")

    def __init__(self, target: str | None) -> None:
        self._target = target
        self._is_sought = target is None
        self._short_c = _MADE_C if target is None else _NAMED_C

    def ends_short_c(
        self, timeline: Timeline, work: HeatWork, looseness: float, kiln_kind: str | None
    ) -> float:
        """By how much short of the top of its plan, ``timeline``, a kiln of that kind may end that
        strays from it by ``looseness``, in °C; 0 while the cone can't be down.

        It may be down by witness cones, beside which our thermocouple may be off by one, when the
        guide is. One may be fired so however closely it keeps its plan: there the target must."""
        if self._is_sought and kiln_kind in FIRES:
            self._is_sought = False
            self._target = heatwork_of(timeline).cone
        if self._target is None:
            return 0.0
        if looseness >= (_FLAME_BY_HAND if kiln_kind in FIRES else BY_HAND):
            is_down = work.work_of(pack_around(self._target)[0]) >= _GUIDE_WORK
        else:
            is_down = work.work_of(self._target) >= 1.0
        return self._short_c if is_down else 0.0
