"""The true course of one simulated firing, free of noise, on a grid of 20 s.

Knows the temperature of every probe's junction and what the kiln's operator is at. The watch
never sees any of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum

from simulator.controller import Phase
from simulator.firing import SimulatedFiring
from simulator.scenario_model import Scenario
from simulator.source import SimulatedSource
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H

GRID_S = 20.0
"""The simulator's own longest block: within it temperatures run straight."""
MINUTE_S = 60.0
NATURAL_C_PER_H = NATURAL_LEAST_C_PER_H
"""A climb with no rate of its own is one while it makes at least this."""


class Aim(StrEnum):
    """What the operator is at."""

    WAITING = "waiting"
    CLIMBING = "climbing"
    HOLDING = "holding"
    COOLING = "cooling"
    FINISHED = "finished"


HEATS = frozenset({Aim.CLIMBING, Aim.HOLDING})


class Course:
    """What really happened, point by point: ``at(elapsed_s)`` is the place on the grid.

    ``temps_c`` holds each point's junctions in the order of the scenario's channels; the first
    is the probe that leads. ``steps`` is the operator's place in the plan.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.temps_c: list[tuple[float, ...]] = []
        self.aims: list[Aim] = []
        self.steps: list[int] = []
        self.onset_s: float | None = None
        self._begins_s = scenario.start_delay_s + scenario.operation.candle_s

    def add(self, firing: SimulatedFiring) -> None:
        """Take in the next point of the grid, at which ``firing`` now is."""
        self.temps_c.append(tuple(firing.probe_c.values()))
        self.steps.append(firing.step_index)
        waits = firing.elapsed_s < self._begins_s
        phase, index = firing.controller_phase, firing.step_index
        self.aims.append(Aim.WAITING if waits else aim_of(self.scenario.schedule, phase, index))
        self.onset_s = firing.onset_s

    def __len__(self) -> int:
        return len(self.temps_c)

    def at(self, elapsed_s: float) -> int:
        """The last point of the grid that is not after ``elapsed_s``."""
        return max(0, min(int(elapsed_s // GRID_S), len(self.temps_c) - 1))

    def lead_c(self, point: int) -> float:
        """Temperature of the first probe's junction in °C."""
        return self.temps_c[point][0]

    def shown_c(self, point: int, channel: int) -> float:
        """What the channel would show without noise: its junction and all that is wrong with it
        for good."""
        junction_c = self.temps_c[point][channel]
        spec = self.scenario.sensors[channel]
        return (
            junction_c * (1.0 + spec.gain_error)
            + (spec.offset_c or 0.0)
            + spec.cold_junction_c
            + spec.drift_c_per_h * point * GRID_S / 3600.0
        )

    def planned_c_per_h(self, point: int) -> float | None:
        """The pace at which the plan climbs at that point; None where it does not."""
        if self.aims[point] is not Aim.CLIMBING:
            return None
        return self.scenario.schedule.steps[self.steps[point]].rate_c_per_h or NATURAL_C_PER_H

    def top_c(self, point: int) -> float:
        """The top of the step that the operator is in."""
        return self.scenario.schedule.steps[self.steps[point]].to_c

    def moved_c(self, point: int, for_s: float) -> float:
        """How far the leading junction moves in the time after the point (before, if negative)."""
        other = max(0, min(point + round(for_s / GRID_S), len(self) - 1))
        moved_c = self.lead_c(other) - self.lead_c(point)
        return moved_c if for_s > 0.0 else -moved_c


def aim_of(schedule: Schedule, phase: Phase, index: int) -> Aim:
    """What an operator in that phase of that step is at."""
    if phase is Phase.FINISHED:
        return Aim.FINISHED
    if phase is Phase.HOLDING:
        return Aim.HOLDING
    before_c = schedule.steps[index - 1].to_c if index else 0.0
    return Aim.CLIMBING if schedule.steps[index].to_c > before_c else Aim.COOLING


ENOUGH_S = 10 * 3600.0
"""So long after a fault has begun nothing new is to be learned of it."""


class LiveCourse:
    """A firing that is lived through once, for readings and truth together.

    It ends with the firing, or ten hours after its fault has begun. ``readings`` gives the
    readings in order and fills ``course``, which is always one point of the grid behind the
    reading or level with it.
    """

    def __init__(self, scenario: Scenario) -> None:
        self._firing = SimulatedFiring(scenario)
        self._interval_s = scenario.interval_s
        self.course = Course(scenario)

    def readings(self) -> Iterator[Reading]:
        firing, course, interval_s = self._firing, self.course, self._interval_s
        source = SimulatedSource(firing, interval_s)
        next_s = 0.0
        count = 0
        while True:
            elapsed_s = round(count * interval_s, 6)
            while next_s <= elapsed_s:
                firing.advance_to(next_s)
                course.add(firing)
                next_s += GRID_S
            yield source.read(elapsed_s)
            onset_s = course.onset_s
            if firing.finished or (onset_s is not None and elapsed_s > onset_s + ENOUGH_S):
                return
            count += 1


def true_course(scenario: Scenario) -> Course:
    """The course of a firing that nobody watches."""
    firing = SimulatedFiring(scenario)
    course = Course(scenario)
    elapsed_s = 0.0
    while not firing.finished:
        firing.advance_to(elapsed_s)
        course.add(firing)
        elapsed_s += GRID_S
    return course
