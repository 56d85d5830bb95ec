"""``spyhole trends``: what a record of several firings of two kilns tells."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.heatwork.offset import Observation
from supervisor.core.units import Unit
from supervisor.record.rows import Mode, NewFiring, NewNote
from supervisor.record.store import Record
from tests.commands.conftest import Spyhole
from tests.core.firings import HOUR_S, Rig, seen
from tests.core.review.logs import fired
from tests.record.test_reviewed import PLAN

RIG = Rig(every_s=60.0, noise_c=0.3)


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """A record: six firings of a kiln that takes more energy each time, and one of another."""
    folder = tmp_path_factory.mktemp("data")
    ids = []
    readings = seen(fired(cools_s=9 * HOUR_S), rig=RIG)
    new = NewFiring("big", ("kiln",), "made up", PLAN, Mode.IMPORT)
    with Record.open(folder) as record:
        for n in range(6):
            notes = [NewNote(60.0, f"energy {80 + 3 * n} kWh")]
            one = record.import_readings(new, readings, (), notes).result(10.0)
            record.add_observation(one.id, Observation(11 * HOUR_S, "6", "4:30")).result(10.0)
            ids.append(one.id)
        small = replace(new, kiln="small", units=Unit.F)
        record.import_readings(small, readings).result(10.0)
    return folder, ids


def test_each_kiln_is_told_of_with_what_is_worth_a_warning_first(
    spyhole: Spyhole, data: tuple[Path, list[str]]
) -> None:
    folder, ids = data
    found = spyhole("trends", "--data", folder)
    assert (found.code, found.err) == (0, "")
    big, _, small = found.out.partition("small: ")
    assert big.startswith(f"big: 6 firings, {ids[0]} to {ids[-1]}")
    first = big.splitlines()[1]
    assert first.startswith("  ! ")
    assert "95 kWh" in first
    assert "more than chance" in big
    assert small.startswith("1 firing")
    assert "°F" in small
    assert "°C" not in small
    assert "°F" not in big


def test_as_json_it_has_the_figures_and_the_sentences(
    spyhole: Spyhole, data: tuple[Path, list[str]]
) -> None:
    folder, ids = data
    (kiln,) = spyhole("trends", "--kiln", "big", "--data", folder, "--json").document["kilns"]
    assert [point["firing"] for point in kiln["firings"]] == ids
    trends = {trend["kind"]: trend for trend in kiln["trends"]}
    energy = trends["energy"]
    assert energy["verdict"] == "rises"
    assert energy["is_worth_a_warning"]
    assert energy["line"]["slope"] == pytest.approx(3.0)
    assert [value["value"] for value in energy["values"]] == [80, 83, 86, 89, 92, 95]
    assert trends["climb"]["values"][0]["is_at_least"]
    assert trends["drift"]["of"] == "kiln"
    assert not trends["drift"]["is_worth_a_warning"]
    assert set(energy["said"]) == {"C", "F"}


def test_only_warnings_or_nothing_at_all(spyhole: Spyhole, data: tuple[Path, list[str]]) -> None:
    folder, ids = data
    found = spyhole("trends", "--warnings", "--data", folder)
    assert found.code == 0
    assert [
        line[2] for line in found.out.splitlines() if line.startswith("  ") and line[2] != " "
    ] == ["!"]
    assert "small" not in found.out
    quiet = spyhole("trends", "--warnings", "--since", ids[3], "--data", folder)
    assert (quiet.code, quiet.out) == (0, "")


def test_it_begins_anew_with_new_elements_and_looks_back_as_far_as_asked(
    spyhole: Spyhole, data: tuple[Path, list[str]]
) -> None:
    folder, ids = data
    (kiln,) = spyhole("trends", "--since", ids[3], "--data", folder, "--json").document["kilns"]
    assert [point["firing"] for point in kiln["firings"]] == ids[3:]
    assert {t["verdict"] for t in kiln["trends"]} == {"too few firings"}
    (kiln,) = spyhole(
        "trends", "--kiln", "big", "--last", "2", "--data", folder, "--json"
    ).document["kilns"]
    assert [point["firing"] for point in kiln["firings"]] == ids[4:]


def test_what_is_not_there_is_one_sentence(
    spyhole: Spyhole, data: tuple[Path, list[str]], tmp_path: Path
) -> None:
    folder, ids = data
    for words, said in (
        (("--kiln", "huge", "--data", folder), "it has big, small"),
        (("--since", "x", "--data", folder), "no firing"),
        (("--since", ids[0], "--kiln", "small", "--data", folder), 'is of kiln "big"'),
        (("--data", tmp_path), "no record is in"),
    ):
        found = spyhole("trends", *words)
        assert (found.code, found.err.count("\n")) == (1, 1), found.err
        assert said in found.err
    assert spyhole("trends", "--last", "0").code == 2
