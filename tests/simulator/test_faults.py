"""Faults do to the kiln what they say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from simulator.faults import Fault, FaultKind, FaultSpec
from simulator.firing import SimulatedFiring
from simulator.scenario import load_scenario


def until_fault(name: str, severity: float | None = None) -> SimulatedFiring:
    """A firing at the first whole minute after its fault has begun."""
    scenario = load_scenario(name)
    faults = tuple(replace(fault, severity=severity) for fault in scenario.faults)
    scenario = replace(scenario, faults=faults)
    firing = SimulatedFiring(scenario)
    while not firing.faults_on:
        firing.advance_to(firing.elapsed_s + 60.0)
        assert firing.elapsed_s < 24 * 3600.0
    return firing


def test_a_stall_stops_the_climb_within_15_minutes_and_for_good() -> None:
    firing = until_fault("stall")
    onset_s = firing.elapsed_s
    onset_c = firing.chamber_c
    assert onset_c == pytest.approx(900.0, abs=5.0)
    firing.advance_to(onset_s + 15 * 60.0)
    settled_c = firing.chamber_c
    for minutes in range(30, 300, 15):
        before_c = firing.chamber_c
        firing.advance_to(onset_s + minutes * 60.0)
        assert abs(firing.chamber_c - before_c) * 4.0 < 5.0  # °C/h
        assert firing.chamber_c == pytest.approx(onset_c, abs=5.0)
    assert firing.chamber_c == pytest.approx(settled_c, abs=3.0)
    assert firing.faults_on == (FaultKind.STALL,)


def test_after_a_reset_breaker_the_firing_goes_on_to_its_peak() -> None:
    firing = until_fault("tripped-breaker")
    onset_s = firing.elapsed_s
    firing.advance_to(onset_s + 39 * 60.0)
    assert firing.chamber_c == pytest.approx(900.0, abs=5.0)
    firing.advance_to(onset_s + 41 * 60.0)
    assert firing.faults_on == ()
    firing.advance_to(onset_s + 100 * 60.0)
    assert firing.chamber_c > 980.0
    peak_c = 0.0
    for _ in range(300):
        firing.advance_to(firing.elapsed_s + 60.0)
        peak_c = max(peak_c, firing.chamber_c)
    assert peak_c == pytest.approx(1205.0, abs=5.0)


def test_a_severe_stall_loses_heat_and_a_mild_one_only_slows() -> None:
    severe = until_fault("stall", severity=0.95)
    mild = until_fault("stall", severity=0.3)
    for firing in (severe, mild):
        firing.advance_to(firing.elapsed_s + 3600.0)
    assert severe.chamber_c < 850.0
    assert 905.0 < mild.chamber_c < 1050.0


def test_a_power_cut_falls_fast_and_its_return_climbs_again() -> None:
    firing = until_fault("power-cut")
    onset_s, onset_c = firing.elapsed_s, firing.chamber_c
    firing.advance_to(onset_s + 5 * 60.0)
    assert firing.source_power_w == 0.0
    assert firing.setpoint_c is None
    assert firing.chamber_c < onset_c - 15.0
    firing.advance_to(onset_s + 24 * 60.0)
    lowest_c = firing.chamber_c
    assert lowest_c < onset_c - 60.0
    firing.advance_to(onset_s + 3 * 3600.0)
    assert firing.faults_on == ()
    assert firing.chamber_c > onset_c + 100.0


def test_a_power_cut_for_good_ends_cold() -> None:
    firing = until_fault("power-cut-for-good")
    while not firing.finished:
        firing.advance_to(firing.elapsed_s + 600.0)
        assert firing.source_power_w == 0.0
    assert firing.chamber_c < 60.0


def test_a_broken_probe_is_flagged_and_the_others_go_on() -> None:
    scenario = load_scenario("broken-probe")
    healthy = SimulatedFiring(replace(scenario, faults=()))
    firing = until_fault("broken-probe")
    healthy.advance_to(firing.elapsed_s)
    assert firing.open_channels == {"top"}
    measured_c = firing.measured_c
    assert measured_c["top"] is None
    assert healthy.measured_c["top"] == pytest.approx(700.0, abs=10.0)
    assert measured_c["middle"] == healthy.measured_c["middle"]
    assert measured_c["bottom"] == healthy.measured_c["bottom"]


def test_a_probe_that_is_mended_reads_as_if_nothing_had_been() -> None:
    scenario = load_scenario("broken-probe")
    loose = FaultSpec(FaultKind.OPEN_THERMOCOUPLE, at_s=600.0, lasts_s=120.0, channel="middle")
    firing = SimulatedFiring(replace(scenario, faults=(loose,)))
    whole = SimulatedFiring(replace(scenario, faults=()))
    firing.advance_to(700.0)
    assert firing.measured_c["middle"] is None
    for each in (firing, whole):
        each.advance_to(900.0)
    assert firing.measured_c == whole.measured_c


def test_a_fault_begins_once_and_ends_once() -> None:
    fault = Fault(FaultSpec(FaultKind.STALL, at_c=500.0, lasts_s=60.0))
    states = []
    for second, chamber_c in enumerate([400.0, 499.0, 501.0, *([510.0] * 58), 400.0, 510.0, 600.0]):
        fault.advance(float(second), chamber_c)
        states.append(fault.is_on)
    assert states == [False, False, *([True] * 60), False, False]
