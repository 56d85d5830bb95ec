"""``log``: years of firings found, given out and taken in again, copied, checked and repaired."""

from __future__ import annotations

import json
import shutil
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

from supervisor.commands import log as log_module
from supervisor.record.checking import check
from supervisor.record.looking import RecordReader
from supervisor.record.put_away import put_away
from supervisor.record.room import Room
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.alone import alone_in
from tests.commands.conftest import Spyhole, rows_of
from tests.record.damage import change
from tests.service.firings import begin, keep, night

PLAN = ("--schedule", "midfire-glaze")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with a firing as the daemon keeps one, with a broken probe, put away."""
    folder = tmp_path_factory.mktemp("made")
    with Record.open(folder) as record:
        firing = begin(record, "broken-probe")
        kept = keep(record, firing, name="broken-probe")
        kept.feed(*night("broken-probe"))
        kept.keeper.close()
        record.add_note(firing.id, 600.0, "Tenmoku on the top shelf").result(10.0)
        put_away(record, record.firing(firing.id))
    return folder


@pytest.fixture
def data(made: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "data"
    shutil.copytree(made, folder)
    return folder


def only_id(data: Path) -> str:
    with RecordReader.open_to_read(data) as record:
        (firing,) = record.firings()
    return firing.id


def test_firings_are_found_from_the_command_line(spyhole: Spyhole, data: Path) -> None:
    (row,) = spyhole("log", "--json", "--data", data).document
    assert row["cone"] is not None
    assert row["peak_c"] > 1100.0
    for words in (
        ("--search", "tenmoku"),
        ("--cone", row["cone"]),
        ("--kiln", "test kiln", "--since", "2026-11-25"),
    ):
        assert spyhole("log", *words, "--json", "--data", data).document == [row]
        assert row["id"] in spyhole("log", "list", *words, "--data", data).out
    for words in (("--search", "shino"), ("--until", "2020-01-01"), ("--cone", "14")):
        assert spyhole("log", *words, "--json", "--data", data).document == []
        assert spyhole("log", *words, "--data", data).out == "No firing matches.\n"


@pytest.mark.parametrize(
    "words", [("--cone", "15"), ("--since", "monday"), ("--until", "2026-1-1")]
)
def test_what_can_not_be_looked_for_is_said(
    spyhole: Spyhole, data: Path, words: tuple[str, str]
) -> None:
    found = spyhole("log", *words, "--data", data)
    assert (found.code, found.out) == (1, "")
    assert found.err.startswith(f"spyhole log: {words[0]} {words[1]}: ")


def test_the_list_ends_with_how_much_room_there_is(spyhole: Spyhole, data: Path) -> None:
    found = spyhole("log", "--data", data)
    last = found.out.splitlines()[-1]
    assert last.startswith("The record takes ")
    assert last.endswith(" free.")
    assert found.err == ""


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_a_disk_that_is_filling_is_told_well_before_it_is_full(
    spyhole: Spyhole, data: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...]
) -> None:
    tight = Room(1_000_000, 0, 0, 300_000_000, 32_000_000_000)
    monkeypatch.setattr(log_module, "room_of", lambda _path: tight)
    found = spyhole("log", *options, "--data", data)
    assert found.code == 0
    assert "warning: the disk of the record has only 300.0 MB left" in found.err
    assert "1,200 hours" in found.err
    if options:
        assert len(found.document) == 1


@pytest.mark.parametrize(
    ("free", "disk", "is_low"),
    [
        (20e9, 32e9, False),
        (0.6e9, 32e9, False),
        (0.4e9, 32e9, True),
        # A small disk is not low all the time.
        (0.4e9, 4e9, False),
        (0.1e9, 4e9, True),
        (0.0, 32e9, True),
    ],
)
def test_when_room_is_low(free: float, disk: float, is_low: bool) -> None:
    room = Room(0, 0, 0, int(free), int(disk))
    assert room.is_low is is_low
    assert (room.warning() is not None) is is_low
    # Whatever the disk, a day of a firing has room when it is told.
    assert is_low or room.hours_left > 24.0


def test_the_same_log_is_not_taken_in_twice_unseen(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    words = ("log", "add", glaze_log, *PLAN, "--data", tmp_path / "data")
    firing_id = spyhole(*words).out.strip()
    again = spyhole(*words, "--kiln", "another")
    assert (again.code, again.out) == (1, "")
    assert f"has this log already, as firing {firing_id}" in again.err
    assert "--again" in again.err
    assert len(spyhole("log", "--json", "--data", tmp_path / "data").document) == 1
    meant = spyhole(*words, "--again")
    assert meant.code == 0
    assert len(spyhole("log", "--json", "--data", tmp_path / "data").document) == 2


@pytest.mark.parametrize("units", ["C", "F"])
def test_a_log_that_came_out_of_the_record_is_known_when_it_comes_in(
    spyhole: Spyhole, data: Path, tmp_path: Path, units: str
) -> None:
    firing_id = only_id(data)
    out = ("--into", tmp_path / "out", "--units", units)
    assert spyhole("log", "export", firing_id, *out, "--data", data).code == 0
    log = tmp_path / "out" / f"{firing_id}.csv"
    again = spyhole("log", "add", log, *PLAN, "--data", data)
    assert again.code == 1
    assert firing_id in again.err


def test_another_log_of_the_same_length_is_another(
    spyhole: Spyhole, glaze_log: Path, tmp_path: Path
) -> None:
    data = ("--data", tmp_path / "data")
    assert spyhole("log", "add", glaze_log, *PLAN, *data).code == 0
    lines = glaze_log.read_text().splitlines()
    cells = lines[500].split(",")
    cells[1] = str(float(cells[1]) + 1.0)
    lines[500] = ",".join(cells)
    other = tmp_path / "other.csv"
    other.write_text("\n".join(lines) + "\n")
    assert spyhole("log", "add", other, *PLAN, *data).code == 0


def test_out_and_in_and_out_again_gives_the_same_bytes_and_the_same_events(
    spyhole: Spyhole, data: Path, tmp_path: Path
) -> None:
    firing_id = only_id(data)
    assert spyhole("log", "export", "--all", tmp_path / "out", "--data", data).code == 0
    log = tmp_path / "out" / f"{firing_id}.csv"
    with RecordReader.open_to_read(data) as record:
        lines = record.event_lines(firing_id)
        plan = tmp_path / "plan.toml"
        plan.write_text(record.firing(firing_id).schedule_toml or "")
        until_s = record.readings(firing_id)
        last_s = max(reading.elapsed_s for reading in until_s)
    second = ("--data", tmp_path / "second")
    new_id = spyhole("log", "add", log, "--schedule", plan, *second).out.strip()
    spyhole("log", "export", new_id, "--into", tmp_path / "again", *second)
    assert (tmp_path / "again" / f"{new_id}.csv").read_bytes() == log.read_bytes()
    with RecordReader.open_to_read(tmp_path / "second") as record:
        assert record.event_lines(new_id) == lines
    events = tmp_path / "events.jsonl"
    assert spyhole("replay", log, "--schedule", plan, "--events", events).code == 0
    assert events.read_text().splitlines() == lines
    assert any('"sensor_fault"' in line for line in lines)
    assert float(rows_of(log)[-1]["elapsed_s"]) == last_s


def test_every_firing_is_written_and_those_without_readings_are_not(
    spyhole: Spyhole, data: Path, tmp_path: Path
) -> None:
    with Record.open(data) as record:
        begin(record)
    out = tmp_path / "out"
    found = spyhole("log", "export", "--all", out, "--whole", "--json", "--data", data)
    assert len(found.document) == 1
    (written,) = out.iterdir()
    assert json.loads(written.read_text())["format"] == "spyhole firing"


@pytest.mark.parametrize(
    "words", [(), ("nope",), ("--all", "out", "nope"), ("--into", "out"), ("nope", "--into", "out")]
)
def test_what_is_to_be_written_must_be_clear(
    spyhole: Spyhole, data: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    named = [tmp_path / word if word == "out" else word for word in words]
    found = spyhole("log", "export", *named, "--data", data)
    assert (found.code, found.out) == (1, "")
    assert found.err.count("\n") == 1


def test_a_copy_a_check_and_a_repair(spyhole: Spyhole, data: Path, tmp_path: Path) -> None:
    copy = tmp_path / "kiln.sqlite3"
    found = spyhole("log", "backup", copy, "--data", data)
    assert found.code == 0
    assert found.out.startswith(f"{copy}: 1 firings, ")
    assert spyhole("log", "backup", copy, "--json", "--data", data).document["firings"] == 1
    sound = spyhole("log", "check", "--data", data)
    assert (sound.code, "is sound" in sound.out) == (0, True)
    change(data / FILE_NAME, "UPDATE block SET data = x'00' WHERE first_s = 0.0")
    damaged = spyhole("log", "check", "--data", data)
    assert damaged.code == 3
    assert damaged.out.startswith("wrong: firing ")
    document = spyhole("log", "check", "--json", "--data", data).document
    assert document["is_sound"] is False
    with alone_in(data):
        refused = spyhole("log", "check", "--repair", "--data", data)
        assert (refused.code, refused.out) == (3, "")
        assert "already watching" in refused.err
    repaired = spyhole("log", "check", "--repair", "--data", data)
    assert repaired.code == 0
    assert "lost: 3,600 readings of firing" in repaired.out
    assert "is record.sqlite3.damaged-" in repaired.out
    assert check(data / FILE_NAME).wrong == ()
    assert spyhole("log", "check", "--data", data).code == 0


def test_a_copy_is_put_back_and_what_was_there_is_kept(
    spyhole: Spyhole, data: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "kiln.sqlite3"
    assert spyhole("log", "backup", copy, "--data", data).code == 0
    before = spyhole("log", "--json", "--data", data).out
    with closing(sqlite3.connect(copy)) as connection:
        (waiting,) = connection.execute("SELECT count(*) FROM outbox").fetchone()
    with alone_in(data):
        refused = spyhole("log", "restore", copy, "--data", data)
    assert (refused.code, refused.out) == (3, "")
    assert "already watching" in refused.err
    done = spyhole("log", "restore", copy, "--data", data)
    assert (done.code, done.err) == (0, "")
    told, unsent, kept = done.out.splitlines()
    assert unsent == f"Messages that were waiting in it and are not sent any more: {waiting}."
    assert told.startswith(f"{data / FILE_NAME}: 1 firings, ")
    assert told.endswith(f"are back from {copy}.")
    [old] = data.glob(f"{FILE_NAME}.before-*[0-9]")
    assert kept.startswith(f"The record that was there is {old.name} beside it")
    assert spyhole("log", "--json", "--data", data).out == before
    document = spyhole("log", "restore", copy, "--json", "--data", data).document
    assert document["old"].startswith(f"{data / FILE_NAME}.before-")
    assert (document["firings"], document["photos_missing"], document["unsent"]) == (1, 0, waiting)
    for file in (tmp_path / "nothing", tmp_path):
        bad = spyhole("log", "restore", file, "--data", tmp_path / "new")
        assert (bad.code, bad.out, bad.err.count("\n")) == (1, "", 1)
        assert not (tmp_path / "new").exists()
    new = spyhole("log", "restore", copy, "--data", tmp_path / "new")
    assert (new.code, len(new.out.splitlines())) == (0, 2)


@pytest.mark.parametrize("words", [("backup", "x"), ("check",), ("check", "--repair")])
def test_without_a_record_there_is_nothing_to_do(
    spyhole: Spyhole, tmp_path: Path, words: tuple[str, ...]
) -> None:
    found = spyhole("log", *words, "--data", tmp_path / "nowhere")
    assert (found.code, found.out) == (1, "")
    assert "there is no record in" in found.err
    assert not (tmp_path / "nowhere").exists()


FOREIGN = "Datum;Ofen [°C];Raum;Klappe\n" + "".join(
    f"20.08.2017 10:{minute:02};{20 + 5 * minute};21;zu\n" for minute in range(30)
)


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """Somebody at the terminal who gives these answers; the questions that were asked."""
    asked: list[str] = []
    left = list(answers)

    def answer(question: str) -> str:
        asked.append(question)
        if not left:
            raise EOFError
        return left.pop(0)

    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", answer)
    return asked


def test_with_a_person_at_the_terminal_what_can_not_be_told_is_asked(
    spyhole: Spyhole, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = tmp_path / "ofen.csv"
    log.write_text(FOREIGN, encoding="utf-8")
    asked = answering(monkeypatch, "yes", "", "oven")
    words = ("log", "add", log, "--schedule", "bisque", "--data", tmp_path / "data")
    found = spyhole(*words)
    assert found.code == 0, found.err
    assert "A first guess at its columns" in found.out
    assert any("Ofen [°C]" in question for question in asked)
    (row,) = spyhole("log", "--json", "--data", tmp_path / "data").document
    assert row["channels"] == ["oven"]
    assert row["readings"] == 30


@pytest.mark.parametrize(
    ("answers", "said"),
    [(("no",), "[time]"), (("yes", "none"), "without a temperature"), ((), "have ended")],
)
def test_a_person_may_say_that_it_is_not_so(
    spyhole: Spyhole,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    answers: tuple[str, ...],
    said: str,
) -> None:
    log = tmp_path / "ofen.csv"
    log.write_text(FOREIGN, encoding="utf-8")
    answering(monkeypatch, *answers)
    words = ("log", "add", log, "--schedule", "bisque", "--data", tmp_path / "data")
    found = spyhole(*words)
    assert found.code == 1
    assert said in found.err
    assert not (tmp_path / "data").exists()


def test_nobody_is_asked_where_a_document_is_wanted(
    spyhole: Spyhole, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = tmp_path / "ofen.csv"
    log.write_text(FOREIGN, encoding="utf-8")
    asked = answering(monkeypatch, "yes")
    words = ("log", "add", log, "--schedule", "bisque", "--data", tmp_path / "data", "--json")
    found = spyhole(*words)
    assert (found.code, found.out, asked) == (1, "", [])
    assert "needs --columns FILE" in found.err
