"""``spyhole plan``: what it prints for people and for programs, and how it takes its options."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from supervisor.commands.plan import _wrapped
from supervisor.core.schedule import starter_names
from tests.commands.conftest import Spyhole

RUSHED = 'name = "Rushed"\nkind = "bisque"\ntarget_cone = "06"\n[[step]]\nrate = 250\nto = 1000\n'


@pytest.fixture
def rushed(tmp_path: Path) -> Path:
    path = tmp_path / "rushed.toml"
    path.write_text(RUSHED)
    return path


@pytest.mark.parametrize("columns", [60, 80, 100, 300])
@pytest.mark.parametrize("name", starter_names())
def test_text_fits_the_terminal_and_keeps_numbers_with_their_units(
    spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch, name: str, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    for line in spyhole("plan", name).out.splitlines():
        assert len(line) <= min(columns, 100), line
        assert not re.match(r"\s*(°[CF]|an hour|h|min|minutes|%)\b", line), line
        assert not re.search(r"\d$", line) or re.search(r"(cone \S+|to \d+:\d\d)$", line), line
        assert "\N{NO-BREAK SPACE}" not in line


def test_what_follows_a_time_stands_in_a_column() -> None:
    said = _wrapped("0:00 to 10:30  " + "word " * 30, 60, "  ")
    first, *rest = said.splitlines()
    column = first.index("word")
    assert rest
    assert all(line.startswith(" " * column + "word") for line in rest)


def test_a_rushed_bisque_is_cautioned_band_by_band(spyhole: Spyhole, rushed: Path) -> None:
    out = spyhole("plan", rushed).out
    said = out[out.index("Cautions:") :]
    for band in ("drying", "chemical", "quartz", "burning out"):
        assert band in said
    assert said.count("\n  - ") == 5


def test_json_has_the_bands_rates_and_sources(spyhole: Spyhole, rushed: Path) -> None:
    document = spyhole("plan", rushed, "--json").document
    drying = document["phases"][0]
    assert drying["name"] == "drying"
    assert drying["way"] == "heating"
    assert drying["rate_c_per_h"] == pytest.approx(250.0)
    assert drying["fastest_c_per_h"] == 100.0
    assert "common practice" in drying["source"]
    assert len(document["cautions"]) == 5
    assert document["hurries"]
    assert document["dawdles"] == []


def test_the_kilns_limit_is_in_the_scale_that_is_shown(spyhole: Spyhole) -> None:
    assert "Cautions" not in spyhole("plan", "highfire-reduction", "--limit", "1280").out
    assert "limit of 1,260 °C" in spyhole("plan", "highfire-reduction", "--limit", "1260").out
    said = spyhole("plan", "highfire-reduction", "--limit", "2300", "--units", "F").out
    assert "limit of 2,300 °F" in said


@pytest.mark.parametrize("limit", ["hot", "nan", "-5", "1501", "1e9", ""])
def test_an_impossible_limit_is_one_sentence(spyhole: Spyhole, limit: str) -> None:
    found = spyhole("plan", "bisque", f"--limit={limit}")
    assert (found.code, found.out) == (1, "")
    assert found.err.count("\n") == 1
    assert "give 0 to 1500 °C" in found.err


def test_a_band_of_the_schedules_own_is_looked_after(spyhole: Spyhole, rushed: Path) -> None:
    rushed.write_text(RUSHED + '[[band]]\nname = "mine"\nfrom = 300\nto = 400\nfastest = 50\n')
    phases = spyhole("plan", rushed, "--json").document["phases"]
    assert "mine" in [phase["name"] for phase in phases]
    assert "“mine” (300 °C to" in spyhole("plan", rushed).out.replace("\n    ", " ")


@pytest.mark.parametrize("suffix", [".html", ".svg"])
def test_a_plan_is_drawn_into_a_file(spyhole: Spyhole, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"plan{suffix}"
    found = spyhole("plan", "bisque", "--out", path)
    assert found.code == 0
    assert found.out == f"{path}: Bisque, cone 06, thick and thin ware together, no cautions\n"
    text = path.read_text(encoding="utf-8")
    assert "<svg" in text
    assert "quartz turns" in text


def test_another_ending_is_refused_in_one_sentence(spyhole: Spyhole, tmp_path: Path) -> None:
    found = spyhole("plan", "bisque", "--out", tmp_path / "plan.doc")
    assert (found.code, found.out) == (1, "")
    assert ".html" in found.err
    assert list(tmp_path.iterdir()) == []
