"""``spyhole unload``: defects ticked on unloading, traced in the record and in a log."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulator.scenario import load_scenario
from supervisor.core.defects import DefectKind
from supervisor.record.store import Record
from supervisor.record.unloading import Finding
from tests.commands.conftest import Spyhole, rows_of, simulated_log, write_rows


@pytest.fixture(scope="module")
def opened_log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A good glaze firing whose lid was opened far too early."""
    path = tmp_path_factory.mktemp("logs") / "opened.csv"
    return simulated_log(path, load_scenario("opened-hot"), 30.0)


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("data")


PLAN = ("--schedule", "midfire-glaze")


def test_a_lid_opened_early_is_behind_the_cracks(spyhole: Spyhole, opened_log: Path) -> None:
    found = spyhole("unload", opened_log, *PLAN, "--defect", "Crazing, dunting", "--json")
    assert (found.code, found.err) == (0, "")
    crazing, dunting = found.document["defects"]
    assert (crazing["defect"], dunting["defect"]) == ("crazing", "dunting")
    verdicts = {cause["name"]: cause["verdict"] for cause in dunting["causes"]}
    assert verdicts["opened-hot"] == verdicts["cristobalite-down"] == "supported"
    assert verdicts["quartz-down"] == verdicts["long-hot"] == "ruled out"
    opened = next(cause for cause in crazing["causes"] if cause["name"] == "opened-hot")
    assert 350.0 < opened["figures"]["opened_c"] < 450.0
    assert "Hamer" in opened["source"]
    assert all("cause" in outside for outside in dunting["outside"])


def test_the_text_is_for_people_in_their_scale(
    spyhole: Spyhole, opened_log: Path, record: Path
) -> None:
    added = spyhole("log", "add", opened_log, *PLAN, "--data", record)
    firing = added.out.strip()
    words = ("unload", firing, "--defect", "crazing", "--defect", "crazing", "--data", record)
    found = spyhole(*words)
    assert found.code == 0
    assert found.out.count("CRAZING") == 1
    assert "the firing speaks for:" in found.out
    assert "outside the firing" in found.out
    assert "no proof" in found.out
    in_f = spyhole(*words, "--units", "F").out
    assert "°F" in in_f
    assert "°C" not in in_f
    for number in (1, 2):
        assert f"[{number}]" in found.out.partition("sources:")[0]
        assert f"[{number}] " in found.out.partition("sources:")[2]


def test_ticks_are_kept_with_the_firing_and_so_is_what_they_were_traced_to(
    spyhole: Spyhole, opened_log: Path, tmp_path: Path
) -> None:
    words = ("--data", tmp_path)
    firing = spyhole("log", "add", opened_log, *PLAN, *words).out.strip()
    assert spyhole("unload", firing, "--look", "--defect", "shivering", *words).code == 0
    assert spyhole("unload", firing, *words).code == 2, "a look keeps nothing"
    first = spyhole("unload", firing, "--defect", "crazing", "--by", "Ann", *words)
    assert first.code == 0
    again = spyhole("unload", firing, "--defect", "pinholes", "--json", *words)
    assert [one["defect"] for one in again.document["defects"]] == ["pinholes", "crazing"]
    with Record.open(tmp_path) as record:
        # As from the page: at a place, with a level, and a key that is no defect's.
        ticks = [Finding("dunting", 3, "top shelf"), Finding("the-blue-vase", 1)]
        record.find_at_unloading(firing, ticks).result(10.0)
    standing = spyhole("unload", firing, "--json", *words)
    assert {one["defect"] for one in standing.document["defects"]} == {
        "pinholes", "crazing", "dunting",
    }  # fmt: skip
    left = spyhole("unload", firing, "--not", "crazing, dunting", "--json", *words)
    assert [one["defect"] for one in left.document["defects"]] == ["pinholes"]
    with Record.open_to_read(tmp_path) as record:
        kept = {(one.key, one.by) for one in record.findings(firing)}
        (account,) = record.accounts(firing)
    assert kept == {("pinholes", None), ("the-blue-vase", None)}
    assert account.topic == "traced"
    assert account.text.startswith("pinholes:")
    none = spyhole("unload", firing, "--not", "pinholes", *words)
    assert (none.code, "Nothing is ticked any more" in none.out) == (0, True)
    with Record.open_to_read(tmp_path) as record:
        assert record.accounts(firing) == []


def test_a_repeat_goes_by_what_is_ticked(
    spyhole: Spyhole, opened_log: Path, tmp_path: Path
) -> None:
    firing = spyhole("log", "add", opened_log, *PLAN, "--data", tmp_path).out.strip()
    before = spyhole("repeat", firing, "--data", tmp_path, "--json").document["suggestions"]
    spyhole("unload", firing, "--defect", "crazing", "--data", tmp_path)
    after = spyhole("repeat", firing, "--data", tmp_path, "--json").document["suggestions"]
    assert before == []
    assert any("Leave it shut" in one["change"] for one in after)


def test_a_column_of_remarks_tells_when_it_was_reduced(
    spyhole: Spyhole, opened_log: Path, tmp_path: Path
) -> None:
    rows = rows_of(opened_log)
    for row in rows:
        hour = float(row["elapsed_s"]) / 3600.0
        row["remark"] = "reduction begun" if 7.0 < hour < 7.5 else "reduction ended"
        row["remark"] = row["remark"] if hour > 7.0 else "candle"
    log = write_rows(tmp_path / "noted.csv", rows)
    found = spyhole("unload", log, *PLAN, "--defect", "weak-reduction", "--json")
    (weak,) = found.document["defects"]
    late = next(cause for cause in weak["causes"] if cause["name"] == "reduced-late")
    assert late["verdict"] == "ruled out"
    assert 800.0 < late["figures"]["begun_c"] < 950.0
    brief = next(cause for cause in weak["causes"] if cause["name"] == "reduced-briefly")
    assert brief["figures"]["lasted_s"] == pytest.approx(1800.0, abs=120.0)


def test_what_cannot_be_traced_is_one_sentence(
    spyhole: Spyhole, opened_log: Path, tmp_path: Path
) -> None:
    found = spyhole("unload", opened_log, *PLAN, "--defect", "cracked")
    assert found.code == 1
    assert found.err.startswith('spyhole unload: "cracked" is no defect that spyhole knows')
    assert spyhole("unload", opened_log, *PLAN).code == 2
    assert spyhole("unload", "--defect", "crazing").code == 2
    missing = spyhole("unload", "2026-x", "--defect", "crazing", "--data", tmp_path)
    assert missing.code == 1
    assert "no record is in" in missing.err
    cold = tmp_path / "cold.csv"
    cold.write_text("elapsed_s,kiln_c\n0,20\n60,21\n")
    found = spyhole("unload", cold, "--defect", "crazing")
    assert (found.code, found.err.count("\n")) == (1, 1)
    assert "never was hot" in found.err


def test_help_names_every_defect(spyhole: Spyhole) -> None:
    told = spyhole("unload", "--help").out
    assert all(f"  {kind} " in told for kind in DefectKind)
