"""What the ideal detector is told of a firing, and when it finds the fault.

Knows the two true courses and the rig's noise; hands readings and courses on to ``ideal``.
"""

from __future__ import annotations

import math
from random import Random

from simulator.scenario_model import Scenario
from simulator.thermocouple import SensorSpec
from supervisor.core.readings import Reading
from supervisor.fleet.course import GRID_S, Course
from supervisor.fleet.ideal import OFFSET_C, IdealDetector

_SAME_C = 0.01
"""Two courses nearer than this are one."""
_SPIKE_C = 10.0
"""A value farther than this from the one known course is a spike and is passed over."""


def noise_c(sensor: SensorSpec) -> float:
    """Standard deviation of what is random in a channel's readings, in °C.

    A step of rounding coarser than the noise stays as it is from reading to reading, so that
    the readings say less than their number: it is taken whole.
    """
    step_c = sensor.resolution_c or 0.0
    rounding_c = step_c if step_c > 2.0 * sensor.noise_c else step_c / math.sqrt(12.0)
    return math.sqrt(sensor.noise_c**2 + sensor.hum_c**2 / 2.0 + rounding_c**2)


class Informed:
    """The ideal detector at a firing: feed the readings as they come, and say when it is done.

    ``healthy`` is the whole course without the fault, ``course`` the one that happens, which
    grows as the firing goes on. ``found_s`` is when the threshold was reached, else None.
    """

    __slots__ = (
        "_course",
        "_detector",
        "_healthy",
        "_shift_c",
        "_waiting",
        "found_s",
    )

    def __init__(
        self, scenario: Scenario, healthy: Course, course: Course, threshold: float
    ) -> None:
        self._healthy = healthy
        self._course = course
        self._detector = IdealDetector(
            tuple(noise_c(sensor) for sensor in scenario.sensors), threshold
        )
        self._shift_c = Random(f"{scenario.seed} told").uniform(-OFFSET_C, OFFSET_C)  # noqa: S311
        self._waiting: list[Reading] = []
        self.found_s: float | None = None

    def feed(self, reading: Reading) -> None:
        """Take in a reading; it is looked at once the course has gone past it."""
        if self.found_s is not None:
            return
        point = int(reading.elapsed_s // GRID_S)
        waiting = self._waiting
        if waiting and int(waiting[0].elapsed_s // GRID_S) != point:
            self._look(int(waiting[0].elapsed_s // GRID_S))
            waiting.clear()
        waiting.append(reading)

    def _look(self, point: int) -> None:
        healthy, course = self._healthy, self._course
        if point + 1 >= min(len(healthy), len(course)):
            return
        channels = range(len(course.scenario.sensors))
        ends = [
            tuple(
                (one.shown_c(point, n) + self._shift_c, one.shown_c(point + 1, n) + self._shift_c)
                for n in channels
            )
            for one in (healthy, course)
        ]
        if all(
            abs(a - b) < _SAME_C and abs(c - d) < _SAME_C
            for (a, c), (b, d) in zip(*ends, strict=True)
        ):
            self._learn(point, ends[0])
            return
        for reading in self._waiting:
            part = reading.elapsed_s / GRID_S - point
            offs_c = []
            for n, value_c in enumerate(reading.temps_c.values()):
                if value_c is None:
                    continue
                (a, c), (b, d) = ends[0][n], ends[1][n]
                offs_c.append((n, value_c - a - part * (c - a), value_c - b - part * (d - b)))
            if self._detector.add(tuple(offs_c)):
                self.found_s = reading.elapsed_s
                return

    def _learn(self, point: int, ends: tuple[tuple[float, float], ...]) -> None:
        for n, (begin_c, end_c) in enumerate(ends):
            total_c, count = 0.0, 0
            for reading in self._waiting:
                value_c = list(reading.temps_c.values())[n]
                if value_c is None:
                    continue
                part = reading.elapsed_s / GRID_S - point
                off_c = value_c - begin_c - part * (end_c - begin_c)
                if abs(off_c) < _SPIKE_C:
                    total_c += off_c
                    count += 1
            if count:
                self._detector.learn(n, total_c / count, count)
