"""``--columns``: a log from elsewhere through replay, heatwork and the record."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hardware.log_columns import parse_columns
from hardware.recorded_log import read_log
from tests.commands.conftest import Spyhole

PLAN = 'name = "Plan"\n[[step]]\nrate = 300\nto = 800\n'
MAPPING = (
    'delimiter = "semicolon"\ndecimal = "comma"\nno_reading = ["888,8"]\nannotations = ["Klappe"]\n'
    '[time]\nformat = "%d.%m.%Y %H:%M"\nzone = "Europe/Berlin"\n'
    '[[channel]]\ncolumn = "Ofen [°C]"\nname = "top"\n'
)
REMARKS = [
    "ofen.csv: 2 cells of column Ofen [°C] were no temperatures (first: line 3, “#DIV/0!”)",
    "ofen.csv: 1 row was torn and passed over (first: line 5, 1 cell where the header has 3)",
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A log from elsewhere, its mapping, the same log in our own format, and a plan."""
    foreign, own = ["Datum;Ofen [°C];Klappe"], ["elapsed_s,time,top_c"]
    for minute in range(170):
        temp = f"{20 + 5 * minute}.5"
        at = f"{10 + minute // 60}:{minute % 60:02}"
        cell = {1: "#DIV/0!", 4: "888,8", 6: "99999"}.get(minute, temp.replace(".", ","))
        foreign.append(f"20.08.2017 {at};{cell};{'zu' if minute < 60 else 'auf'};")
        if minute == 2:
            foreign.append("20.08.20")
        blank = minute in (1, 4, 6)
        own.append(f"{60 * minute},2017-08-20T{at}:00+02:00,{'' if blank else temp}")
    (tmp_path / "ofen.csv").write_text("\n".join(foreign), encoding="utf-8")
    (tmp_path / "own.csv").write_text("\n".join(own), encoding="utf-8")
    (tmp_path / "columns.toml").write_text(MAPPING, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(PLAN)
    return tmp_path


def test_replay_says_the_same_as_of_the_log_in_our_own_format(
    spyhole: Spyhole, folder: Path
) -> None:
    plan, out = folder / "plan.toml", folder / "events.jsonl"
    words = ("replay", folder / "ofen.csv", "--schedule", plan, "--events", out)
    found = spyhole(*words, "--columns", folder / "columns.toml")
    assert (found.code, found.out) == (0, "")
    assert found.err.splitlines()[:2] == REMARKS
    assert len(found.err.splitlines()) == 3
    events = out.read_bytes()
    assert json.loads(events.splitlines()[0])["kind"] == "step_begun"
    assert spyhole("replay", folder / "own.csv", "--schedule", plan, "--events", out).code == 0
    assert out.read_bytes() == events


def test_heatwork_is_the_same_and_its_document_stays_alone_on_stdout(
    spyhole: Spyhole, folder: Path
) -> None:
    found = spyhole("heatwork", folder / "ofen.csv", "--columns", folder / "columns.toml", "--json")
    assert (found.code, found.err.splitlines()) == (0, REMARKS)
    assert found.document == spyhole("heatwork", folder / "own.csv", "--json").document
    assert found.document["cone"] is not None
    assert found.document["channel"] == "top"


def test_it_is_taken_into_the_record_with_its_annotations(spyhole: Spyhole, folder: Path) -> None:
    data = folder / "data"
    words = ("log", "add", folder / "ofen.csv", "--columns", folder / "columns.toml")
    found = spyhole(*words, "--schedule", folder / "plan.toml", "--data", data)
    assert (found.code, found.err.splitlines()) == (0, REMARKS)
    (row,) = spyhole("log", "--data", data, "--json").document
    assert (row["readings"], row["channels"], row["length_s"]) == (170, ["top"], 169 * 60.0)
    assert row["started_at"] == "2017-08-20T10:00:00+02:00"
    report = folder / "report.json"
    assert spyhole("report", row["id"], "--out", report, "--data", data).code == 0
    notes = [note["text"] for note in json.loads(report.read_text())["notes"]]
    assert notes == ["Klappe: zu", "Klappe: auf"]


def test_without_a_mapping_the_smallest_that_may_do_is_shown(
    spyhole: Spyhole, folder: Path
) -> None:
    log, plan = folder / "ofen.csv", folder / "plan.toml"
    for words in (
        ("replay", log, "--schedule", plan),
        ("heatwork", log, "--json"),
        ("log", "add", log, "--schedule", plan, "--data", folder / "data"),
    ):
        found = spyhole(*words)
        assert (found.code, found.out) == (1, "")
        said, guess = found.err.split("\n\n", 1)
        assert said.startswith(f"spyhole {words[0]}: ofen.csv: this log is not in spyhole's own")
        assert "needs --columns FILE" in said
        assert "\n" not in said
        mapping = parse_columns(guess)
        assert mapping.time.format == "%d.%m.%Y %H:%M"
        assert read_log(log, mapping).channels == ("Ofen",)
    assert not (folder / "data").exists()


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        (b"delimter = 1\n" + MAPPING.encode(), 'columns.toml, line 1: unknown key "delimter"'),
        (MAPPING.replace("Ofen", "Oven").encode(), 'line 9: ofen.csv has no column "Oven [°C]"'),
        (MAPPING.replace('"comma"', '"point"').encode(), 'need decimal = "comma"?'),
        (MAPPING.replace("%H:%M", "%H:%M:%S").encode(), "rows can't be used"),
        (b"", "at least one [[channel]]"),
        (b"\0", "binary"),
        (b"a = '\xe9'", "not UTF-8"),
        (b"x" * 2_000_000, "too large"),
    ],
)
def test_a_mapping_that_does_not_fit_is_one_sentence_and_leaves_nothing(
    spyhole: Spyhole, folder: Path, mapping: bytes, said: str
) -> None:
    columns, out = folder / "columns.toml", folder / "out"
    columns.write_bytes(mapping)
    log, plan = folder / "ofen.csv", folder / "plan.toml"
    for words in (
        ("replay", log, "--schedule", plan, "--events", out),
        ("replay", log, "--schedule", plan, "--page"),
        ("heatwork", log, "--json"),
        ("log", "add", log, "--schedule", plan, "--data", out),
    ):
        found = spyhole(*words, "--columns", columns)
        assert (found.code, found.out) == (1, "")
        assert found.err.count("\n") == 1
        assert said in found.err
        assert not out.exists()


def test_a_mapping_that_is_not_there(spyhole: Spyhole, folder: Path) -> None:
    for columns in (folder / "none.toml", folder, "a\0b"):
        found = spyhole("heatwork", folder / "ofen.csv", "--columns", columns)
        assert (found.code, found.out, found.err.count("\n")) == (1, "", 1)


def test_a_mapping_goes_with_a_log_that_is_added(spyhole: Spyhole, folder: Path) -> None:
    found = spyhole("log", "--columns", folder / "columns.toml", "--data", folder / "data")
    assert (found.code, found.out) == (1, "")
    assert "goes with `spyhole log add`" in found.err


def test_events_never_take_the_place_of_the_mapping(spyhole: Spyhole, folder: Path) -> None:
    columns = folder / "columns.toml"
    words = ("replay", folder / "ofen.csv", "--schedule", folder / "plan.toml")
    found = spyhole(*words, "--columns", columns, "--events", columns)
    assert found.code == 1
    assert "give another name" in found.err
    assert columns.read_text(encoding="utf-8") == MAPPING


def test_many_columns_that_are_none_are_told_in_few_lines(spyhole: Spyhole, folder: Path) -> None:
    names = [f"c{n}" for n in range(60)]
    rows = [",".join(["T", *names]), *(",".join([str(n), "20", *["x"] * 59]) for n in range(5))]
    log, columns = folder / "wide.csv", folder / "wide.toml"
    log.write_text("\n".join(rows))
    columns.write_text("".join(f'[[channel]]\ncolumn = "{name}"\n' for name in names))
    found = spyhole("heatwork", log, "--columns", columns, "--json")
    assert found.code == 0
    lines = found.err.splitlines()
    assert len(lines) == 21
    assert lines[-1] == "wide.csv: and 39 more of the kind"
