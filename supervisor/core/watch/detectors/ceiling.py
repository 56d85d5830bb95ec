"""How hot a kiln may yet become that should hold, cool or be off.

By what is left of its plan, and by what was told of it. Knows neither why it climbs nor how fast.
"""

from __future__ import annotations

from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import FINISHED

_LET_GO_C = 12.0
"""A kiln that has fallen by so much since it was told has been let go: what it climbs then is new.
Flames flicker, and who fires with gas may hold on, by less (common practice, no source)."""


class Ceiling:
    """What was told of a climb, until the kiln has been let go."""

    __slots__ = ("_told_c",)

    def __init__(self) -> None:
        self._told_c: float | None = None

    def is_told(self, temp_c: float) -> None:
        """It is told that the kiln climbs, and has come to ``temp_c``."""
        if self._told_c is None or temp_c > self._told_c:
            self._told_c = temp_c

    def forget(self) -> None:
        """The kiln climbs by its plan."""
        self._told_c = None

    def was_told(self, temp_c: float) -> bool:
        """Take in the kiln; whether it is no hotter than was told, and not let go since."""
        if self._told_c is not None and temp_c < self._told_c - _LET_GO_C:
            self._told_c = None
        return self._told_c is not None and temp_c <= self._told_c


def left_c(plan: PlanFollower) -> float:
    """The highest temperature that is left of the plan for a kiln that cools, or is through.

    A plan that has come down to a hold asks for no more than that, however hot it was before; one
    that still cools may not have begun to by the kiln's own thermocouple."""
    steps, step = plan.timeline.steps, plan.step
    if step is None or not step.cools:
        return max(planned.to_c for planned in steps)
    highest_c = max(planned.to_c for planned in steps[step.index :])
    return highest_c if plan.activity is FINISHED else max(highest_c, step.from_c)
