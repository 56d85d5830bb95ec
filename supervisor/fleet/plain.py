"""The watcher that anybody would script in an afternoon: fixed limits, looked at once a minute.

It is told when the firing begins and takes the first channel as it comes. Off the plan by more
than so much, climbing at less than a fifth of the plan for so long, falling faster than so much
after the peak, channels too far apart, no value for two minutes: each is an alarm when it holds
at two looks in a row. Every limit is tried in a few sizes at once; ``BEST`` are those that do
best on the firings for tuning, so that the comparison is fair.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import product

from simulator.scenario_model import Scenario
from supervisor.core.events import Kind
from supervisor.core.readings import Reading
from supervisor.core.schedule import Timeline

LOOK_S = 60.0
_SLOW_PART = 0.2
OFF_PLAN_C = (15.0, 25.0, 40.0, 60.0)
SLOW_MIN = (10, 20, 30)
FALL_C_PER_H = (150.0, 250.0, 400.0)
APART_C = (30.0, 50.0, 80.0)
"""The small grid."""
_FALL_MIN = 10
_BLIND_LOOKS = 2
_RAISED_LOOKS = 2

MEANS: dict[str, frozenset[Kind]] = {
    "below": frozenset({Kind.HEAT_LOST, Kind.STALL, Kind.LAGGING}),
    "slow": frozenset({Kind.HEAT_LOST, Kind.STALL, Kind.LAGGING}),
    "above": frozenset({Kind.OVERSHOOT, Kind.HEAT_STUCK_ON}),
    "falls": frozenset({Kind.FAST_COOLING}),
    "apart": frozenset({Kind.UNEVEN}),
    "blind": frozenset({Kind.SENSOR_FAULT, Kind.NO_READINGS}),
}
"""What each of its alarms may be taken for: generously, all that a person would go and see."""


@dataclass(frozen=True, slots=True)
class PlainLimits:
    """One choice from the grid."""

    off_plan_c: float
    slow_min: int
    fall_c_per_h: float
    apart_c: float

    def rules(self) -> frozenset[tuple[str, float]]:
        """The rules that are in force, each with its limit."""
        return frozenset(
            {
                ("below", self.off_plan_c),
                ("above", self.off_plan_c),
                ("slow", float(self.slow_min)),
                ("falls", self.fall_c_per_h),
                ("apart", self.apart_c),
                ("blind", 0.0),
            }
        )


BEST = PlainLimits(60.0, 20, 400.0, 30.0)
"""Best of the grid on the firings for tuning, by ``best_of``."""


@dataclass(frozen=True, slots=True)
class PlainAlarm:
    """An alarm of one rule with one limit."""

    at_s: float
    rule: str
    limit: float


class PlainWatcher:
    """All rules with all limits of the grid at once; ``alarms`` is what each has raised."""

    def __init__(self, scenario: Scenario) -> None:
        operation = scenario.operation
        self._begins_s = scenario.start_delay_s + operation.candle_s
        self._schedule = scenario.schedule
        self._plan: Timeline | None = None
        self._due_s = 0.0
        self._past_c: deque[float | None] = deque(maxlen=max(SLOW_MIN) + 1)
        self._held: dict[tuple[str, float], int] = {}
        self._blind = 0
        self._top_s = 0.0
        self.alarms: list[PlainAlarm] = []

    def feed(self, reading: Reading) -> None:
        """Look, if a minute has gone by."""
        elapsed_s = reading.elapsed_s
        if elapsed_s < self._due_s:
            return
        self._due_s = elapsed_s + LOOK_S
        values = list(reading.temps_c.values())
        self._blind = self._blind + 1 if None in values else 0
        self._holds(elapsed_s, "blind", (0.0,), lambda _: self._blind >= _BLIND_LOOKS)
        seen = [value for value in values if value is not None]
        if len(seen) > 1:
            apart_c = max(seen) - min(seen)
            self._holds(elapsed_s, "apart", APART_C, lambda limit: apart_c > limit)
        value_c = values[0]
        self._past_c.append(value_c)
        if value_c is None:
            return
        plan = self._plan
        if plan is None:
            if elapsed_s < self._begins_s:
                return
            plan = self._plan = Timeline(self._schedule, value_c)
            peak = plan.steps[self._schedule.peak_step]
            self._top_s = peak.end_s
        self._against_plan(elapsed_s, plan, value_c)

    def _against_plan(self, elapsed_s: float, plan: Timeline, value_c: float) -> None:
        since_s = elapsed_s - self._begins_s
        follows = since_s < plan.total_s
        step = plan.step_at(since_s)
        off_c = value_c - plan.at(since_s)
        # After the plan only too hot can be told: nobody said how fast it is to cool.
        self._holds(elapsed_s, "below", OFF_PLAN_C, lambda limit: follows and off_c < -limit)
        self._holds(
            elapsed_s,
            "above",
            OFF_PLAN_C,
            lambda limit: off_c > limit and (follows or self._climbed_c() > 0.0),
        )
        climbs = follows and step.climbs and since_s < step.reach_s
        rate_c_per_h = step.rate_c_per_h or 60.0

        def slow(minutes: float) -> bool:
            moved_c = self._moved_c(int(minutes))
            begun = since_s - step.start_s >= minutes * 60.0
            return (
                climbs
                and begun
                and moved_c is not None
                and moved_c < _SLOW_PART * rate_c_per_h * minutes / 60.0
            )

        self._holds(elapsed_s, "slow", tuple(map(float, SLOW_MIN)), slow)
        fell_c = -(self._moved_c(_FALL_MIN) or 0.0)
        cools = since_s > self._top_s and value_c > 150.0
        self._holds(
            elapsed_s,
            "falls",
            FALL_C_PER_H,
            lambda limit: cools and fell_c > limit * _FALL_MIN / 60.0,
        )

    def _moved_c(self, minutes: int) -> float | None:
        if len(self._past_c) <= minutes:
            return None
        then_c, now_c = self._past_c[-1 - minutes], self._past_c[-1]
        return None if then_c is None or now_c is None else now_c - then_c

    def _climbed_c(self) -> float:
        return self._moved_c(_FALL_MIN) or 0.0

    def _holds(
        self, elapsed_s: float, rule: str, limits: Iterable[float], holds: Callable[[float], bool]
    ) -> None:
        for limit in limits:
            key = (rule, limit)
            if not holds(limit):
                self._held[key] = 0
                continue
            looks = self._held[key] = self._held.get(key, 0) + 1
            if looks == _RAISED_LOOKS:
                self.alarms.append(PlainAlarm(elapsed_s, rule, limit))


def grid() -> list[PlainLimits]:
    """Every choice of limits."""
    return [PlainLimits(*one) for one in product(OFF_PLAN_C, SLOW_MIN, FALL_C_PER_H, APART_C)]
