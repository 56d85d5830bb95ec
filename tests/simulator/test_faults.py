"""Faults do to the kiln what they say."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from simulator.faults import Fault, FaultKind, FaultSpec
from simulator.firing import SimulatedFiring
from simulator.operation import Stage
from simulator.scenario import Scenario, load_scenario
from simulator.source import SimulatedSource
from simulator.truth import healthy, onset_s, probe_temps, quiet


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


def test_a_fault_waits_for_its_stage_and_then_for_its_time() -> None:
    fault = Fault(FaultSpec(FaultKind.RELAY_STUCK, stage=Stage.LAST_HOLD, after_s=120.0))
    hold = frozenset({Stage.HOLD, Stage.LAST_HOLD})
    fault.advance(0.0, 900.0, frozenset({Stage.HOLD}))
    fault.advance(1000.0, 1200.0, hold)
    assert fault.next_change_s() == 1120.0
    fault.advance(1100.0, 1200.0, hold)
    assert not fault.is_on
    fault.advance(1120.0, 1200.0, frozenset({Stage.COOLING}))
    assert fault.is_on


def test_a_fault_on_the_way_down_waits_for_cooling() -> None:
    fault = Fault(FaultSpec(FaultKind.DOOR_AJAR, below_c=420.0))
    fault.advance(0.0, 20.0, frozenset({Stage.CLIMB}))
    fault.advance(600.0, 1000.0, frozenset({Stage.COOLING}))
    assert not fault.is_on
    fault.advance(1200.0, 419.0, frozenset({Stage.COOLING}))
    assert fault.is_on


def scenario_with(fault: FaultSpec, name: str = "healthy-midfire") -> Scenario:
    return replace(load_scenario(name), faults=(fault,))


def temps_at(scenario: Scenario, *times_s: float) -> list[tuple[float, float, float]]:
    """The three chambers at these times."""
    firing = SimulatedFiring(scenario)
    found = []
    for time_s in times_s:
        firing.advance_to(time_s)
        found.append(firing.chambers_c)
    return found


HEAT_LOST = [
    (FaultSpec(FaultKind.WORN_ELEMENTS, at_s=0.0, severity=0.4), "healthy-midfire", 9.0, 60.0),
    (FaultSpec(FaultKind.PHASE_LOST, at_s=4 * 3600.0, zone="top"), "healthy-midfire", 8.0, 60.0),
    (FaultSpec(FaultKind.GAS_ICING, at_s=6 * 3600.0), "healthy-gas-by-hand", 7.5, 60.0),
    (FaultSpec(FaultKind.EARLY_SHUT_OFF, at_s=6 * 3600.0), "healthy-midfire", 7.0, 150.0),
    (FaultSpec(FaultKind.DOOR_AJAR, at_s=6 * 3600.0, severity=0.2), "healthy-midfire", 7.0, 60.0),
    (FaultSpec(FaultKind.FAST_COOLING, at_s=11.5 * 3600.0), "healthy-midfire", 13.0, 60.0),
]


@pytest.mark.parametrize(("fault", "name", "at_h", "least_c"), HEAT_LOST)
def test_a_fault_that_takes_heat_leaves_the_kiln_colder(
    fault: FaultSpec, name: str, at_h: float, least_c: float
) -> None:
    spoilt = scenario_with(fault, name)
    (there,) = temps_at(spoilt, at_h * 3600.0)
    (well,) = temps_at(healthy(spoilt), at_h * 3600.0)
    assert max(w - t for w, t in zip(well, there, strict=True)) > least_c


def test_before_its_onset_a_fault_changes_nothing() -> None:
    for name in ("phase-lost", "bottle-ices-up", "door-ajar", "probe-slipped", "shut-off-early"):
        scenario = load_scenario(name)
        began_s = onset_s(scenario)
        assert began_s is not None
        spoilt, well = SimulatedFiring(scenario), SimulatedFiring(healthy(scenario))
        for part in (0.3, 0.7, 0.99):
            for each in (spoilt, well):
                each.advance_to(part * began_s)
            assert spoilt.measured_c == well.measured_c


def test_a_lost_phase_and_a_cold_zone_leave_the_kiln_uneven() -> None:
    for name, zone in (("phase-lost", 0), ("cold-bottom", 2)):
        firing = SimulatedFiring(load_scenario(name))
        firing.advance_to(9 * 3600.0)
        cold = firing.chambers_c[zone]
        assert max(firing.chambers_c) - cold > 40.0


def test_a_welded_relay_heats_where_no_heat_is_wanted() -> None:
    scenario = load_scenario("relay-welded-at-the-end")
    began_s = onset_s(scenario)
    assert began_s is not None
    before, after = temps_at(scenario, began_s, began_s + 1800.0)
    assert after[1] > before[1] + 40.0
    in_hold = load_scenario("relay-welded-in-hold")
    began_s = onset_s(in_hold)
    assert began_s is not None
    before, after = temps_at(in_hold, began_s, began_s + 1200.0)
    assert after[0] > before[0] + 10.0


def test_a_kiln_that_is_opened_hot_falls_at_once_and_its_probe_after_its_lag() -> None:
    scenario = load_scenario("opened-hot")
    began_s = onset_s(scenario)
    assert began_s is not None
    firing = SimulatedFiring(scenario)
    firing.advance_to(began_s)
    hot_c = firing.probe_c["middle"]
    firing.advance_to(began_s + 120.0)
    assert firing.chambers_c[1] < hot_c - 100.0
    assert firing.chambers_c[1] < firing.probe_c["middle"] < hot_c - 60.0


def test_a_shorted_pair_reads_its_terminals() -> None:
    firing = SimulatedFiring(load_scenario("shorted-probe"))
    firing.advance_to(9 * 3600.0)
    assert firing.measured_c["middle"] == pytest.approx(firing.cold_junction_c, abs=6.0)
    assert firing.probe_c["middle"] > 900.0


def test_a_frozen_channel_repeats_one_value() -> None:
    firing = SimulatedFiring(load_scenario("stuck-value"))
    values = set()
    for hour in (6, 8, 10, 12):
        firing.advance_to(hour * 3600.0)
        values.add(firing.measured_c["bottom"])
    (value,) = values
    assert value == pytest.approx(500.0, abs=20.0)


def test_swapped_leads_mirror_the_climb() -> None:
    firing = SimulatedFiring(load_scenario("swapped-leads"))
    firing.advance_to(1.5 * 3600.0)
    measured_c = firing.measured_c["top"]
    mirrored_c = 2.0 * firing.cold_junction_c - firing.probe_c["top"]
    assert measured_c == pytest.approx(mirrored_c, abs=6.0)
    firing.advance_to(10 * 3600.0)
    assert firing.measured_c["top"] == -200.0


def test_a_probe_that_has_slipped_sees_mostly_the_shed() -> None:
    firing = SimulatedFiring(load_scenario("probe-slipped"))
    firing.advance_to(9 * 3600.0)
    assert firing.probe_c["middle"] == pytest.approx(
        18.0 + 0.15 * (firing.chambers_c[1] - 18.0), abs=5.0
    )


def test_a_silent_rig_gives_blank_looks_and_no_reason() -> None:
    scenario = load_scenario("silent-rig")
    began_s = onset_s(scenario)
    assert began_s is not None
    source = SimulatedSource(SimulatedFiring(scenario), 10.0)
    reading = source.read(began_s + 60.0)
    assert set(reading.temps_c.values()) == {None}
    assert reading.faults == {}
    assert None not in source.read(began_s + 2000.0).temps_c.values()


def test_a_step_of_the_clock_changes_labels_and_nothing_else() -> None:
    scenario = load_scenario("clock-steps")
    source = SimulatedSource(SimulatedFiring(scenario), 60.0)
    plain = SimulatedSource(SimulatedFiring(healthy(scenario)), 60.0)
    for elapsed_s in (0.0, 14_000.0, 14_460.0):
        reading, same = source.read(elapsed_s), plain.read(elapsed_s)
        assert reading.temps_c == same.temps_c
    assert same.time == "2026-03-29T01:11:00+01:00"
    assert reading.time == "2026-03-29T01:58:00+01:00"


@pytest.mark.parametrize(
    ("name", "began_h", "abs_h"),
    [
        ("power-cut", 6.24, 0.1),
        ("swapped-leads", 0.0, 0.0),
        ("clock-steps", 4.0, 0.0),
        ("relay-welded-in-hold", 10.45, 0.2),
    ],
)
def test_the_onset_is_when_it_really_began(name: str, began_h: float, abs_h: float) -> None:
    began_s = onset_s(load_scenario(name))
    assert began_s is not None
    assert began_s / 3600.0 == pytest.approx(began_h, abs=abs_h)


def test_wear_that_costs_nothing_has_no_onset() -> None:
    slight = FaultSpec(FaultKind.WORN_ELEMENTS, at_s=0.0, severity=0.03)
    assert onset_s(scenario_with(slight, "healthy-lowfire")) is None


def test_the_truth_about_the_probes_has_no_noise() -> None:
    scenario = replace(load_scenario("healthy-midfire"), duration_s=1800.0)
    temps_c = [temps["middle"] for _, temps in probe_temps(scenario, 30.0)]
    assert len(temps_c) == 61
    assert all(later >= earlier for earlier, later in pairwise(temps_c))


def test_perfect_probes_measure_the_temperature_of_their_junctions() -> None:
    firing = SimulatedFiring(quiet(load_scenario("healthy-one-probe")))
    firing.advance_to(7200.0)
    assert firing.measured_c == firing.probe_c
