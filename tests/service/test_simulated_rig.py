"""The simulated kiln under the real driver keeps the promises of every source."""

from __future__ import annotations

import pytest

from simulator.firing import SimulatedFiring
from supervisor.core.errors import RigError
from supervisor.core.readings import FaultCause
from supervisor.service.simulated_rig import SimulatedRig
from tests.service.firings import scenario


def test_it_shows_the_simulated_probes_to_the_converters_step() -> None:
    rig, truth = SimulatedRig(scenario(), 10.0), SimulatedFiring(scenario())
    due_s = rig.due_s(None)
    for _ in range(300):
        assert due_s is not None
        reading = rig.read(due_s)
        truth.advance_to(due_s)
        assert reading.elapsed_s == due_s
        assert tuple(reading.temps_c) == rig.channels == scenario().channels
        assert reading.faults == {}
        for name, temp_c in truth.measured_c.items():
            # 19 bits: steps of 1/128 °C (Maxim, MAX31856 data sheet).
            assert reading.temps_c[name] == pytest.approx(temp_c, abs=1 / 128)
        due_s = rig.due_s(reading.elapsed_s)
    rig.close()


def test_a_broken_probe_is_a_fault_of_its_channel_alone() -> None:
    rig, truth = (
        SimulatedRig(scenario("broken-probe"), 10.0),
        SimulatedFiring(scenario("broken-probe")),
    )
    while not truth.faults_on:
        truth.advance_to(truth.elapsed_s + 60.0)
    rig.read(truth.elapsed_s - 120.0)
    for later_s in (0.0, 1.0, 2.0):
        reading = rig.read(truth.elapsed_s + later_s)
    assert reading.faults == {"top": FaultCause.OPEN}
    assert reading.temps_c["top"] is None
    assert reading.temps_c["middle"] == pytest.approx(700.0, abs=30.0)
    rig.close()


def test_readings_are_due_each_interval_until_the_scenario_is_over() -> None:
    rig = SimulatedRig(scenario("stall"), 2.5)
    assert rig.due_s(None) == 0.0
    assert rig.due_s(0.0) == 2.5
    assert rig.due_s(1_000.0) == 1_002.5
    rig.read(14 * 3600.0)
    assert rig.due_s(14 * 3600.0) is None
    rig.close()


def test_the_same_second_reads_the_same_however_one_gets_there() -> None:
    slowly, at_once = SimulatedRig(scenario(), 1.0), SimulatedRig(scenario(), 60.0)
    for elapsed_s in range(0, 1_201, 3):
        slowly.read(float(elapsed_s))
    at_once.read(0.0)
    assert slowly.read(1_201.0).temps_c == at_once.read(1_201.0).temps_c
    slowly.close()
    at_once.close()


def test_a_closed_rig_gives_no_readings_and_may_be_closed_again() -> None:
    rig = SimulatedRig(scenario(), 1.0)
    rig.close()
    rig.close()
    with pytest.raises(RigError):
        rig.read(1.0)
