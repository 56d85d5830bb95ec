"""Where in its plan a kiln is, and how late. Knows the place, not the way there."""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep, Timeline
from supervisor.core.watch.moves import Activity


class Place:
    """One kiln's place in ``timeline``: the planned step (``None`` while waiting), and what the
    kiln does there."""

    __slots__ = ("_begun_s", "_peak_step", "activity", "climb_due_s", "held_s", "step", "timeline")

    def __init__(self, timeline: Timeline, peak_step: int) -> None:
        """``peak_step`` is the place of the step that ends hottest."""
        self.timeline = timeline
        self._peak_step = peak_step
        self.activity = Activity.WAITING
        self.step: PlannedStep | None = None
        self.held_s = 0.0
        self.climb_due_s: float | None = None
        """Since when the plan wants the kiln to climb, None when it does not."""
        self._begun_s: float | None = None

    @property
    def begun_s(self) -> float | None:
        """When, on the log's clock, the plan's clock stood at 0. None while waiting."""
        return self._begun_s

    @property
    def is_past_peak(self) -> bool:
        """Whether all that is left of the plan is cooling."""
        if self.activity is Activity.FINISHED:
            return True
        return self.step is not None and self.step.index > self._peak_step

    @property
    def climbs(self) -> bool:
        """Whether the plan wants the kiln to climb now."""
        return self.climb_due_s is not None

    def position_s(self, temp_c: float) -> float | None:
        """Where on the plan's own clock the kiln is; None while waiting."""
        if self.step is None:
            return None
        if self.activity is Activity.FINISHED:
            return self.timeline.total_s
        if self.activity is Activity.HOLDING:
            return self.step.reach_s + min(self.held_s, self.step.hold_s)
        return self.step.time_at(temp_c, self.timeline.shed_c)

    def late_s(self, elapsed_s: float, temp_c: float) -> float | None:
        """How late the kiln is against the plan in seconds (negative: early); None if unknown."""
        position_s = self.position_s(temp_c)
        if position_s is None or self._begun_s is None or self.activity is Activity.FINISHED:
            return None
        return elapsed_s - self._begun_s - position_s
