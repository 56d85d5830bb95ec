"""Firings made up by dice: the same seed the same firing, all plausible, faults where they tell."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from simulator.controller import Phase
from simulator.draw import draw_firing, healthy, onset_s
from simulator.draw_plans import climb_c_per_h
from simulator.faults import FaultKind
from simulator.firing import SimulatedFiring
from simulator.kiln_spec import KilnKind
from simulator.operation import OperatorKind
from simulator.presets import kiln_names
from simulator.run import simulate
from supervisor.core.heatwork import HeatWork
from supervisor.core.units import Unit

SEEDS = range(10)

# To draw a firing is to find out what its kiln can do.
draw = cache(draw_firing)


def test_the_same_seed_draws_the_same_firing_and_another_another() -> None:
    assert draw_firing(5) == draw_firing(5)
    assert draw_firing(5, fault=FaultKind.STALL) == draw_firing(5, fault=FaultKind.STALL)
    assert len({draw_firing(seed).title for seed in range(24)}) > 12


def test_the_same_drawn_firing_gives_the_same_readings() -> None:
    one, two = ([next(simulate(draw_firing(9)))], [next(simulate(draw_firing(9)))])
    assert one == two
    first, second = SimulatedFiring(draw_firing(9)), SimulatedFiring(draw_firing(9))
    for elapsed_s in range(0, 20_000, 1_000):
        first.advance_to(float(elapsed_s))
    second.advance_to(19_000.0)
    assert first.measured_c == second.measured_c


def test_all_kilns_hands_and_rigs_come_up() -> None:
    drawn = [draw(seed) for seed in range(120)]
    assert {one.kiln.name for one in drawn} == set(kiln_names())
    assert {one.operation.kind for one in drawn} == set(OperatorKind)
    assert {len(one.sensors) for one in drawn} == {1, 2, 3, 4}
    assert {one.schedule.units for one in drawn} == set(Unit)
    assert all(1.0 <= one.interval_s <= 30.0 for one in drawn)
    assert all(0.1 <= sensor.noise_c <= 1.5 for one in drawn for sensor in one.sensors)
    falls = [
        one
        for one in drawn
        if any(b.to_c < a.to_c and b.rate_c_per_h for a, b in pairwise(one.schedule.steps))
    ]
    assert len(falls) > 6
    assert sum(one.operation.candle_s > 0.0 for one in drawn) > 3
    assert sum(one.start_c is not None for one in drawn) > 12
    assert all(not one.faults for one in drawn)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_drawn_firing_is_fired_to_its_end_and_its_cone_goes_down(seed: int) -> None:
    scenario = draw(seed)
    firing = SimulatedFiring(scenario)
    work = HeatWork()
    peak_c = 0.0
    while not firing.finished:
        firing.advance_to(firing.elapsed_s + 60.0)
        work.add(firing.elapsed_s, firing.chambers_c[1])
        peak_c = max(peak_c, firing.chambers_c[1])
    assert firing.controller_phase is Phase.FINISHED
    assert -8.0 < peak_c - scenario.schedule.peak_c < 60.0
    assert firing.onset_s is None
    assert firing.elapsed_s < scenario.max_s
    if scenario.schedule.target_cone is not None:
        assert work.down_at(scenario.schedule.target_cone) is not None


@pytest.mark.parametrize("kind", FaultKind)
def test_a_drawn_fault_comes_to_pass_and_its_healthy_twin_is_the_same_firing(
    kind: FaultKind,
) -> None:
    began = False
    for seed in range(3):
        scenario = draw_firing(seed, fault=kind)
        assert [fault.kind for fault in scenario.faults] == [kind]
        twin = healthy(scenario)
        assert twin.faults == ()
        assert (twin.seed, twin.kiln, twin.schedule) == (
            scenario.seed,
            scenario.kiln,
            scenario.schedule,
        )
        # It takes a whole firing to know.
        began = began or onset_s(scenario) is not None
    assert began


def test_a_healthy_firing_has_no_onset() -> None:
    assert onset_s(healthy(draw_firing(0, fault=FaultKind.STALL))) is None


def test_a_fault_falls_on_a_kiln_that_can_have_it() -> None:
    for seed in range(15):
        assert draw_firing(seed, fault=FaultKind.GAS_ICING).kiln.kind is KilnKind.GAS
        lost = draw_firing(seed, fault=FaultKind.PHASE_LOST)
        assert lost.kiln.phases == 3
        assert lost.faults[0].zone in {sensor.zone for sensor in lost.sensors}
        stuck = draw_firing(seed, fault=FaultKind.RELAY_STUCK)
        assert stuck.operation.kind is OperatorKind.CONTROLLER


def test_no_plan_asks_for_more_than_the_kiln_has() -> None:
    for seed in range(40):
        scenario = draw(seed)
        table = climb_c_per_h(scenario.kiln)
        from_c = 20.0
        for step in scenario.schedule.steps:
            if step.rate_c_per_h is not None and step.to_c > from_c:
                there = [rate for temp_c, rate in table if temp_c <= step.to_c]
                assert step.rate_c_per_h <= max(30.0, 0.85 * min(there, default=1e4))
            from_c = step.to_c
