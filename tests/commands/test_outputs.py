"""What ``plan`` and ``heatwork`` print: the JSON that other programs rely on, and the words."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from hardware.recorded_log import read_log
from simulator.scenario import parse_scenario
from supervisor.commands.numbers import LARGEST_SEED, seed_number
from supervisor.core.errors import InputError
from supervisor.core.readings import FaultCause
from supervisor.core.schedule import starter, starter_names
from tests.commands.conftest import Spyhole, rows_of

HEATWORK = ["channel", "cone", "next_cone", "toward_next", "work", "down_at_s"]
PLAN = ["name", "total_s", "peak_c", "steps", "heatwork", "phases", "cautions", "hold_for"]
STEP = ["start_s", "end_s", "from_c", "to_c", "rate_c_per_h", "hold_s", "note"]
PHASE = ["name", "from_c", "to_c", "start_s", "end_s", "why"]


def test_heatwork_prints_one_document_with_the_agreed_keys(
    spyhole: Spyhole, glaze_log: Path
) -> None:
    found = spyhole("heatwork", glaze_log, "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    assert list(document)[: len(HEATWORK)] == HEATWORK
    assert set(document) - set(HEATWORK) <= {"channels", "interval"}
    assert document["channel"] == "top"
    assert document["cone"] == "6"
    assert document["next_cone"] == "7"
    assert 0.0 < document["toward_next"] < 1.0
    assert document["work"]["7"] == document["toward_next"]
    assert document["work"]["6"] >= 1.0
    assert 0.0 < document["down_at_s"]["5"] < document["down_at_s"]["6"]
    assert [one["channel"] for one in document["channels"]] == ["top", "middle", "bottom"]
    assert all(list(one) == HEATWORK for one in document["channels"])


def test_heatwork_of_a_named_channel_comes_first(spyhole: Spyhole, glaze_log: Path) -> None:
    document = spyhole("heatwork", glaze_log, "--json", "--channel", "bottom").document
    assert document["channel"] == "bottom"
    wrong = spyhole("heatwork", glaze_log, "--channel", "lid")
    assert wrong.code == 1
    assert "it has top, middle, bottom" in wrong.err


def test_heatwork_in_words_says_that_the_witness_cone_decides(
    spyhole: Spyhole, glaze_log: Path
) -> None:
    found = spyhole("heatwork", glaze_log)
    assert "top: cone 6 is down, since " in found.out
    assert "witness cone" in found.out.lower()


def test_a_cold_log_brings_no_cone_down(spyhole: Spyhole, tmp_path: Path) -> None:
    log = tmp_path / "cold.csv"
    log.write_text("elapsed_s,kiln_c\n0,20\n60,21\n")
    document = spyhole("heatwork", log, "--json").document
    assert (document["cone"], document["down_at_s"]) == (None, {})
    assert document["next_cone"] == "022"
    assert "kiln: no cone is down" in spyhole("heatwork", log).out


@pytest.mark.parametrize("name", starter_names())
def test_plan_prints_one_document_with_the_agreed_keys(spyhole: Spyhole, name: str) -> None:
    found = spyhole("plan", name, "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    assert list(document) == [*PLAN, "cone_interval", "hurries", "dawdles"]
    assert document["name"] == starter(name).name
    assert document["hold_for"] is None
    assert document["peak_c"] == pytest.approx(starter(name).peak_c, abs=0.01)
    assert len(document["steps"]) == len(starter(name).steps)
    assert all(list(step) == STEP for step in document["steps"])
    more = ["way", "rate_c_per_h", "fastest_c_per_h", "source"]
    assert all(list(phase) == [*PHASE, *more] for phase in document["phases"])
    assert document["phases"]
    assert list(document["heatwork"]) == HEATWORK
    assert document["heatwork"]["channel"] is None
    ends_s = [step["end_s"] for step in document["steps"]]
    assert ends_s == sorted(ends_s)
    assert document["total_s"] == ends_s[-1]
    assert all(isinstance(caution, str) for caution in document["cautions"])


def test_plan_solves_the_hold_for_a_cone(spyhole: Spyhole) -> None:
    document = spyhole("plan", "midfire-glaze", "--hold-for", "7", "--json").document
    assert document["hold_for"]["cone"] == "7"
    assert document["hold_for"]["hold_min"] > 0
    none = spyhole("plan", "bisque", "--hold-for", "14", "--json").document["hold_for"]
    assert none == {"cone": "14", "hold_min": None}
    assert "A hold of " in spyhole("plan", "midfire-glaze", "--hold-for", "7").out
    wrong = spyhole("plan", "midfire-glaze", "--hold-for", "99", "--json")
    assert (wrong.code, wrong.out) == (1, "")
    assert "this is not a cone" in wrong.err


def test_plan_in_words_shows_either_scale(spyhole: Spyhole) -> None:
    in_c, in_f = spyhole("plan", "bisque").out, spyhole("plan", "bisque", "--units", "F").out
    assert "°C" in in_c
    assert "°F" not in in_c
    assert "°F" in in_f
    assert "°C" not in in_f
    for out in (in_c, in_f):
        assert "By calculation cone" in out
        assert "What the ware goes through:" in out


def test_plan_takes_a_file(spyhole: Spyhole, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text('name = "Mine"\n[[step]]\nrate = 100\nto = 1000\nhold_min = 15\n')
    document = spyhole("plan", path, "--json").document
    assert (document["name"], document["peak_c"]) == ("Mine", 1000.0)
    assert document["steps"][0]["hold_s"] == 900.0
    assert document["steps"][0]["rate_c_per_h"] == 100.0


def test_simulate_writes_a_log_and_the_same_seed_writes_the_same(
    spyhole: Spyhole, tmp_path: Path
) -> None:
    texts = []
    for name, seed in (("a", "7"), ("b", "7"), ("c", "8")):
        out = tmp_path / f"{name}.csv"
        found = spyhole("simulate", "stall", "--out", out, "--seed", seed, "--interval", "60")
        assert (found.code, found.out) == (
            0,
            f"{out}: 841 readings of top, middle, bottom\n",
        )
        texts.append(out.read_text())
    assert texts[0] == texts[1] != texts[2]
    assert texts[0].splitlines()[0] == "elapsed_s,top_c,middle_c,bottom_c"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.csv", "c.csv"]


def test_a_seed_may_be_what_a_scenario_file_may_name() -> None:
    text = 'title = "x"\nkiln = "studio-electric"\nschedule = "bisque"\nseed = {}\n'
    for seed in (0, LARGEST_SEED):
        assert seed_number(str(seed)) == seed
        assert parse_scenario(text.format(seed), "x").seed == seed
    for seed in (-1, LARGEST_SEED + 1):
        with pytest.raises(argparse.ArgumentTypeError, match="from 0 to"):
            seed_number(str(seed))
        with pytest.raises(InputError, match="seed"):
            parse_scenario(text.format(seed), "x")


def test_a_simulated_broken_probe_has_its_fault_in_the_log(
    spyhole: Spyhole, tmp_path: Path
) -> None:
    out = tmp_path / "log.csv"
    assert spyhole("simulate", "broken-probe", "--out", out, "--interval", "60").code == 0
    rows = rows_of(out)
    assert {row["top_fault"] for row in rows} == {"", "open"}
    assert [r.faults.get("top") for r in read_log(out)] == [
        FaultCause(row["top_fault"]) if row["top_fault"] else None for row in rows
    ]
    assert spyhole("simulate", "stall", "--out", out, "--interval", "60", "--units", "F").code == 0
    assert out.read_text().startswith("elapsed_s,top_f,middle_f,bottom_f\n0,")
