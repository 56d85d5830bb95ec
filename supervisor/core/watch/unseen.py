"""What a kiln may have come to in its plan while nobody looked: through with its heat, or not.

Knows the plan, where in it the kiln was last seen, and how it moves now. A power cut that takes
spyhole may take the kiln's heat too; where the time was long enough for the rest of the heating,
nobody can tell afterwards which it was. The figures are common practice, no source.
"""

from __future__ import annotations

import math

from supervisor.core.schedule import PlannedStep, Timeline
from supervisor.core.schedule.timeline import NATURAL_CLIMB_C_PER_H
from supervisor.core.watch.step_end import (
    MOST_APART_C,
    UNHEATED_PER_H,
    least_pace_c_per_h,
)

BLIND_S = 300.0
"""After so long without a reading, what the plan wanted of the kiln meanwhile may be done."""
_PACES, _PACE_PART = 4.0, 0.1
"""A log that is kept more seldom than that has no gap in each of its steps: only one of so many of
them is. The pace is a running mean over ten or so."""
_SLACK_PART, _LEAST_SLACK_S = 0.1, 180.0
"""A kiln may be so much ahead of what is left of its plan, by our count."""
_FASTEST_PER_H = 0.55
"""No kiln that is shut loses so much of its excess over the shed in an hour."""
_RAKU_C_PER_H = 350.0
"""Whose plan climbs so fast is lifted off its ware, or opened, when it is through (common practice,
no source): it may be as cold as it likes."""
_LEAST_FALL_C_PER_H = 4.0
_FALLS_S, _LOOKS_FOR_S = 180.0, 600.0
"""A kiln that falls for so long is cooling; one that has not done so within the other is not."""
_COLDER_C = 2.0 * MOST_APART_C
"""So far below where it was last seen, a kiln that does not climb has been without heat."""


class Unseen:
    """Looks at a kiln that was heating when it was last seen, at ``seen_s``, for ``dark_s``.

    ``held_s`` is how much of the step's hold it has had, None while it climbed; ``rate_c_per_h``
    is how it climbed then. ``turn`` is the step, by its place, with which its heating may have
    ended meanwhile, None where none can have, ``since_turn_s`` how long ago that would be;
    ``is_over`` says that it has, by all that can be seen, ``is_settled`` that this is decided
    either way.
    """

    __slots__ = (
        "_cools_since_s",
        "_ends",
        "_is_raku",
        "_last_c",
        "_seen_s",
        "_since_s",
        "_step",
        "dark_s",
        "is_over",
        "is_settled",
        "since_turn_s",
        "turn",
    )

    def __init__(
        self,
        steps: tuple[PlannedStep, ...],
        step: PlannedStep,
        *,
        seen_s: float,
        dark_s: float,
        temp_c: float,
        rate_c_per_h: float,
        held_s: float | None,
    ) -> None:
        self._step = step
        self._is_raku = max(planned.rate_c_per_h or 0.0 for planned in steps) >= _RAKU_C_PER_H
        self._seen_s = seen_s
        self._since_s = seen_s + dark_s
        self._last_c = temp_c
        self.dark_s = dark_s
        left_s = step.hold_s - (held_s or 0.0)
        if held_s is None:
            pace = max(step.rate_c_per_h or NATURAL_CLIMB_C_PER_H, rate_c_per_h)
            left_s += max(step.to_c - temp_c, 0.0) / pace * 3600.0
        self._ends = _ends(steps, step, max(left_s, 0.0))
        self.turn: int | None = None
        self.since_turn_s = 0.0
        self.is_over = self.is_settled = False
        self._cools_since_s: float | None = None

    def is_dark_again(self, elapsed_s: float, dark_s: float) -> None:
        """Another gap, before it was decided what the first one hid."""
        self.dark_s += dark_s
        self._since_s = elapsed_s
        self._cools_since_s = None

    def look(self, elapsed_s: float, temp_c: float, rate_c_per_h: float, shed_c: float) -> None:
        """Take in the kiln as it is seen again."""
        self.turn = None
        for place, left_s, to_c in self._ends:
            slack_s = max(_SLACK_PART * left_s, _LEAST_SLACK_S)
            cools_s = elapsed_s - self._seen_s - left_s + slack_s
            if self.dark_s + slack_s < left_s:
                break
            least_c = (to_c - MOST_APART_C - shed_c) * math.exp(-_FASTEST_PER_H * cools_s / 3600.0)
            if self._is_raku:
                least_c = 0.0
            if temp_c - shed_c >= least_c and temp_c < to_c + MOST_APART_C:
                self.turn = place
                self.since_turn_s = elapsed_s - self._seen_s - left_s
        is_colder = temp_c < self._last_c - _COLDER_C
        falls = rate_c_per_h < -max(UNHEATED_PER_H * (temp_c - shed_c), _LEAST_FALL_C_PER_H)
        if not falls and not (is_colder and rate_c_per_h < least_pace_c_per_h(self._step)):
            self._cools_since_s = None
        elif self._cools_since_s is None:
            self._cools_since_s = elapsed_s
        cools_since_s = self._cools_since_s
        if cools_since_s is not None and elapsed_s - cools_since_s >= _FALLS_S:
            self.is_settled = True
            self.is_over = self.turn is not None
        elif elapsed_s - self._since_s >= _LOOKS_FOR_S and cools_since_s is None:
            self.is_settled = True


class Dark:
    """Watches for gaps while the kiln is heated, and settles what may have been unseen in one.

    ``over`` is what was unseen where the heating has ended in it by all that can be told, at
    this look; ``may_have_ended`` says that it may have, until that is decided.
    """

    __slots__ = ("_last", "_pace_s", "_unseen", "over")

    def __init__(self) -> None:
        self._last: tuple[float, float, float] | None = None
        self._pace_s: float | None = None
        self._unseen: Unseen | None = None
        self.over: Unseen | None = None

    @property
    def may_have_ended(self) -> bool:
        return self._unseen is not None and self._unseen.turn is not None

    def look(
        self,
        timeline: Timeline,
        step: PlannedStep | None,
        held_s: float | None,
        elapsed_s: float,
        temp_c: float,
        rate_c_per_h: float,
    ) -> None:
        """Take in the kiln in ``step``, held for ``held_s`` (None: not yet); no step: no heat."""
        last, self._last = self._last, (elapsed_s, temp_c, rate_c_per_h)
        self.over = None
        is_gap = last is not None and self._is_gap(elapsed_s - last[0])
        if step is None or last is None:
            self._unseen = None
            return
        seen_s, seen_c, seen_c_per_h = last
        if is_gap and self._unseen is not None:
            self._unseen.is_dark_again(elapsed_s, elapsed_s - seen_s)
        elif is_gap:
            self._unseen = Unseen(
                timeline.steps,
                step,
                seen_s=seen_s,
                dark_s=elapsed_s - seen_s,
                temp_c=seen_c,
                rate_c_per_h=seen_c_per_h,
                held_s=held_s,
            )
        unseen = self._unseen
        if unseen is None:
            return
        unseen.look(elapsed_s, temp_c, rate_c_per_h, timeline.shed_c)
        if unseen.is_settled:
            self._unseen = None
            self.over = unseen if unseen.is_over else None

    def _is_gap(self, since_s: float) -> bool:
        """Take in how long ago the last look was; whether that was a gap in the log."""
        pace_s = self._pace_s
        if since_s > BLIND_S and pace_s is not None and since_s > _PACES * pace_s:
            return True
        self._pace_s = since_s if pace_s is None else pace_s + _PACE_PART * (since_s - pace_s)
        return False


def _ends(
    steps: tuple[PlannedStep, ...], step: PlannedStep, left_s: float
) -> list[tuple[int, float, float]]:
    """The steps after which the kiln is to cool, or be off: place, seconds till then, top in °C."""
    found = []
    for planned in steps[step.index :]:
        if planned.index > step.index:
            left_s += planned.end_s - planned.start_s
        following = planned.index + 1
        is_last = following == len(steps)
        if not planned.cools and (is_last or steps[following].cools):
            found.append((planned.index, left_s, planned.to_c))
    return found
