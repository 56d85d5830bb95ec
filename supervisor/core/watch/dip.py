"""Whether what was taken for the end of a plan was but a dip on the way there. Knows one end."""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.step_end import LEFT_C, MOST_APART_C, least_pace_c_per_h

_CLIMBS_S = 60.0
"""The flame of a fire that was just let go flickers up as well, but not for so long (common
practice, no source)."""
_UNSEEN_PART = 0.5
"""After an end that nobody saw, a kiln that has kept this part of its temperature may be lit again
to go on; one that is colder begins another firing (common practice, no source)."""


class Dip:
    """Looks at a kiln that cools after ``step``, of which it had ``high_c`` for its highest.

    ``is_unseen`` says that nobody saw the end, and ``step`` is where the kiln was last seen.
    """

    __slots__ = ("_climbs_s", "_climbs_since_s", "_deepest_c", "_lowest_c", "step")

    def __init__(
        self, step: PlannedStep, high_c: float, temp_c: float, *, is_unseen: bool = False
    ) -> None:
        self.step = step
        self._deepest_c = _UNSEEN_PART * high_c if is_unseen else high_c - 2.0 * MOST_APART_C
        self._lowest_c = temp_c
        self._climbs_s = 0.0 if is_unseen else _CLIMBS_S
        self._climbs_since_s: float | None = None

    def is_over(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> bool:
        """Take in the kiln; whether it climbs again, to go on with the step."""
        if temp_c < self._lowest_c:
            self._lowest_c = temp_c
        climbs = rate_c_per_h > least_pace_c_per_h(self.step)
        has_risen = self._lowest_c > self._deepest_c and temp_c > self._lowest_c + LEFT_C
        if not (climbs and has_risen):
            self._climbs_since_s = None
            return False
        if self._climbs_since_s is None:
            self._climbs_since_s = elapsed_s
        return elapsed_s - self._climbs_since_s >= self._climbs_s
