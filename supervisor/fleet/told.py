"""What the ideal detector is told of a firing, and when it finds the fault.

Knows the two true courses and the rig's noise; hands readings and courses on to ``ideal``, which
takes neither course for better known than to within 3 °C.
"""

from __future__ import annotations

import math

from simulator.scenario_model import Scenario
from simulator.thermocouple import SensorSpec
from supervisor.core.readings import Reading
from supervisor.fleet.course import GRID_S, Course
from supervisor.fleet.ideal import IdealDetector


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
            tuple((one.shown_c(point, n), one.shown_c(point + 1, n)) for n in channels)
            for one in (healthy, course)
        ]
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
