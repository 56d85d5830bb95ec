"""The kiln's own controller: ramps, holds, hold-back, natural steps, and no overshoot."""

from __future__ import annotations

from dataclasses import replace

import pytest

from simulator.controller import (
    HOLD_BACK_C,
    HOLD_BAND_C,
    RELAY_WINDOW_S,
    Controller,
    Phase,
    Relay,
)
from simulator.firing import SimulatedFiring
from simulator.kiln import Tuning
from simulator.scenario import Scenario, load_scenario
from supervisor.core.schedule import Schedule, Step

TUNING = Tuning(gain_per_k=0.03, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=1e5)


def controller(*steps: Step, start_c: float = 20.0) -> Controller:
    return Controller(Schedule("test", steps), TUNING, full_w=10_000.0, start_c=start_c, dt_s=1.0)


def phase_of(control: Controller) -> Phase:
    return control.phase


def firing_of(name: str, *steps: Step) -> SimulatedFiring:
    scenario: Scenario = load_scenario(name)
    return SimulatedFiring(replace(scenario, schedule=Schedule("test", steps)))


def test_the_setpoint_climbs_at_the_rate_of_the_step() -> None:
    control = controller(Step(500.0, 120.0))
    for _ in range(1800):
        control.ask(control.setpoint_c)
    assert control.setpoint_c == pytest.approx(20.0 + 60.0, abs=0.1)


def test_the_setpoint_waits_for_a_kiln_that_lags() -> None:
    control = controller(Step(500.0, 120.0))
    for _ in range(3600):
        control.ask(20.0)
    assert control.setpoint_c == pytest.approx(20.0 + HOLD_BACK_C, abs=0.1)
    assert control.ask(20.0) > 0.5


def test_the_setpoint_waits_for_a_kiln_that_cools_too_slowly() -> None:
    control = controller(Step(500.0, 120.0), start_c=1000.0)
    for _ in range(3600):
        control.ask(1000.0)
    assert control.setpoint_c == pytest.approx(1000.0 - HOLD_BACK_C, abs=0.1)
    assert control.ask(1000.0) == 0.0


def test_a_hold_is_timed_from_when_the_kiln_is_there() -> None:
    control = controller(Step(100.0, 3600.0, hold_s=60.0))
    for _ in range(600):
        control.ask(100.0 - HOLD_BAND_C - 0.5)
    assert phase_of(control) is Phase.MOVING
    for _ in range(59):
        control.ask(99.0)
    assert phase_of(control) is Phase.HOLDING
    control.ask(99.0)
    assert phase_of(control) is Phase.FINISHED


def test_after_the_last_step_the_heat_is_off_for_good() -> None:
    control = controller(Step(100.0, 3600.0))
    for _ in range(200):
        control.ask(min(control.setpoint_c, 100.0))
    assert phase_of(control) is Phase.FINISHED
    assert [control.ask(temp_c) for temp_c in (100.0, 50.0, 20.0)] == [0.0, 0.0, 0.0]


def test_a_natural_climb_takes_full_power_and_a_natural_fall_none() -> None:
    up = controller(Step(900.0, None))
    assert {up.ask(20.0 + 0.05 * second) for second in range(600)} == {1.0}
    down = controller(Step(300.0, None), start_c=900.0)
    assert {down.ask(900.0 - 0.05 * second) for second in range(600)} == {0.0}


def test_after_a_power_cut_the_setpoint_begins_at_the_kiln() -> None:
    control = controller(Step(500.0, 120.0))
    for _ in range(3600):
        control.ask(control.setpoint_c)
    control.power_returns(90.0)
    control.ask(90.0)
    assert control.setpoint_c == pytest.approx(90.0, abs=0.1)


def test_a_hold_keeps_its_minutes_over_a_power_cut() -> None:
    control = controller(Step(100.0, 3600.0, hold_s=100.0))
    while phase_of(control) is not Phase.HOLDING:
        control.ask(control.setpoint_c)
    for _ in range(60):
        control.ask(100.0)
    control.power_returns(80.0)
    while phase_of(control) is not Phase.HOLDING:
        control.ask(control.setpoint_c)
    held_s = 0
    while phase_of(control) is Phase.HOLDING:
        control.ask(100.0)
        held_s += 1
    assert held_s == pytest.approx(39, abs=2)


@pytest.mark.parametrize("share", [0.0, 0.013, 0.25, 0.5, 0.777, 1.0])
def test_a_relay_gives_the_share_it_is_asked_for(share: float) -> None:
    relay = Relay()
    given = [relay.on_s(share) for _ in range(1_000)]
    assert all(0.0 <= on_s <= RELAY_WINDOW_S and on_s.is_integer() for on_s in given)
    assert sum(given) / (1_000 * RELAY_WINDOW_S) == pytest.approx(share, abs=0.0002)


@pytest.mark.parametrize(
    ("scenario", "top_c"),
    [
        ("healthy-midfire", 90.0),
        ("healthy-midfire", 100.0),
        ("healthy-midfire", 600.0),
        ("healthy-midfire", 1240.0),
        ("healthy-highfire", 95.0),
        ("healthy-highfire", 1280.0),
    ],
)
@pytest.mark.parametrize("rate_c_per_h", [60.0, 150.0])
def test_no_zone_overshoots_the_top_of_a_step(
    scenario: str, top_c: float, rate_c_per_h: float
) -> None:
    firing = firing_of(scenario, Step(top_c, rate_c_per_h, hold_s=3600.0))
    highest_c = 0.0
    elapsed_s = 0.0
    while firing.controller_phase is not Phase.FINISHED:
        elapsed_s += 10.0
        firing.advance_to(elapsed_s)
        highest_c = max(highest_c, *firing.kiln.chambers_c)
    assert top_c - 5.0 < highest_c < top_c + 5.0


@pytest.mark.parametrize("top_c", [300.0, 1000.0])
def test_a_natural_climb_does_not_overshoot_either(top_c: float) -> None:
    firing = firing_of("healthy-midfire", Step(top_c, None, hold_s=1800.0))
    highest_c = 0.0
    elapsed_s = 0.0
    while firing.controller_phase is not Phase.FINISHED:
        elapsed_s += 10.0
        firing.advance_to(elapsed_s)
        highest_c = max(highest_c, firing.kiln.chambers_c[1])
    assert top_c - 5.0 < highest_c < top_c + 7.0
