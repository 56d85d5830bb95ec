"""Whether a kiln that stands may be settling at a corner of its plan to a slower climb.

At a corner to a climb at less than ``SLOWER`` of the pace before, whoever works the kiln turns it
down, and the chamber, ahead of walls and ware by what the faster climb took, may stand until they
have come up to it. Knows the last corner. The figures are common practice, no source; the walls'
lag behind a steady climb is in proportion to its pace.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.at_top import SETTLES_S, SLOWER
from supervisor.core.watch.detectors.by_whom import WORKED
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import FIRES, fired_with

_EVENS_OUT_S = 1800.0
"""So long after the corner walls and ware have come up to the chamber."""
_SHARP, _SHARP_SETTLES_S = 0.5, 720.0
"""To less than this part of the pace a flame is turned down far, and whoever turns it by hand has
to find out how far: it is given longer."""


class Corner:
    """When the plan's climb last became a slower one, and by how much."""

    __slots__ = ("_is_sharp", "_turned_s")

    def __init__(self) -> None:
        self._turned_s: float | None = None
        self._is_sharp = False

    def turn(self, elapsed_s: float, before_c_per_h: float, after_c_per_h: float) -> None:
        """The step that begins climbs at another pace than the one before."""
        slower = after_c_per_h / before_c_per_h
        if slower < SLOWER:
            self._turned_s, self._is_sharp = elapsed_s, slower < _SHARP

    def forget(self) -> None:
        """Another step begins; whether at such a corner is for ``turn`` to see."""
        self._turned_s = None

    def may_settle(self, moment: Moment, lasted_s: float) -> bool:
        """Whether a kiln that has stood for ``lasted_s`` may be settling there."""
        if self._turned_s is None or moment.elapsed_s - self._turned_s >= _EVENS_OUT_S:
            return False
        by_hand = fired_with(moment) in FIRES and moment.habits.looseness > WORKED
        return lasted_s < (_SHARP_SETTLES_S if by_hand and self._is_sharp else SETTLES_S)
