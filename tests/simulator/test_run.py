"""The simulator as a source of readings, and its log as a file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from simulator.firing import SimulatedFiring
from simulator.run import simulate, write_log
from simulator.scenario import Scenario, load_scenario
from simulator.source import SimulatedSource
from supervisor.core.errors import InputError, PeerError
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


def test_the_same_seed_writes_the_same_bytes_and_another_seed_does_not(tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("one.csv", "two.csv", "other.csv")]
    for path, seed in zip(paths, (3, 3, 4), strict=True):
        write_log(simulate(short(seed=seed), 5.0), CHANNELS, path)
    one, two, other = (path.read_bytes() for path in paths)
    assert one == two
    assert one != other


def test_a_log_has_a_row_for_each_reading(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    readings = list(simulate(short(), 5.0))
    assert write_log(readings, CHANNELS, path) == len(readings) == 361
    header, *rows = path.read_text(encoding="utf-8").splitlines()
    assert header == "elapsed_s,top_c,middle_c,bottom_c"
    for row, reading in zip(rows, readings, strict=True):
        elapsed_s, *temps_c = (float(cell) for cell in row.split(","))
        assert elapsed_s == reading.elapsed_s
        assert temps_c == list(reading.temps_c.values())


def test_a_log_in_fahrenheit_says_so(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    write_log([Reading(0.0, {"kiln": 100.0})], ["kiln"], path, Unit.F)
    assert path.read_text(encoding="utf-8") == "elapsed_s,kiln_f\n0,212\n"


def test_a_fault_is_a_blank_cell_and_a_note(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    readings = [
        Reading(0.0, {"top": 20.5, "middle": 21.0}),
        Reading(1.0, {"top": None, "middle": 21.25}, {"top": FaultCause.OPEN}),
        Reading(2.0, {"top": None, "middle": 21.25}),
    ]
    write_log(readings, ["top", "middle"], path)
    assert path.read_text(encoding="utf-8") == (
        "elapsed_s,top_c,middle_c,top_fault\n0,20.5,21,\n1,,21.25,open\n2,,21.25,\n"
    )


def test_a_log_that_breaks_off_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("an older log\n", encoding="utf-8")

    def failing() -> Iterator[Reading]:
        yield Reading(0.0, {"kiln": 20.0})
        raise RuntimeError("the simulation broke")

    with pytest.raises(RuntimeError):
        write_log(failing(), ["kiln"], path)
    assert [entry.name for entry in tmp_path.iterdir()] == ["log.csv"]
    assert path.read_text(encoding="utf-8") == "an older log\n"


def test_a_log_needs_a_folder_that_is_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such folder"):
        write_log([], ["kiln"], tmp_path / "nowhere" / "log.csv")
    with pytest.raises(InputError, match="not a file that a log could replace"):
        write_log([], ["kiln"], tmp_path)
    with pytest.raises(InputError, match="not a file that a log could replace"):
        write_log([], ["kiln"], "/dev/null")


def test_a_disk_that_refuses_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(PeerError, match="the log can't be written") as caught:
        write_log([], ["kiln"], tmp_path / ("long" * 60 + ".csv"))
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []
