"""Whole firings: healthy ones keep to their plan, and a seed decides every digit."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from simulator.controller import Phase
from simulator.firing import SimulatedFiring
from simulator.scenario import load_scenario
from supervisor.core.schedule import Timeline

HEALTHY = [
    "healthy-bisque",
    "healthy-highfire",
    "healthy-lowfire",
    "healthy-midfire",
    "healthy-slow-cool",
]


def lived(firing: SimulatedFiring, every_s: float) -> Iterator[float]:
    """Advance until the controller has switched off, yielding the time at each stop."""
    elapsed_s = 0.0
    while firing.controller_phase is not Phase.FINISHED:
        elapsed_s += every_s
        firing.advance_to(elapsed_s)
        yield elapsed_s


def over_by(firing: SimulatedFiring, elapsed_s: float) -> bool:
    """Whether the scenario is over at ``elapsed_s``."""
    firing.advance_to(elapsed_s)
    return firing.finished


@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_follows_its_schedule(name: str) -> None:
    firing = SimulatedFiring(load_scenario(name))
    schedule = firing.scenario.schedule
    plan = Timeline(schedule, start_c=firing.scenario.ambient_c)
    peak_c = 0.0
    held_s = [0.0] * len(schedule.steps)
    behind_c = 0.0
    for elapsed_s in lived(firing, 10.0):
        temp_c = firing.probe_c["middle"]
        peak_c = max(peak_c, temp_c)
        step = schedule.steps[firing.step_index]
        if firing.controller_phase is Phase.HOLDING:
            held_s[firing.step_index] += 10.0
            assert abs(temp_c - step.to_c) < 4.0
        elif step.rate_c_per_h is not None and firing.setpoint_c is not None:
            behind_c = max(behind_c, abs(firing.setpoint_c - temp_c))
        if firing.step_index <= schedule.peak_step:
            assert abs(temp_c - plan.at(elapsed_s)) < 8.0
    assert peak_c == pytest.approx(schedule.peak_c, abs=5.0)
    assert behind_c < 8.0
    for step, held in zip(schedule.steps, held_s, strict=True):
        assert held == pytest.approx(step.hold_s, abs=20.0)


@pytest.mark.parametrize("name", HEALTHY)
def test_a_healthy_firing_ends_its_climb_when_planned(name: str) -> None:
    firing = SimulatedFiring(load_scenario(name))
    schedule = firing.scenario.schedule
    plan = Timeline(schedule, start_c=firing.scenario.ambient_c)
    ended_at_s = [
        elapsed_s for elapsed_s in lived(firing, 10.0) if firing.step_index <= schedule.peak_step
    ][-1]
    assert ended_at_s == pytest.approx(plan.steps[schedule.peak_step].end_s, abs=120.0)


def test_the_zones_of_a_healthy_firing_stay_together() -> None:
    firing = SimulatedFiring(load_scenario("healthy-midfire"))
    for _ in lived(firing, 60.0):
        probes_c = firing.probe_c.values()
        assert max(probes_c) - min(probes_c) < 12.0


def test_a_firing_is_over_when_the_kiln_is_cold() -> None:
    firing = SimulatedFiring(load_scenario("healthy-lowfire"))
    over_at_s = [
        float(elapsed_s) for elapsed_s in range(0, 36 * 3600, 600) if over_by(firing, elapsed_s)
    ]
    firing = SimulatedFiring(load_scenario("healthy-lowfire"))
    firing.advance_to(over_at_s[0])
    assert firing.setpoint_c is None
    assert 50.0 < firing.chamber_c < 60.0
    assert 20 * 3600.0 < firing.elapsed_s < 30 * 3600.0


def test_the_same_seed_gives_the_same_seconds_however_they_are_looked_at() -> None:
    scenario = load_scenario("healthy-midfire")
    steady = SimulatedFiring(scenario)
    seen: dict[int, dict[str, float | None]] = {}
    for second in range(3001):
        steady.advance_to(float(second))
        seen[second] = steady.measured_c
    jumpy = SimulatedFiring(scenario)
    for elapsed_s in (0.0, 0.4, 7.9, 8.0, 600.25, 599.0, 1234.0, 3000.0):
        jumpy.advance_to(elapsed_s)
        assert jumpy.measured_c == seen[int(jumpy.elapsed_s)]
    assert jumpy.elapsed_s == 3000.0
    assert jumpy.cold_junction_c == steady.cold_junction_c


def test_another_seed_gives_other_noise_and_the_same_kiln() -> None:
    scenario = load_scenario("healthy-midfire")
    one, other = SimulatedFiring(scenario), SimulatedFiring(scenario.with_seed(99))
    one.advance_to(1800.0)
    other.advance_to(1800.0)
    assert one.measured_c != other.measured_c
    assert one.probe_c == other.probe_c


def test_time_does_not_run_backwards_and_must_be_finite() -> None:
    firing = SimulatedFiring(load_scenario("healthy-midfire"))
    firing.advance_to(60.0)
    firing.advance_to(5.0)
    assert firing.elapsed_s == 60.0
    with pytest.raises(ValueError, match="finite"):
        firing.advance_to(float("inf"))


def test_a_day_of_firing_takes_little_time() -> None:
    firing = SimulatedFiring(load_scenario("healthy-midfire"))
    began_s = time.process_time()
    firing.advance_to(6 * 3600.0)
    # A quarter of the 4 s of CPU that a whole day may take.
    assert time.process_time() - began_s < 1.0


@pytest.mark.parametrize("name", ["opened-hot", "damper-left-open", "healthy-wood", "phase-lost"])
def test_no_joule_is_made_or_lost_in_a_whole_firing(name: str) -> None:
    firing = SimulatedFiring(load_scenario(name))
    while not firing.finished:
        firing.advance_to(firing.elapsed_s + 600.0)
    kiln = firing.kiln
    assert kiln.supplied_j > 1e8
    assert kiln.stored_j() + kiln.lost_j == pytest.approx(kiln.supplied_j, rel=1e-9)
