"""``spyhole repeat``: a plan from a firing of the record or a log, never over a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulator.scenario import load_scenario
from supervisor.core.schedule import parse_schedule, starter
from tests.commands.conftest import Spyhole, simulated_log

PLAN = ("--schedule", "midfire-slow-cool")


@pytest.fixture(scope="module")
def slow_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A simulated glaze firing that was cooled slowly with heat on."""
    path = tmp_path_factory.mktemp("logs") / "slow.csv"
    return simulated_log(path, load_scenario("healthy-slow-cool"), 30.0)


def test_the_plan_of_a_firing_is_the_plan_that_was_fired(
    spyhole: Spyhole, slow_log: Path, tmp_path: Path
) -> None:
    data, out = tmp_path / "data", tmp_path / "again.toml"
    firing = spyhole("log", "add", slow_log, *PLAN, "--data", data).out.strip()
    found = spyhole("repeat", firing, "--out", out, "--data", data, "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    assert out.read_text() == document["toml"]
    again, fired = parse_schedule(out.read_text()), starter("midfire-slow-cool")
    # The last step of the plan is natural cooling, which the firing needs no step for.
    assert len(again.steps) == len(fired.steps) - 1
    for step, wanted in zip(again.steps, fired.steps, strict=False):
        assert step.to_c == pytest.approx(wanted.to_c, abs=6.0)
        assert step.hold_s == pytest.approx(wanted.hold_s, abs=300.0)
        if wanted.rate_c_per_h is None:
            assert step.rate_c_per_h is None
        else:
            assert step.rate_c_per_h == pytest.approx(wanted.rate_c_per_h, rel=0.04)
    assert again.target_cone == "6"
    assert firing in again.name
    assert again.steps[0].note == fired.steps[0].note
    assert document["heatwork"]["within_a_tenth"]
    assert abs(document["heatwork"]["cones_apart"]) <= 0.1
    assert document["off_c"] <= document["within_c"] == 5.0
    assert spyhole("plan", out).code == 0


def test_text_suggests_and_puts_nothing_into_the_plan(
    spyhole: Spyhole, slow_log: Path, tmp_path: Path
) -> None:
    words = ("repeat", slow_log, *PLAN, "--units", "F", "--within", "9F")
    plain = spyhole(*words, "--out", tmp_path / "a.toml")
    dull = spyhole(*words, "--out", tmp_path / "b.toml", "--defect", "too-dull")
    assert plain.code == dull.code == 0
    assert "Nothing to change" in plain.out
    assert "leave out the steps that hold it back" in dull.out.replace("\n    ", " ")
    assert "°F" in dull.out
    assert "°C" not in dull.out
    assert (tmp_path / "a.toml").read_text() == (tmp_path / "b.toml").read_text()
    assert 'units = "F"' in (tmp_path / "a.toml").read_text()
    shown = spyhole(*words)
    assert (tmp_path / "a.toml").read_text() in shown.out


def test_a_file_is_never_replaced_and_what_cannot_be_is_one_sentence(
    spyhole: Spyhole, slow_log: Path, tmp_path: Path
) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text("mine")
    cold = tmp_path / "cold.csv"
    cold.write_text("elapsed_s,kiln_c\n0,20\n60,21\n")
    for words, said in (
        ((slow_log, "--out", mine), "never replaces"),
        ((slow_log, "--out", tmp_path / "plan.txt"), "ends so"),
        ((slow_log, "--within", "1C"), "give 2.0 to 50 °C"),
        ((slow_log, "--within", "wide"), "as 5C or 9F"),
        ((cold,), "no firing to repeat"),
        (("2026-x", "--data", tmp_path), "no record is in"),
        (("2026-x", "--schedule", "bisque", "--data", tmp_path), "goes with a log"),
    ):
        found = spyhole("repeat", *words)
        assert (found.code, found.out, found.err.count("\n")) == (1, "", 1), found.err
        assert said in found.err
    assert mine.read_text() == "mine"
    assert spyhole("repeat").code == 2
