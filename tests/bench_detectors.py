"""The watch beside one put together from libraries: ``python -m tests.bench_detectors``.

Prints figures of this machine; nothing is asserted. The other one is a Kalman filter of
temperature and rate (filterpy) whose shortfall against the plan goes into drift detectors
(river: Page-Hinkley and ADWIN), one for each. It is helped: it is told when the plan began, and
its thresholds are the lowest of a grid that stay silent in the same firing without the fault.
It has no sensor faults, no heat-work and no place in the plan, which the watch has within its
time. Needs ``pip install .[bench]``; says so where that is missing.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from importlib import import_module
from typing import Any

from simulator.faults import FaultKind
from simulator.run import simulate
from simulator.scenario import load_scenario
from simulator.scenario_model import Scenario
from simulator.truth import healthy, onset_s
from supervisor.core.events import Kind, State
from supervisor.core.readings import Reading
from supervisor.core.schedule import Timeline
from supervisor.core.watch import Watch

SCENARIOS = (
    ("stall", "stall", frozenset({Kind.STALL})),
    ("power cut", "power-cut", frozenset({Kind.HEAT_LOST})),
)
ACCELERATION = (20.0 / 3600.0) ** 2 / 300.0
"""As in ``supervisor.core.watch.filter``, so that both follow the kiln alike."""
NOISE_C2 = 0.4**2
SHORT_PART = 0.5
PAGE_HINKLEY = (5e2, 1e3, 2e3, 5e3, 1e4, 2e4, 5e4, 1e5, 2e5, 5e5)
ADWIN = (0.05, 0.01, 1e-3, 1e-5, 1e-7, 1e-10, 1e-15, 1e-20, 1e-30)
ROUNDS = 3


class Libraries:
    """filterpy's filter and one of river's detectors on one channel."""

    def __init__(self, plan: Timeline, begins_s: float, detector: Any) -> None:
        numpy = import_module("numpy")
        kalman = import_module("filterpy.kalman")
        self._filter = kalman.KalmanFilter(dim_x=2, dim_z=1)
        self._filter.H = numpy.array([[1.0, 0.0]])
        self._filter.R *= NOISE_C2
        self._array = numpy.array
        self._plan = plan
        self._begins_s = begins_s
        self._detector = detector
        self._last_s: float | None = None

    def feed(self, reading: Reading) -> bool:
        """Whether the detector sees the kiln fall short of its plan at this reading."""
        temp_c = next(iter(reading.temps_c.values()))
        if temp_c is None:
            return False
        last_s, self._last_s = self._last_s, reading.elapsed_s
        kalman = self._filter
        if last_s is None:
            kalman.x = self._array([[temp_c], [0.0]])
            return False
        dt = reading.elapsed_s - last_s
        kalman.F = self._array([[1.0, dt], [0.0, 1.0]])
        kalman.Q = ACCELERATION * self._array([[dt**3 / 3.0, dt**2 / 2.0], [dt**2 / 2.0, dt]])
        kalman.predict()
        kalman.update(temp_c)
        since_s = reading.elapsed_s - self._begins_s
        if not 0.0 < since_s < self._plan.total_s:
            return False
        step = self._plan.step_at(since_s)
        holds = since_s >= step.reach_s
        planned_c_per_h = 0.0 if holds or step.rate_c_per_h is None else step.rate_c_per_h
        if step.cools:
            return False
        short_c_per_h = SHORT_PART * planned_c_per_h - float(kalman.x[1, 0]) * 3600.0
        self._detector.update(short_c_per_h)
        return bool(self._detector.drift_detected) and short_c_per_h > 0.0


def first_s(readings: Iterable[Reading], feed: Callable[[Reading], bool], after_s: float) -> float:
    """When ``feed`` is first true from ``after_s`` on; endless if never."""
    found_s = float("inf")
    for reading in readings:
        if feed(reading) and reading.elapsed_s >= after_s:
            found_s = min(found_s, reading.elapsed_s)
    return found_s


def by_watch(scenario: Scenario, kinds: frozenset[Kind]) -> Callable[[Reading], bool]:
    watch = Watch(scenario.schedule, scenario.channels)
    return lambda reading: any(
        event.kind in kinds and event.state is State.RAISED for event in watch.feed(reading)
    )


def detectors() -> dict[str, list[Callable[[], Any]]]:
    """Each of river's detectors in the sizes of its grid, the liveliest first."""
    drift = import_module("river.drift")
    return {
        "Page-Hinkley": [
            partial(drift.PageHinkley, mode="up", threshold=size, delta=1.0)
            for size in PAGE_HINKLEY
        ],
        "ADWIN": [partial(drift.ADWIN, delta=delta) for delta in ADWIN],
    }


def compare(name: str, scenario: Scenario, kinds: frozenset[Kind]) -> None:
    readings = list(simulate(scenario, 1.0))
    twin = list(simulate(healthy(scenario), 1.0))
    began_s = onset_s(scenario)
    assert began_s is not None
    plan = Timeline(scenario.schedule, scenario.ambient_c)
    print(f"{name}: {len(readings):,} readings a second apart, 1 channel, onset {began_s:,.0f} s")

    best_s = {}
    found_s = first_s(readings, by_watch(scenario, kinds), began_s)
    best_s["watch"] = min(timed(readings, by_watch(scenario, kinds)) for _ in range(ROUNDS))
    show("the whole watch", best_s["watch"], len(readings), found_s - began_s)
    for what, sizes in detectors().items():
        for make in sizes:
            other = Libraries(plan, scenario.start_delay_s, make())
            if first_s(twin, other.feed, 0.0) == float("inf"):
                break
        else:
            print(f"  filterpy and {what}: no size of the grid is silent in the healthy firing")
            continue
        other = Libraries(plan, scenario.start_delay_s, make())
        found_s = first_s(readings, other.feed, began_s)
        took_s = min(
            timed(readings, Libraries(plan, scenario.start_delay_s, make()).feed)
            for _ in range(ROUNDS)
        )
        show(f"filterpy and {what}", took_s, len(readings), found_s - began_s)
        print(f"    the watch is {took_s / best_s['watch']:.1f} times as fast")


def timed(readings: list[Reading], feed: Callable[[Reading], bool]) -> float:
    begun_s = time.process_time()
    for reading in readings:
        feed(reading)
    return time.process_time() - begun_s


def show(what: str, took_s: float, count: int, delay_s: float) -> None:
    late = "never" if delay_s == float("inf") else f"{delay_s / 60.0:6.1f} min"
    print(f"  {what:<28} {took_s / count * 1e6:7.1f} µs a reading   found after {late}")


def one_channel(scenario: Scenario) -> Scenario:
    return replace(scenario, sensors=scenario.sensors[:1])


def main() -> int:
    try:
        import_module("filterpy.kalman")
        import_module("river.drift")
    except ImportError as error:
        print(f"{error.name} is not installed: pip install '.[bench]'", file=sys.stderr)
        return 1
    for name, scenario_name, kinds in SCENARIOS:
        scenario = one_channel(load_scenario(scenario_name))
        assert scenario.faults[0].kind in (FaultKind.STALL, FaultKind.POWER_CUT)
        compare(name, scenario, kinds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
