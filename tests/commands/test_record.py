"""``log`` and ``report``: what goes into the record comes out of it, and gives the same events."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hardware.recorded_log import read_log
from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.core.schedule import starter, starter_text
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.rows import NewFiring
from supervisor.record.store import LONGEST_NOTE, Record
from supervisor.service.setup import watch_settings_of
from tests.commands.conftest import Spyhole, rows_of, write_rows
from tests.service.firings import begin, event_lines, keep, night, scenario

FIRING = ["id", "kiln", "name", "mode", "state", "started_at", "length_s", "readings", "channels"]
FIRING += ["critical", "warnings", "peak_c", "cone"]


@pytest.fixture(scope="session")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A data folder with one simulated firing in it, kept as the daemon keeps one; and its id."""
    folder = tmp_path_factory.mktemp("data")
    with Record.open(folder) as record:
        firing = begin(record, "broken-probe")
        kept = keep(record, firing, name="broken-probe")
        kept.feed(*night("broken-probe"))
        record.add_note(firing.id, 600.0, "Damper, half in; “so far so good”", by="Ann")
    return folder, firing.id


def test_a_reported_log_gives_the_events_that_the_report_holds(
    spyhole: Spyhole, recorded: tuple[Path, str], tmp_path: Path
) -> None:
    folder, firing_id = recorded
    log, report = tmp_path / "firing.csv", tmp_path / "firing.json"
    for out in (log, report):
        found = spyhole("report", firing_id, "--out", out, "--data", folder)
        assert (found.code, found.out) == (0, f"{out}: firing {firing_id}\n")
    document = json.loads(report.read_text())
    schedule, events = tmp_path / "plan.toml", tmp_path / "events.jsonl"
    schedule.write_text(document["schedule_toml"])
    assert spyhole("replay", log, "--schedule", schedule, "--events", events).code == 0
    lines = events.read_text().splitlines()
    assert [json.loads(line) for line in lines] == document["events"]
    with Record.open_to_read(folder) as record:
        assert lines == record.event_lines(firing_id), "letter for letter"
        count = len(list(record.readings(firing_id)))
    assert len(rows_of(log)) == count == len(document["readings"])
    assert lines == event_lines(night("broken-probe")[:count], "broken-probe")
    assert any('"sensor_fault"' in line for line in lines)


def test_the_whole_report_has_alerts_notes_and_readings(
    spyhole: Spyhole, recorded: tuple[Path, str], tmp_path: Path
) -> None:
    folder, firing_id = recorded
    report = tmp_path / "firing.json"
    spyhole("report", firing_id[:-1], "--out", report, "--data", folder)
    document = json.loads(report.read_text())
    assert document["firing"]["id"] == firing_id
    assert document["channels"] == list(scenario("broken-probe").channels)
    assert [note["text"] for note in document["notes"]] == ["Damper, half in; “so far so good”"]
    assert document["alerts"][0]["kind"] == "sensor_fault"
    assert document["readings"][0]["elapsed_s"] == 0.0


def test_a_report_in_fahrenheit_gives_the_same_events_to_the_figures_shown(
    spyhole: Spyhole, recorded: tuple[Path, str], tmp_path: Path
) -> None:
    folder, firing_id = recorded
    kinds = {}
    for unit in ("C", "F"):
        log, events = tmp_path / f"{unit}.csv", tmp_path / f"{unit}.jsonl"
        spyhole("report", firing_id, "--out", log, "--data", folder, "--units", unit)
        assert f"top_{unit.lower()}" in log.read_text().splitlines()[0]
        spyhole("replay", log, "--schedule", "midfire-glaze", "--events", events)
        found = [json.loads(line) for line in events.read_text().splitlines()]
        kinds[unit] = [(e["kind"], e["state"], e["elapsed_s"], e["message"]) for e in found]
    assert kinds["C"] == kinds["F"]
    assert len(kinds["C"]) > 5


def test_a_log_that_was_added_is_listed_and_reported(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "data"
    added = spyhole(
        "log", "add", stall_log, "--schedule", "midfire-glaze", "--kiln", "shed", "--data", folder
    )
    assert (added.code, added.err) == (0, "")
    firing_id = added.out.strip()
    assert added.out == f"{firing_id}\n"
    (listed,) = spyhole("log", "--json", "--data", folder).document
    assert list(listed) == FIRING
    assert listed["id"] == firing_id
    assert (listed["kiln"], listed["mode"], listed["state"]) == ("shed", "import", "closed")
    assert listed["readings"] == len(rows_of(stall_log))
    assert listed["channels"] == ["top", "middle", "bottom"]
    assert firing_id in spyhole("log", "--data", folder).out
    report, events = tmp_path / "report.json", tmp_path / "events.jsonl"
    assert spyhole("report", firing_id, "--out", report, "--data", folder).code == 0
    document = json.loads(report.read_text())
    assert document["schedule_toml"] == starter_text("midfire-glaze")
    spyhole("replay", stall_log, "--schedule", "midfire-glaze", "--events", events)
    assert document["events"] == [json.loads(line) for line in events.read_text().splitlines()]
    again = tmp_path / "again.csv"
    spyhole("report", firing_id, "--out", again, "--data", folder)
    for row, original in zip(rows_of(again), rows_of(stall_log), strict=True):
        assert {name: float(cell) for name, cell in row.items()} == {
            name: float(cell) for name, cell in original.items()
        }


def test_an_added_log_can_answer_as_json(spyhole: Spyhole, glaze_log: Path, tmp_path: Path) -> None:
    words = ("log", "add", glaze_log, "--schedule", "midfire-glaze", "--data", tmp_path)
    document = spyhole(*words, "--json").document
    assert list(document) == ["id"]
    assert spyhole("log", "--data", tmp_path, "--json").document[0]["id"] == document["id"]


def test_a_log_with_times_begins_when_it_began(spyhole: Spyhole, tmp_path: Path) -> None:
    log = tmp_path / "times.csv"
    log.write_text("time,kiln_c\n2026-03-28T20:00:00+01:00,20\n2026-03-28T20:01:00+01:00,21\n")
    added = spyhole("log", "add", log, "--schedule", "bisque", "--data", tmp_path / "data")
    assert added.out.startswith("2026-03-28-")
    (listed,) = spyhole("log", "--json", "--data", tmp_path / "data").document
    assert listed["started_at"] == "2026-03-28T20:00:00+01:00"
    assert listed["length_s"] == 60.0


def test_a_log_without_times_is_told_when_it_began(spyhole: Spyhole, tmp_path: Path) -> None:
    log, folder = tmp_path / "old.csv", tmp_path / "data"
    log.write_text("elapsed_s,top_c\n0,20\n60,21\n120,23\n")
    add = ("log", "add", log, "--schedule", "bisque", "--data", folder)
    for given, complaint in (
        ("spring", "--begun spring: give a day or a time, such as 2026-03-14 or 2026-03-14T18:30"),
        ("2026-02-30", "--begun 2026-02-30: give a day or a time"),
        ("9999-12-31", "--begun 9999-12-31: that has not been yet"),
    ):
        refused = spyhole(*add, "--begun", given)
        assert (refused.code, refused.out) == (1, "")
        assert complaint in refused.err
    assert not folder.exists()
    added = spyhole(*add, "--begun", "2025-03-14T18:30:00+01:00")
    assert added.out.startswith("2025-03-14-")
    (listed,) = spyhole("log", "--json", "--data", folder).document
    assert listed["started_at"] == "2025-03-14T18:30:00+01:00"
    twice = spyhole(*add, "--begun", "2025-03-14T18:30:00+01:00")
    assert (twice.code, "has this log already" in twice.err) == (1, True)
    # A log that knows it already is not told otherwise.
    log.write_text("time,top_c\n2025-03-15T18:30:00+01:00,20\n2025-03-15T18:31:00+01:00,21\n")
    refused = spyhole(*add, "--begun", "2025-03-14")
    assert (refused.code, refused.out) == (1, "")
    assert "this one began at 2025-03-15T18:30:00+01:00" in refused.err
    assert len(spyhole("log", "--json", "--data", folder).document) == 1
    # And without a plan it is said what is missing.
    unplanned = spyhole("log", "add", log, "--data", folder)
    assert unplanned.code == 1
    assert "old.csv: name the plan that was fired: --schedule S" in unplanned.err


def test_a_log_that_is_spoilt_in_the_middle_leaves_no_firing(
    spyhole: Spyhole, stall_log: Path, tmp_path: Path
) -> None:
    rows = rows_of(stall_log)
    rows[3000]["middle_c"] = "warm"
    log = write_rows(tmp_path / "spoilt.csv", rows)
    folder = tmp_path / "data"
    found = spyhole("log", "add", log, "--schedule", "midfire-glaze", "--data", folder)
    assert (found.code, found.out) == (1, "")
    assert found.err.startswith("spyhole log: spoilt.csv, line 3002, column middle_c:")
    assert spyhole("log", "--json", "--data", folder).document == []


def test_an_empty_record_is_no_error_and_is_not_made(spyhole: Spyhole, tmp_path: Path) -> None:
    folder = tmp_path / "data"
    assert spyhole("log", "--json", "--data", folder).document == []
    assert spyhole("log", "--data", folder).out == (
        f"There is no firing in the record ({folder}) yet.\n"
    )
    assert not folder.exists()


def test_the_folder_of_the_environment_is_used(
    spyhole: Spyhole, recorded: tuple[Path, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SPYHOLE_DATA", str(recorded[0]))
    assert recorded[1] in spyhole("log").out


def test_a_daemon_beside_waits_for_the_rows_alone_and_not_for_the_watch(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "data"
    watched: list[Reading] = []

    class Apart(Watch):
        def feed(self, reading: Reading) -> list[Event]:
            assert not folder.exists(), "the record is open while the watch runs"
            watched.append(reading)
            return super().feed(reading)

    monkeypatch.setattr("supervisor.commands.log_add.Watch", Apart)
    words = ("log", "add", glaze_log, "--schedule", "midfire-glaze", "--data", folder)
    firing_id = spyhole(*words).out.strip()
    with Record.open_to_read(folder) as record:
        assert list(record.readings(firing_id)) == watched == list(read_log(glaze_log))
        assert any(event.kind is Kind.CONE_DOWN for event in record.events(firing_id))


def test_annotations_of_a_log_are_kept_as_notes(spyhole: Spyhole, tmp_path: Path) -> None:
    log, out = tmp_path / "old.csv", tmp_path / "firing.json"
    endless = "x" * (LONGEST_NOTE + 1)
    log.write_text(
        "elapsed_s,time,kiln_c,damper,cone\n"
        '0,2026-03-28T20:00:00+01:00,20,"half, in",\n'
        '60,2026-03-28T20:01:00+01:00,21,"half, in",\n'
        f"120,2026-03-28T20:02:00+01:00,22,,{endless}\n"
        "180,2026-03-28T20:03:00+01:00,23,in,\n"
    )
    words = ("log", "add", log, "--schedule", "bisque", "--data", tmp_path / "data")
    firing_id = spyhole(*words).out.strip()
    spyhole("report", firing_id, "--out", out, "--data", tmp_path / "data")
    notes = json.loads(out.read_text())["notes"]
    assert [(note["elapsed_s"], note["text"]) for note in notes] == [
        (0.0, "damper: half, in"),
        (120.0, f"cone: {'x' * (LONGEST_NOTE - 7)}…"),
        (180.0, "damper: in"),
    ]
    assert {note["by"] for note in notes} == {"log"}
    assert notes[2]["time"] == "2026-03-28T20:03:00+01:00"


def test_a_log_taken_in_keeps_how_it_was_watched(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    out = tmp_path / "firing.json"
    words = ("log", "add", glaze_log, "--schedule", "midfire-glaze", "--data", tmp_path)
    spyhole("report", spyhole(*words).out.strip(), "--out", out, "--data", tmp_path)
    settings = json.loads(out.read_text())["settings"]
    assert settings["log"] == "glaze.csv"
    assert watch_settings_of(settings) == WatchSettings(units=starter("midfire-glaze").units)


def test_a_column_of_figures_does_not_fill_the_diary(spyhole: Spyhole, tmp_path: Path) -> None:
    log = tmp_path / "power.csv"
    rows = "".join(f"{n},{20 + n / 10},{n}\n" for n in range(2000))
    log.write_text(f"elapsed_s,top_c,power_w\n{rows}")
    data = tmp_path / "data"
    added = spyhole("log", "add", log, "--schedule", "bisque", "--data", data, "--json")
    out = tmp_path / "firing.json"
    assert spyhole("report", added.document["id"], "--out", out, "--data", data).code == 0
    notes = json.loads(out.read_text())["notes"]
    assert len(notes) == 500
    assert notes[-1]["text"].endswith("(later changes of this column are left out)")


def test_a_log_that_waits_for_its_climb_is_listed_as_armed(
    spyhole: Spyhole, tmp_path: Path
) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NewFiring(kiln="shed", channels=("top",))).result(10.0)
        (row,) = spyhole("log", "--json", "--data", tmp_path).document
        assert (row["state"], row["length_s"]) == ("armed", None)
        assert " armed " in spyhole("log", "--data", tmp_path).out
        record.append(firing.id, Reading(0.0, {"top": 20.0}))
        record.flush().result(10.0)
        assert spyhole("log", "--json", "--data", tmp_path).document[0]["state"] == "open"
        record.close_firing(firing.id, 0.0).result(10.0)
        assert spyhole("log", "--json", "--data", tmp_path).document[0]["state"] == "closed"
