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
_SLOWED, _ABOUT_CORNER_C = 0.6, 25.0
"""And so is what falls, for its heat, by less than this part of what it did just before, where it
has come to the corner to a slower cooling."""
_ABOUT, _CLOSE, _TIMES = 0.5, 0.15, 2
"""And it keeps the planned cooling where it falls at its pace, give or take the first part of that.
A flame that dies, or ices up, at the top falls as slowly as one that is fired down from there: that
step is kept where its pace is, give or take the second, so many times one after the other."""
_HOLDS_C_PER_H, _ABOUT_C = 15.0, 15.0
"""One that falls no faster, and no farther from it, stands at a hold on the way down."""


class TakenUp:
    """Feed it with ``look`` while the plan climbs or holds.

    ``held_s`` is for how long the kiln has stood at the hold of the step that was found, 0 where
    it is on its way there.
    """

    __slots__ = (
        "_fell_per_h",
        "_fired_down",
        "_from_c",
        "_since_s",
        "_slowed_in",
        "_stands_c",
        "_stands_since_s",
        "_step",
        "_was_up",
        "held_s",
    )

    def __init__(self) -> None:
        self._step = -1
        self._was_up = False
        """Whether the kiln had come about to the top of the step."""
        self._since_s: float | None = None
        self._from_c = 0.0
        self._fell_per_h = 0.0
        """What part of its excess over the shed the kiln lost in an hour when last judged."""
        self._slowed_in = -1
        """The cooling at whose beginning it slowed."""
        self._fired_down = 0
        """How often in a row it was seen to keep the pace of the very next step."""
        self._stands_since_s = self._stands_c = self.held_s = 0.0

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
        if self._since_s is None:
            self._since_s, self._from_c = elapsed_s, temp_c
            self._fell_per_h, self._slowed_in, self._fired_down = 0.0, -1, 0
        lasted_s = elapsed_s - self._since_s
        if lasted_s < _LOOK_S:
            return None
        falls_c_per_h = (self._from_c - temp_c) / lasted_s * 3600.0
        before_c, before_per_h = self._from_c, self._fell_per_h
        self._since_s, self._from_c = elapsed_s, temp_c
        excess_c = temp_c - SHED_C
        self._fell_per_h = falls_c_per_h / excess_c
        has_slowed = self._fell_per_h < _SLOWED * before_per_h
        is_heated = falls_c_per_h <= _HEATED_PART * UNHEATED_PER_H * excess_c
        later = timeline.after(step)
        is_fired_down = later is not None and _goes_at(later, falls_c_per_h, _CLOSE)
        self._fired_down = self._fired_down + 1 if is_fired_down else 0
        while later is not None and later.cools:
            if has_slowed and temp_c - _ABOUT_CORNER_C < later.from_c < before_c + _ABOUT_CORNER_C:
                self._slowed_in = later.index
            holds = later.hold_s > 0.0 and abs(temp_c - later.to_c) <= _ABOUT_C
            if holds:
                keeps = abs(falls_c_per_h) <= _HOLDS_C_PER_H
            else:
                keeps = later.to_c - _ABOUT_C < temp_c < later.from_c
                keeps = keeps and _goes_at(later, falls_c_per_h, _ABOUT)
                if later.index == step.index + 1:
                    keeps = keeps and self._fired_down >= _TIMES
            if keeps and (is_heated or later.index == self._slowed_in):
                self.held_s = elapsed_s - self._stands_since_s if holds else 0.0
                return later
            later = timeline.after(later)
        return None


def _goes_at(step: PlannedStep, falls_c_per_h: float, give: float) -> bool:
    """Whether it falls at the pace of ``step``, give or take this part of it."""
    planned_c_per_h = step.rate_c_per_h
    if planned_c_per_h is None:
        return False
    return abs(falls_c_per_h / planned_c_per_h - 1.0) <= give
