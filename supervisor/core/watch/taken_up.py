"""Whether a kiln that was taken for one without heat is kept to the plan's cooling after all.

A potter, or a controller, who ends a hold before its time goes on with the plan from there. Knows
the steps that come later and how the kiln falls. The figures are common practice, no source.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep, Timeline
from supervisor.core.watch.shed import SHED_C
from supervisor.core.watch.step_end import MOST_APART_C, UNHEATED_PER_H

_LOOK_S = 900.0
"""Over so long a fall is judged: elements, flame and chamber have given up what they had."""
_HEATED_PART = 0.8
"""What falls by less than this part of what the best lined kilns do without heat is heated."""
_SLOWEST, _FASTEST = 0.5, 1.5
"""And it keeps the planned cooling where it falls between these parts of it."""
_HOLDS_C_PER_H, _ABOUT_C = 15.0, 15.0
"""One that falls no faster, and no farther from it, stands at a hold on the way down."""


class TakenUp:
    """Feed it with ``look`` while the plan climbs or holds.

    ``stood_s`` is for how long the kiln has by now been about where it is.
    """

    __slots__ = (
        "_from_c",
        "_since_s",
        "_stands_c",
        "_stands_since_s",
        "_step",
        "_was_up",
        "stood_s",
    )

    def __init__(self) -> None:
        self._step = -1
        self._was_up = False
        """Whether the kiln had come about to the top of the step."""
        self._since_s: float | None = None
        self._from_c = 0.0
        self._stands_since_s = self._stands_c = self.stood_s = 0.0

    def look(
        self, timeline: Timeline, step: PlannedStep, elapsed_s: float, temp_c: float
    ) -> PlannedStep | None:
        """Take in the kiln in ``step``; the cooling after it that the kiln keeps by now, None if
        it keeps none."""
        if step.index != self._step:
            self._step, self._was_up = step.index, False
        is_up = temp_c > step.to_c - MOST_APART_C
        if is_up or not self._was_up:
            self._was_up, self._since_s = is_up, None
            return None
        if abs(temp_c - self._stands_c) > _ABOUT_C:
            self._stands_since_s, self._stands_c = elapsed_s, temp_c
        self.stood_s = elapsed_s - self._stands_since_s
        if self._since_s is None:
            self._since_s, self._from_c = elapsed_s, temp_c
        lasted_s = elapsed_s - self._since_s
        if lasted_s < _LOOK_S:
            return None
        falls_c_per_h = (self._from_c - temp_c) / lasted_s * 3600.0
        self._since_s, self._from_c = elapsed_s, temp_c
        if falls_c_per_h > _HEATED_PART * UNHEATED_PER_H * (temp_c - SHED_C):
            return None
        later = timeline.after(step)
        while later is not None and later.cools:
            if _keeps(later, temp_c, falls_c_per_h):
                return later
            later = timeline.after(later)
        return None


def _keeps(step: PlannedStep, temp_c: float, falls_c_per_h: float) -> bool:
    if step.hold_s > 0.0 and abs(temp_c - step.to_c) <= _ABOUT_C:
        return abs(falls_c_per_h) <= _HOLDS_C_PER_H
    planned_c_per_h = step.rate_c_per_h
    if planned_c_per_h is None or not step.to_c - _ABOUT_C < temp_c < step.from_c:
        return False
    return _SLOWEST * planned_c_per_h <= falls_c_per_h <= _FASTEST * planned_c_per_h
