"""The simulator as a source of readings, and its log as a file."""

from __future__ import annotations

import io
import tracemalloc
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import pytest

from simulator.firing import SimulatedFiring
from simulator.run import may_fail, simulate, write_log
from simulator.scenario import Scenario, load_scenario, scenario_names
from simulator.source import SimulatedSource
from supervisor.core.readings import FaultCause, Reading, Source
from supervisor.core.units import Unit

CHANNELS = ("top", "middle", "bottom")


def short(name: str = "healthy-midfire", hours: float = 0.5, seed: int = 3) -> Scenario:
    return replace(load_scenario(name), duration_s=hours * 3600.0).with_seed(seed)


def test_the_simulator_is_a_source_that_ends() -> None:
    source: Source = SimulatedSource(SimulatedFiring(short(hours=0.01)), 2.0)
    assert source.channels == CHANNELS
    due_s = source.due_s(None)
    times_s = []
    while due_s is not None:
        reading = source.read(due_s)
        times_s.append(reading.elapsed_s)
        assert tuple(reading.temps_c) == CHANNELS
        due_s = source.due_s(due_s)
    assert times_s == [2.0 * n for n in range(19)]
    source.close()
    source.close()


def test_readings_come_in_the_steps_of_the_converter() -> None:
    # MAX31856 datasheet: 19 bits, 0.0078125 °C.
    for reading in simulate(short(hours=0.1), 10.0):
        for temp_c in reading.temps_c.values():
            assert temp_c is not None
            assert (temp_c * 128.0).is_integer()


def test_an_open_probe_is_a_fault_without_a_temperature() -> None:
    scenario = short("broken-probe", hours=0.1)
    scenario = replace(scenario, faults=(replace(scenario.faults[0], at_c=None, at_s=120.0),))
    readings = list(simulate(scenario, 60.0))
    assert readings[1].faults == {}
    assert readings[1].temps_c["top"] is not None
    assert readings[-1].faults == {"top": FaultCause.OPEN}
    assert readings[-1].temps_c["top"] is None
    assert readings[-1].temps_c["middle"] is not None


def test_an_interval_must_be_positive() -> None:
    with pytest.raises(ValueError, match="positive"):
        SimulatedSource(SimulatedFiring(short()), 0.0)


def log_of(readings: Iterable[Reading], channels: Sequence[str], unit: Unit = Unit.C) -> str:
    file = io.StringIO()
    write_log(readings, channels, file, unit)
    return file.getvalue()


def test_the_same_seed_writes_the_same_text_and_another_seed_does_not() -> None:
    one, two, other = (log_of(simulate(short(seed=seed), 5.0), CHANNELS) for seed in (3, 3, 4))
    assert one == two
    assert one != other


def test_a_log_has_a_row_for_each_reading() -> None:
    file = io.StringIO()
    readings = list(simulate(short(), 5.0))
    assert write_log(readings, CHANNELS, file) == len(readings) == 361
    header, *rows = file.getvalue().splitlines()
    assert header == "elapsed_s,top_c,middle_c,bottom_c"
    for row, reading in zip(rows, readings, strict=True):
        elapsed_s, *temps_c = (float(cell) for cell in row.split(","))
        assert elapsed_s == reading.elapsed_s
        assert temps_c == list(reading.temps_c.values())
    assert write_log([], CHANNELS, io.StringIO()) == 0


def test_a_log_in_fahrenheit_says_so() -> None:
    readings = [Reading(0.0, {"kiln": 100.0}), Reading(1.0, {"kiln": 20.0078125})]
    assert log_of(readings, ["kiln"], Unit.F) == "elapsed_s,kiln_f\n0,212\n1,68.0140625\n"


def test_a_fault_is_a_blank_cell_and_its_cause() -> None:
    readings = [
        Reading(0.0, {"top": 20.5, "middle": 21.0}),
        Reading(1.0, {"top": None, "middle": 21.25}, {"top": FaultCause.OPEN}),
        Reading(2.0, {"top": None, "middle": 21.25}),
    ]
    file = io.StringIO()
    write_log(readings, ["top", "middle"], file, faulty={"top"})
    assert file.getvalue() == (
        "elapsed_s,top_c,middle_c,top_fault\n0,20.5,21,\n1,,21.25,open\n2,,21.25,\n"
    )
    with pytest.raises(ValueError, match="no column for a fault of top"):
        write_log(readings, ["top", "middle"], io.StringIO(), faulty={"middle"})


@pytest.mark.parametrize("name", scenario_names())
def test_every_channel_that_fails_in_a_scenario_was_known_to(name: str) -> None:
    scenario = load_scenario(name)
    faulty = {channel for reading in simulate(scenario, 120.0) for channel in reading.faults}
    assert faulty == may_fail(scenario)


def test_a_row_is_written_before_the_next_reading_is_taken() -> None:
    file = io.StringIO()

    def readings() -> Iterator[Reading]:
        for count in range(3):
            assert file.getvalue().count("\n") == 1 + count
            yield Reading(float(count), {"kiln": 20.0})

    assert write_log(readings(), ["kiln"], file) == 3


def test_memory_does_not_grow_with_the_log() -> None:
    class Nowhere(io.StringIO):
        def write(self, text: str) -> int:
            return len(text)

    def most_bytes(count: int) -> int:
        readings = (Reading(float(n), {"kiln": n / 128.0}) for n in range(count))
        tracemalloc.start()
        write_log(readings, ["kiln"], Nowhere())
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    def least_of_three(count: int) -> int:
        # Threads of the test run may take memory meanwhile; the log takes it every time.
        return min(most_bytes(count) for _ in range(3))

    most_bytes(10)
    assert least_of_three(10_000) < least_of_three(100) + 4_096


def test_tenths_of_a_second_are_written_as_people_write_them() -> None:
    rows = log_of(simulate(short(hours=4.0 / 3600.0), 0.1), CHANNELS).splitlines()[1:]
    assert [row.split(",")[0] for row in rows[:4]] == ["0", "0.1", "0.2", "0.3"]
    assert len(rows) == 41
