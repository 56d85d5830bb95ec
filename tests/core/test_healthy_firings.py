"""Whole simulated firings: silence where all is well, the right word in time where it isn't.

The watch sees readings only. The simulator's own knowledge (when a fault began) is used by the
tests alone.
"""

from __future__ import annotations

from functools import cache

import pytest

from simulator.firing import SimulatedFiring
from simulator.scenario import load_scenario
from simulator.source import SimulatedSource
from supervisor.core.events import Event, Kind
from supervisor.core.phases import bands_of
from supervisor.core.schedule import starter_names
from supervisor.core.watch import Watch
from tests.core.firings import alarms, cleared, once_each, raised

INTERVAL_S = {1: 10.0, 2: 30.0}
"""By the seed: a rig that looks often, and one that takes its time."""
HEALTHY = {
    "healthy-bisque": "bisque",
    "healthy-lowfire": "lowfire-glaze",
    "healthy-midfire": "midfire-glaze",
    "healthy-slow-cool": "midfire-slow-cool",
    "healthy-highfire": "highfire-reduction",
}
SEEDS = tuple(INTERVAL_S)


@cache
def fired(name: str, seed: int) -> tuple[float | None, tuple[Event, ...]]:
    """(onset of the first fault, events) of a scenario."""
    scenario = load_scenario(name).with_seed(seed)
    firing = SimulatedFiring(scenario)
    source = SimulatedSource(firing, INTERVAL_S[seed])
    watch = Watch(scenario.schedule, source.channels)
    onset_s: float | None = None
    events: list[Event] = []
    due_s = source.due_s(None)
    while due_s is not None:
        reading = source.read(due_s)
        if onset_s is None and firing.faults_on:
            onset_s = reading.elapsed_s
        events += watch.feed(reading)
        due_s = source.due_s(due_s)
    once_each(events)
    return onset_s, tuple(events)


def test_there_is_a_healthy_firing_of_every_starter() -> None:
    schedules = {load_scenario(name).schedule.name for name in HEALTHY}
    assert len(schedules) == len(HEALTHY)
    assert sorted(HEALTHY.values()) == sorted(starter_names())


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_raises_no_warning(name: str, seed: int) -> None:
    _, events = fired(name, seed)
    assert alarms(events) == []
    scenario = load_scenario(name)
    steps = [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)]
    assert steps == list(range(1, len(scenario.schedule.steps) + 1))
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1
    assert len(raised(events, Kind.COOL_TO_OPEN)) == 1


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_brings_its_cone_down(name: str, seed: int) -> None:
    _, events = fired(name, seed)
    target = load_scenario(name).schedule.target_cone
    assert target in [e.data["cone"] for e in raised(events, Kind.CONE_DOWN)]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_comes_to_each_phase_of_its_ware_once(name: str, seed: int) -> None:
    _, events = fired(name, seed)
    schedule = load_scenario(name).schedule
    begun = [e.data["band"] for e in raised(events, Kind.PHASE_BEGUN)]
    assert sorted(begun, key=str) == sorted(str(band.name) for band in bands_of(schedule))
    assert raised(events, Kind.FAST_HEATING) == raised(events, Kind.FAST_COOLING) == []


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_calls_no_cone_twice(name: str, seed: int) -> None:
    _, events = fired(name, seed)
    called = [e.data["cone"] for e in raised(events, Kind.CONE_NEAR)]
    assert called
    assert sorted(set(called), key=str) == sorted(called, key=str)
    # None is still awaited when the kiln is cold.
    assert len(cleared(events, Kind.CONE_NEAR)) == len(called)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", ["stall", "tripped-breaker"])
def test_a_stalled_kiln_is_told_within_15_minutes(name: str, seed: int) -> None:
    onset_s, events = fired(name, seed)
    assert onset_s is not None
    first = min(raised(events, Kind.STALL), key=lambda e: e.elapsed_s)
    assert 0.0 < first.elapsed_s - onset_s <= 900.0
    assert [e for e in alarms(events) if float(e.split(" h ")[0]) * 3600.0 < onset_s] == []
    if name == "tripped-breaker":
        assert len(cleared(events, Kind.STALL)) == 1
        assert len(raised(events, Kind.FIRING_FINISHED)) == 1
        assert len(alarms(events)) == 2


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", ["power-cut", "power-cut-for-good"])
def test_a_power_cut_is_told_within_5_minutes(name: str, seed: int) -> None:
    onset_s, events = fired(name, seed)
    assert onset_s is not None
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - onset_s <= 300.0
    if name == "power-cut":
        assert len(cleared(events, Kind.HEAT_LOST)) == 1
        assert len(raised(events, Kind.FIRING_FINISHED)) == 1
        assert len(alarms(events)) == 2
    else:
        assert len(alarms(events)) == 1
        assert len(raised(events, Kind.COOL_TO_OPEN)) == 1


@pytest.mark.parametrize("seed", SEEDS)
def test_a_broken_probe_is_told_within_a_minute_and_the_firing_is_watched_on(seed: int) -> None:
    onset_s, events = fired("broken-probe", seed)
    assert onset_s is not None
    (fault,) = raised(events, Kind.SENSOR_FAULT)
    assert (fault.channel, fault.data["cause"]) == ("top", "open")
    assert 0.0 <= fault.elapsed_s - onset_s <= 60.0
    assert len(alarms(events)) == 1
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1
