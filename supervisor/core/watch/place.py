"""Where in its plan a kiln is, and how late. Knows the place, not the way there."""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep, Timeline
from supervisor.core.watch.beginning import Candle
from supervisor.core.watch.drying import Drying
from supervisor.core.watch.moves import CLIMBING, FINISHED, HOLDING, WAITING

_AHEAD_C = 2.0


class Place:
    """One kiln's place in ``timeline``: the planned step (``None`` while waiting), and what the
    kiln does there."""

    __slots__ = (
        "_begun_s",
        "_candle",
        "_drying",
        "_entered_c",
        "_entered_s",
        "_peak_step",
        "activity",
        "climb_due_s",
        "held_s",
        "hotter_c",
        "is_kept",
        "is_led",
        "passed_by_s",
        "step",
        "timeline",
    )

    def __init__(self, timeline: Timeline, peak_step: int) -> None:
        """``peak_step`` is the place of the step that ends hottest."""
        self.timeline = timeline
        self._peak_step = peak_step
        self.activity = WAITING
        self.step: PlannedStep | None = None
        self.held_s = 0.0
        self.climb_due_s: float | None = None
        """Since when the plan wants the kiln to climb, None when it does not."""
        self.passed_by_s = 0.0
        """How long the hold before this step is by the plan, where the kiln has gone far past it
        too soon: some other zone of it may hold there yet. Else 0."""
        self.is_kept = False
        """Whether a controller has kept the kiln to its climb, for the watch to say."""
        self.is_led = False
        """Whether it has so closely that no hand can have done it."""
        self.hotter_c = 0.0
        """How much hotter than the leading zone the middle of all zones is, for the watch to
        say."""
        self._begun_s: float | None = None
        self._entered_s = self._entered_c = 0.0
        """When and where the present step began."""
        self._candle = Candle()
        self._drying = Drying()

    @property
    def begun_s(self) -> float | None:
        """When, on the log's clock, the plan's clock stood at 0. None while waiting."""
        return self._begun_s

    @property
    def is_candling(self) -> bool:
        """Whether the kiln, warm already, still waits for the climb of its first step."""
        return self._candle.is_candling

    @property
    def is_drying(self) -> bool:
        """Whether the ware may be drying for longer than planned, and the climb waits for it."""
        return self._drying.goes_on and self.activity is CLIMBING

    @property
    def is_beginning(self) -> bool:
        """Whether the kiln is in the first warmth of its first step: it may be candled yet."""
        return not self._candle.is_over and self.activity is CLIMBING

    @property
    def is_past_peak(self) -> bool:
        """Whether all that is left of the plan is cooling."""
        if self.activity is FINISHED:
            return True
        return self.step is not None and self.step.index > self._peak_step

    @property
    def climbs(self) -> bool:
        """Whether the plan wants the kiln to climb now."""
        return self.climb_due_s is not None

    @property
    def is_last_step(self) -> bool:
        """Whether nothing of the plan comes after the present step."""
        return self.step is not None and self.step.index + 1 == len(self.timeline.steps)

    def is_ahead(self, elapsed_s: float, temp_c: float) -> bool:
        """Whether the climb has so far gone faster than its step wants: then whoever fires may
        let the kiln wait for the plan."""
        step = self.step
        if step is None or step.rate_c_per_h is None or not step.climbs:
            return False
        wanted_c = step.rate_c_per_h * (elapsed_s - self._entered_s) / 3600.0
        return temp_c - self._entered_c > wanted_c + _AHEAD_C

    def position_s(self, temp_c: float) -> float | None:
        """Where on the plan's own clock the kiln is; None while waiting."""
        if self.step is None:
            return None
        if self.activity is FINISHED:
            return self.timeline.total_s
        if self.activity is HOLDING:
            return self.step.reach_s + min(self.held_s, self.step.hold_s)
        return self.step.time_at(temp_c, self.timeline.shed_c)

    def late_s(self, elapsed_s: float, temp_c: float) -> float | None:
        """How late the kiln is against the plan in seconds (negative: early); None if unknown."""
        position_s = self.position_s(temp_c)
        if position_s is None or self._begun_s is None or self.activity is FINISHED:
            return None
        return elapsed_s - self._begun_s - position_s
