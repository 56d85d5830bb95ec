"""``replay`` on any log of the format: every sampling, blanks, °F, wall-clock times."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from simulator.scenario import load_scenario
from supervisor.core.units import Unit
from tests.commands.conftest import Spyhole, rows_of, simulated_log, write_rows

EVENT = ["elapsed_s", "time", "kind", "severity", "state", "channel", "message", "data"]
SCHEDULE = "midfire-glaze"
WITHIN_S = 15 * 60.0
SAMPLED_S = 10.0


def events_of(spyhole: Spyhole, log: Path) -> list[dict[str, Any]]:
    out = log.with_suffix(".jsonl")
    found = spyhole("replay", log, "--schedule", SCHEDULE, "--events", out)
    assert (found.code, found.out) == (0, "")
    return [json.loads(line) for line in out.read_text().splitlines()]


def worries(events: list[dict[str, Any]]) -> list[str]:
    return [event["kind"] for event in events if event["severity"] != "info"]


def plain(events: list[dict[str, Any]]) -> list[tuple[str, str, float]]:
    return [(event["kind"], event["state"], event["elapsed_s"]) for event in events]


def test_each_event_is_one_line_with_the_agreed_keys_in_order(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    out = tmp_path / "events.jsonl"
    spyhole("replay", stall_log, "--schedule", SCHEDULE, "--events", out)
    lines = out.read_bytes().split(b"\n")
    assert lines.pop() == b""
    assert len(lines) > 3
    for line in lines:
        event = json.loads(line)
        assert list(event) == EVENT
        assert event["severity"] in ("info", "warning", "critical")
        assert event["state"] in ("raised", "cleared")
        assert event["message"].endswith(".")
        assert isinstance(event["data"], dict)
    assert [path.name for path in tmp_path.iterdir()] == ["events.jsonl"]
    times_s = [json.loads(line)["elapsed_s"] for line in lines]
    assert times_s == sorted(times_s)


def test_the_advice_is_for_the_kind_of_kiln_that_is_told(spyhole: Spyhole, stall_log: Path) -> None:
    def stall(*kind: str) -> str:
        found = spyhole("replay", stall_log, "--schedule", SCHEDULE, "--json", *kind)
        events = json.loads(found.out)["events"]
        return str(next(event["message"] for event in events if event["kind"] == "stall"))

    assert "gas bottle" in stall("--kind", "gas")
    assert "gas bottle" not in stall("--kind", "electric")
    found = spyhole("replay", stall_log, "--schedule", SCHEDULE, "--kind", "solar")
    assert found.code == 2
    assert "solar" in found.err


def test_the_same_log_gives_the_same_bytes(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    outs = [tmp_path / "one.jsonl", tmp_path / "two.jsonl"]
    for out in outs:
        spyhole("replay", stall_log, "--schedule", SCHEDULE, "--events", out)
    assert outs[0].read_bytes() == outs[1].read_bytes() != b""


@pytest.mark.parametrize("interval_s", [1.0, 2.0, 7.5, 30.0])
@pytest.mark.parametrize("unit", list(Unit))
def test_a_stall_is_found_in_time_at_every_sampling_and_in_either_scale(
    spyhole: Spyhole, tmp_path: Path, stall_onset_s: float, interval_s: float, unit: Unit
) -> None:
    scenario = load_scenario("stall")
    log = simulated_log(tmp_path / "log.csv", scenario, interval_s, unit)
    events = events_of(spyhole, log)
    assert worries(events) == ["stall"]
    (stall,) = (event for event in events if event["kind"] == "stall")
    assert 0.0 < stall["elapsed_s"] - stall_onset_s <= WITHIN_S


def test_a_healthy_firing_with_blanks_raises_no_warning(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    rows = rows_of(glaze_log)
    for number, row in enumerate(rows):
        for place, column in enumerate(("top_c", "middle_c", "bottom_c")):
            if (number + place) % 3 == 0:
                row[column] = ""
    events = events_of(spyhole, write_rows(tmp_path / "blanks.csv", rows))
    assert worries(events) == []
    assert "firing_finished" in [event["kind"] for event in events]
    assert "cone_down" in [event["kind"] for event in events]


def test_a_stall_is_found_through_blanks(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path, stall_onset_s: float
) -> None:
    rows = rows_of(stall_log)
    for number, row in enumerate(rows):
        if number % 2:
            row.update(top_c="", middle_c="", bottom_c="")
    events = events_of(spyhole, write_rows(tmp_path / "blanks.csv", rows))
    assert worries(events) == ["stall"]
    (stall,) = (event for event in events if event["kind"] == "stall")
    assert 0.0 < stall["elapsed_s"] - stall_onset_s <= WITHIN_S


def test_times_of_the_wall_clock_give_the_same_events_and_their_labels(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    began = datetime.fromisoformat("2026-03-28T20:00:00+01:00")
    rows = []
    for row in rows_of(stall_log):
        at = began + timedelta(seconds=float(row.pop("elapsed_s")))
        rows.append({"time": at.isoformat(), **row})
    events = events_of(spyhole, write_rows(tmp_path / "times.csv", rows))
    plainly = events_of(spyhole, write_rows(tmp_path / "plain.csv", rows_of(stall_log)))
    assert plain(events) == plain(plainly)
    assert [event["message"] for event in events] == [event["message"] for event in plainly]
    for event in events:
        assert datetime.fromisoformat(event["time"]) - began == timedelta(
            seconds=event["elapsed_s"]
        )
    assert {event["time"] for event in plainly} == {None}


def test_other_columns_are_annotations_and_change_nothing(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    rows = [{**row, "damper": "half, in"} for row in rows_of(stall_log)]
    assert events_of(spyhole, write_rows(tmp_path / "notes.csv", rows)) == events_of(
        spyhole, write_rows(tmp_path / "plain.csv", rows_of(stall_log))
    )


def test_one_document_holds_readings_events_and_heatwork(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    found = spyhole("replay", stall_log, "--schedule", SCHEDULE, "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    assert list(document) == ["readings", "events", "heatwork"]
    assert document["readings"] == len(rows_of(stall_log))
    assert document["events"] == events_of(
        spyhole, write_rows(tmp_path / "log.csv", rows_of(stall_log))
    )
    assert document["heatwork"] == {
        key: value
        for key, value in spyhole("heatwork", stall_log, "--json").document.items()
        if key not in ("channels", "interval")
    }


def test_without_a_file_for_them_the_events_are_told_in_words(
    spyhole: Spyhole, stall_log: Path
) -> None:
    found = spyhole("replay", stall_log, "--schedule", SCHEDULE)
    assert found.code == 0
    (line,) = (line for line in found.out.splitlines() if " stall" in line)
    assert line.startswith("7:")
    assert " !  stall: " in line
    assert "stall 1" in found.err
    in_f = spyhole("replay", stall_log, "--schedule", SCHEDULE, "--units", "F")
    assert "°F" in in_f.out
    assert "°C" not in in_f.out
