"""Whether a kiln that falls has been let go: for how long it falls, and what it had held before.

Knows the fall and not the plan: whether the step may be over is for others to say.
"""

from __future__ import annotations

from supervisor.core.watch.shed import SHED_C
from supervisor.core.watch.sinking import Sinking
from supervisor.core.watch.step_end import (
    LEFT_C,
    MOST_APART_C,
    NATURAL_LEAST_C_PER_H,
    SHORT_OF_C,
    UNHEATED_PER_H,
)

_LET_GO_S = 180.0
"""A fire that burns down between two stokes falls as fast, but not for so long (common practice, no
source)."""
_LOOK_S, _LOOK_C = 60.0, 60.0
"""A plug that is taken out of its spyhole chills a thermocouple by no more, which begins to come
back within so long (common practice, no source)."""


class LetGo:
    """Feed it at each look of a step that may end in a fall.

    ``held_s`` is for how long the hold of the step had gone on when the fall began.
    """

    __slots__ = ("_falls_since_s", "_sinking", "held_s")

    def __init__(self) -> None:
        self._falls_since_s: float | None = None
        self._sinking = Sinking()
        self.held_s = 0.0

    def forget(self) -> None:
        """Another step begins."""
        self._falls_since_s = None
        self._sinking.forget()

    def stops_falling(self) -> None:
        """Whatever fall there was says nothing."""
        self._falls_since_s = None

    def sinks(self, elapsed_s: float, from_c: float, temp_c: float, rate_c_per_h: float) -> bool:
        """Whether a big kiln has sunk from ``from_c`` for long enough."""
        return self._sinking.look(elapsed_s, from_c - temp_c, rate_c_per_h)

    def falls(
        self,
        elapsed_s: float,
        from_c: float,
        temp_c: float,
        rate_c_per_h: float,
        shed_c: float,
        held_s: float,
        *,
        is_short: bool,
    ) -> bool:
        """Whether it has fallen from ``from_c`` for long enough, or far enough; ``held_s`` is for
        how long the hold has gone on by now, ``is_short`` as in ``falls_away``."""
        if not falls_away(from_c, temp_c, rate_c_per_h, shed_c, is_short=is_short):
            self._falls_since_s = None
            return False
        if self._falls_since_s is None:
            self._falls_since_s = elapsed_s
            self.held_s = held_s
        lasts_s, fallen_c = elapsed_s - self._falls_since_s, from_c - temp_c
        if lasts_s < _LOOK_S:
            return fallen_c > SHORT_OF_C + _LOOK_C
        return lasts_s >= _LET_GO_S or fallen_c > SHORT_OF_C


def falls_away(
    from_c: float,
    temp_c: float,
    rate_c_per_h: float,
    shed_c: float = SHED_C,
    *,
    is_short: bool = False,
) -> bool:
    """Whether the kiln cools away from ``from_c`` as one does that has been let go. One that comes
    back does not, however far below it is.

    Where that ``is_short`` of the top, it might only have been turned down on its way: then it
    must fall like a kiln without any heat.
    """
    if rate_c_per_h > NATURAL_LEAST_C_PER_H:
        return False
    fallen_c = from_c - temp_c
    if is_short:
        unheated_c_per_h = UNHEATED_PER_H * (temp_c - shed_c)
        least_c_per_h = max(unheated_c_per_h, NATURAL_LEAST_C_PER_H)
        return fallen_c > LEFT_C and (rate_c_per_h < -least_c_per_h or fallen_c > MOST_APART_C)
    return fallen_c > LEFT_C and (rate_c_per_h < -NATURAL_LEAST_C_PER_H or fallen_c > SHORT_OF_C)
