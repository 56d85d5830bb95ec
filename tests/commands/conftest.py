"""The command line in this process, and logs to give it."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import pytest

from simulator.firing import SimulatedFiring
from simulator.run import simulate, write_log
from simulator.scenario import Scenario, load_scenario
from supervisor.commands.main import main
from supervisor.core.units import Unit


@dataclass(frozen=True)
class Outcome:
    """What a command left: its exit code, what it printed and what it said of errors."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        """The one JSON document on stdout."""
        return json.loads(self.out)


Spyhole: TypeAlias = Callable[..., Outcome]


@pytest.fixture
def spyhole(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Spyhole:
    """Runs one command line; no record of the person who runs the tests is ever touched."""
    monkeypatch.setenv("SPYHOLE_DATA", "/nowhere/spyhole-tests")

    def run(*words: str | Path) -> Outcome:
        capsys.readouterr()
        try:
            code = main([str(word) for word in words])
        except SystemExit as leaving:
            code = leaving.code if isinstance(leaving.code, int) else 1
        out, err = capsys.readouterr()
        return Outcome(code, out, err)

    return run


@pytest.fixture(scope="session")
def stall_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The stall scenario's log, a reading each 10 s."""
    path = tmp_path_factory.mktemp("logs") / "stall.csv"
    scenario = load_scenario("stall")
    return simulated_log(path, scenario, 10.0)


@pytest.fixture(scope="session")
def glaze_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A mid-fire glaze firing that goes well, a reading each 20 s."""
    path = tmp_path_factory.mktemp("logs") / "glaze.csv"
    scenario = load_scenario("healthy-midfire")
    return simulated_log(path, scenario, 20.0)


@pytest.fixture(scope="session")
def stall_onset_s() -> float:
    """When the climb of the stall scenario really dies; only the simulator knows."""
    firing = SimulatedFiring(load_scenario("stall"))
    while not firing.faults_on:
        firing.advance_to(firing.elapsed_s + 1.0)
    return firing.elapsed_s


def simulated_log(path: Path, scenario: Scenario, interval_s: float, unit: Unit = Unit.C) -> Path:
    """The log of a scenario without broken probes."""
    with path.open("w", encoding="utf-8", newline="") as file:
        write_log(simulate(scenario, interval_s), scenario.channels, file, unit)
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a log by the names of its columns."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write_rows(path: Path, rows: list[dict[str, str]]) -> Path:
    """A log of these rows."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path
