"""The estimate of the watch put together from libraries, for ``tests.bench_detectors``.

For each channel a Kalman filter of temperature and rate (filterpy) whose noise is learned as the
watch learns it; and for each condition that the watch tests a signal, which is above 0 where
things are bad, and a drift detector (river) that looks at it. The first channel leads. It has no
sensor faults, no heat-work and no place in the plan: it is told when the plan began and goes by
the clock. Whatever can be helped is helped: what the detectors are shown is what the fault moves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from importlib import import_module
from typing import Any, TypeAlias

from supervisor.core.phases.bands import bands_of
from supervisor.core.readings import Reading
from supervisor.core.schedule import PlannedStep, Schedule, Timeline
from supervisor.core.schedule.timeline import NATURAL_COOLING_S
from supervisor.core.watch.filter import (
    FIRST_NOISE_C,
    RATE_WANDER_C_PER_H,
    RATE_WANDER_S,
    NoiseEstimate,
)

_ACCELERATION = (RATE_WANDER_C_PER_H / 3600.0) ** 2 / RATE_WANDER_S
"""As in the watch, so that both follow the kiln alike."""
_SHORT_PART = 0.5
_OVERSHOOT_C, _SHED_C, _FASTER, _LATE_MIN = 10.0, 20.0, 1.5, 30.0

Make: TypeAlias = Callable[[], Any]
"""Makes one of river's detectors."""
Shown: TypeAlias = dict[str, list[tuple[float, float]]]
"""(elapsed seconds, value) by condition."""


class Channel:
    """filterpy's filter on one channel, with the noise learned."""

    def __init__(self) -> None:
        self._array = import_module("numpy").array
        self._filter = import_module("filterpy.kalman").KalmanFilter(dim_x=2, dim_z=1)
        self._filter.H = self._array([[1.0, 0.0]])
        self._filter.R[0, 0] = FIRST_NOISE_C**2
        self._noise = NoiseEstimate()
        self._last_s: float | None = None
        self.temp_c = self.rate_c_per_h = 0.0

    def feed(self, elapsed_s: float, value_c: float) -> None:
        """Take in a value at ``elapsed_s``."""
        kalman, last_s = self._filter, self._last_s
        self._last_s = elapsed_s
        if last_s is None:
            self.temp_c = value_c
            kalman.x = self._array([[value_c], [0.0]])
            return
        dt = elapsed_s - last_s
        kalman.F = self._array([[1.0, dt], [0.0, 1.0]])
        kalman.Q = _ACCELERATION * self._array([[dt**3 / 3.0, dt**2 / 2.0], [dt**2 / 2.0, dt]])
        kalman.predict()
        kalman.R[0, 0] = self._noise.learn(elapsed_s, value_c)
        kalman.update(value_c)
        self.temp_c = float(kalman.x[0, 0])
        self.rate_c_per_h = float(kalman.x[1, 0]) * 3600.0


class Signals:
    """What the detectors are shown at one reading, by condition; None where it does not apply.

    Rates are in °C/h, temperatures in °C, late is in minutes.
    """

    def __init__(self, schedule: Schedule, plan: Timeline, begins_s: float, channels: int) -> None:
        self._plan, self._begins_s = plan, begins_s
        self._peak_c = max(step.to_c for step in plan.steps)
        self._bands = [
            (
                band.cooling,
                min(band.from_c, band.to_c),
                max(band.from_c, band.to_c),
                band.fastest_c_per_h,
            )
            for band in bands_of(schedule)
            if band.fastest_c_per_h is not None
        ]
        self._channels = tuple(Channel() for _ in range(channels))
        self.of: dict[str, Callable[[float, PlannedStep, bool], float | None]] = {
            "stall": self._stall,
            "heat lost": self._heat_lost,
            "stuck on": self._stuck_on,
            "overshoot": self._overshoot,
            "too fast": self._too_fast,
            "opened hot": self._opened_hot,
            "late": self._late,
        }
        if channels > 1:
            self.of["uneven"] = self._uneven

    def feed(self, reading: Reading) -> tuple[float, PlannedStep, bool] | None:
        """Take in the reading; where in the plan it is and whether the plan cools there."""
        for channel, value_c in zip(self._channels, reading.temps_c.values(), strict=True):
            if value_c is not None:
                channel.feed(reading.elapsed_s, value_c)
        since_s = reading.elapsed_s - self._begins_s
        if since_s <= 0.0:
            return None
        if since_s >= self._plan.total_s:
            return since_s, self._plan.steps[-1], True
        step = self._plan.step_at(since_s)
        return since_s, step, step.cools

    def _stall(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        if cools:
            return None
        planned_c_per_h = 0.0 if since_s >= step.reach_s else step.rate_c_per_h or 0.0
        return _SHORT_PART * planned_c_per_h - self._channels[0].rate_c_per_h

    def _heat_lost(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        return None if cools else -self._channels[0].rate_c_per_h

    def _stuck_on(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        return self._channels[0].rate_c_per_h if cools or since_s >= step.reach_s else None

    def _overshoot(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        top_c = self._peak_c if cools else step.to_c
        return self._channels[0].temp_c - top_c - _OVERSHOOT_C

    def _too_fast(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        temp_c, rate_c_per_h = self._channels[0].temp_c, self._channels[0].rate_c_per_h
        for cooling, low_c, high_c, fastest_c_per_h in self._bands:
            if cooling is cools and low_c < temp_c < high_c:
                return (-rate_c_per_h if cools else rate_c_per_h) - fastest_c_per_h
        return None

    def _opened_hot(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        if not cools:
            return None
        natural_c_per_h = (self._channels[0].temp_c - _SHED_C) / NATURAL_COOLING_S * 3600.0
        return -self._channels[0].rate_c_per_h - _FASTER * natural_c_per_h

    def _late(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        if cools:
            return None
        position_s = step.time_at(self._channels[0].temp_c, self._plan.shed_c)
        return (since_s - position_s) / 60.0 - _LATE_MIN

    def _uneven(self, since_s: float, step: PlannedStep, cools: bool) -> float | None:
        temps_c = [channel.temp_c for channel in self._channels]
        return None if cools else max(temps_c) - min(temps_c)


class Libraries:
    """The signals and a detector on each of those that are named."""

    def __init__(self, signals: Signals, detectors: dict[str, Make]) -> None:
        self._signals = signals
        self._tests = tuple((name, signals.of[name], make()) for name, make in detectors.items())

    def feed(self, reading: Reading) -> list[str]:
        """The conditions that are found bad at this reading."""
        where = self._signals.feed(reading)
        if where is None:
            return []
        found = []
        for name, signal, detector in self._tests:
            value = signal(*where)
            if value is not None:
                detector.update(value)
                if detector.drift_detected and value > 0.0:
                    found.append(name)
        return found


def shown(signals: Signals, readings: Iterable[Reading]) -> Shown:
    """What each detector would be shown of a log."""
    series: Shown = {name: [] for name in signals.of}
    for reading in readings:
        where = signals.feed(reading)
        if where is not None:
            for name, signal in signals.of.items():
                value = signal(*where)
                if value is not None:
                    series[name].append((reading.elapsed_s, value))
    return series


def found_s(make: Make, series: Sequence[tuple[float, float]], after_s: float = 0.0) -> float:
    """When the detector first finds the signal bad from ``after_s`` on; endless if never."""
    detector = make()
    for elapsed_s, value in series:
        detector.update(value)
        if detector.drift_detected and value > 0.0 and elapsed_s >= after_s:
            return elapsed_s
    return float("inf")
