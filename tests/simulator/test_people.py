"""People at the kiln: they keep near their plan, reduce, look in, stoke, pause and skip."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from simulator.controller import Phase
from simulator.firing import SimulatedFiring
from simulator.operation import Operation, OperatorKind, Reduction
from simulator.scenario import Scenario, load_scenario
from supervisor.core.schedule import Timeline


def worked(name: str, every_s: float = 60.0) -> tuple[Scenario, list[tuple[float, float, float]]]:
    """(scenario, (time, middle chamber, power)) until the operator has switched off."""
    scenario = load_scenario(name)
    firing = SimulatedFiring(scenario)
    path = []
    while firing.controller_phase is not Phase.FINISHED:
        firing.advance_to(firing.elapsed_s + every_s)
        path.append((firing.elapsed_s, firing.chambers_c[1], firing.source_power_w))
        assert firing.setpoint_c is None
    return scenario, path


@pytest.mark.parametrize("name", ["healthy-gas-by-hand", "healthy-wood", "healthy-switches"])
def test_a_kiln_worked_by_hand_reaches_its_peak_about_when_planned(name: str) -> None:
    scenario, path = worked(name)
    plan = Timeline(scenario.schedule, start_c=scenario.ambient_c)
    peak_c = max(temp_c for _, temp_c, _ in path)
    assert peak_c == pytest.approx(scenario.schedule.peak_c, abs=25.0)
    assert path[-1][0] == pytest.approx(plan.total_s, rel=0.15)


def test_a_hand_at_the_gas_leaves_it_alone_for_20_to_60_minutes() -> None:
    scenario = replace(
        load_scenario("healthy-gas-by-hand"), schedule=load_scenario("healthy-highfire").schedule
    )
    scenario = replace(
        scenario,
        kiln=replace(scenario.kiln, unsteady=0.0),
        operation=Operation(OperatorKind.BURNER, visit_s=(1200.0, 3600.0)),
    )
    firing = SimulatedFiring(scenario)
    changes_s = [0.0]
    power_w = -1.0
    while firing.chamber_c < 700.0:
        firing.advance_to(firing.elapsed_s + 20.0)
        if firing.source_power_w != power_w:
            changes_s.append(firing.elapsed_s)
            power_w = firing.source_power_w
    gaps_min = [(later - earlier) / 60.0 for earlier, later in pairwise(changes_s[1:])]
    assert max(gaps_min) <= 61.0
    assert sum(gaps_min) / len(gaps_min) > 15.0


def test_body_reduction_slows_the_climb_for_its_time() -> None:
    scenario = load_scenario("healthy-gas-by-hand")
    still = replace(
        scenario, operation=replace(scenario.operation, reduction=Reduction(880.0, 2400.0, 0.0))
    )
    firing = SimulatedFiring(still)
    while firing.chamber_c < 890.0:
        firing.advance_to(firing.elapsed_s + 60.0)
    began_s, began_c = firing.elapsed_s, firing.chamber_c
    firing.advance_to(began_s + 1500.0)
    assert firing.chamber_c == pytest.approx(began_c, abs=25.0)
    firing.advance_to(began_s + 3 * 3600.0)
    assert firing.chamber_c > began_c + 70.0


def test_stoking_swings_the_kiln_every_few_minutes() -> None:
    _, path = worked("healthy-wood", 20.0)
    late = [(time_s, temp_c) for time_s, temp_c, _ in path if 9 * 3600.0 < time_s < 11 * 3600.0]
    turns = [
        here_s
        for (_, before_c), (here_s, here_c), (_, after_c) in zip(
            late, late[1:], late[2:], strict=False
        )
        if here_c > before_c and here_c > after_c
    ]
    assert 2 * 60 / 16 <= len(turns) <= 2 * 60 / 2
    swing_c = max(abs(b - a) for (_, a), (_, b) in zip(late, late[15:], strict=False))
    assert 3.0 < swing_c < 40.0


def test_switches_give_heat_in_steps_of_a_twelfth() -> None:
    scenario, path = worked("healthy-switches")
    kiln = scenario.kiln
    levels = {round(power_w / kiln.available_w, 3) for _, _, power_w in path}
    assert 4 <= len(levels) <= 10


def test_a_look_through_the_spyhole_is_a_short_cold_draught() -> None:
    scenario = load_scenario("healthy-gas-by-hand")
    shut = replace(scenario, operation=replace(scenario.operation, looks_per_h=0.0))
    looked, steady = SimulatedFiring(scenario), SimulatedFiring(shut)
    for each in (looked, steady):
        each.advance_to(9 * 3600.0)
    deepest_c = 0.0
    for _ in range(540):
        for each in (looked, steady):
            each.advance_to(each.elapsed_s + 20.0)
        lower_c = min(
            looked.probe_c[name] - looked.chambers_c[zone]
            for zone, name in enumerate(("top", "middle", "bottom"))
        )
        deepest_c = min(deepest_c, lower_c)
    assert -70.0 < deepest_c < -6.0
    assert looked.chamber_c == pytest.approx(steady.chamber_c, abs=40.0)


def test_candling_keeps_the_kiln_warm_before_its_plan() -> None:
    firing = SimulatedFiring(load_scenario("healthy-candled"))
    firing.advance_to(8.9 * 3600.0)
    assert firing.step_index == 0
    assert firing.setpoint_c is None
    assert 40.0 < firing.chamber_c < 130.0


def test_a_warm_kiln_that_is_begun_late_cools_first_and_pauses_where_told() -> None:
    scenario = load_scenario("healthy-warm-and-late")
    firing = SimulatedFiring(scenario)
    firing.advance_to(0.0)
    assert firing.chamber_c == pytest.approx(85.0, abs=0.5)
    firing.advance_to(75 * 60.0)
    assert 60.0 < firing.chamber_c < 85.0
    while firing.chamber_c < 640.0:
        firing.advance_to(firing.elapsed_s + 60.0)
    began_s = firing.elapsed_s
    firing.advance_to(began_s + 18 * 60.0)
    assert firing.chamber_c == pytest.approx(642.0, abs=6.0)
    firing.advance_to(began_s + 40 * 60.0)
    assert firing.chamber_c > 670.0


@pytest.mark.parametrize("kind", [OperatorKind.CONTROLLER, OperatorKind.SWITCHES])
def test_a_skipped_step_is_never_worked_at(kind: OperatorKind) -> None:
    scenario = load_scenario("healthy-lowfire")
    scenario = replace(scenario, operation=Operation(kind, skipped_step=0, visit_s=(600.0, 1200.0)))
    firing = SimulatedFiring(scenario)
    seen = set()
    while firing.controller_phase is not Phase.FINISHED:
        firing.advance_to(firing.elapsed_s + 60.0)
        seen.add(firing.step_index if firing.elapsed_s > 60.0 else 1)
    assert seen == {1, 2, 3}


def test_an_operator_whose_thermocouple_reads_high_fires_low() -> None:
    scenario = load_scenario("healthy-lowfire")
    high = replace(scenario, operation=Operation(gain_error=0.01))
    peaks = []
    for one in (scenario, high):
        firing = SimulatedFiring(one)
        peak_c = 0.0
        while firing.controller_phase is not Phase.FINISHED:
            firing.advance_to(firing.elapsed_s + 60.0)
            peak_c = max(peak_c, firing.chambers_c[1])
        peaks.append(peak_c)
    assert peaks[0] - peaks[1] == pytest.approx(10.3, abs=1.5)
