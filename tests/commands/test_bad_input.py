"""Bad input of every kind: one sentence, the right exit code, and nothing half-written."""

from __future__ import annotations

import os
import socket
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.commands.conftest import Outcome, Spyhole

GOOD_LOG = "elapsed_s,kiln_c\n0,20\n1,21\n2,22\n"
GOOD_PLAN = 'name = "Plan"\n[[step]]\nrate = 100\nto = 1000\n'

BAD_LOGS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "the file is empty"),
    "header alone": (b"elapsed_s,kiln_c\n", "no readings below it"),
    "no header": (b"0,20\n1,21\n", 'the first column must be "elapsed_s" or "time"'),
    "semicolons": (b"elapsed_s;kiln_c\n0;20\n", "columns are separated by commas"),
    "no temperatures": (b"elapsed_s,damper\n0,1\n", "no column holds temperatures"),
    "nan": (GOOD_LOG.encode() + b"3,nan\n", '"nan" is no temperature'),
    "infinite": (GOOD_LOG.encode() + b"3,inf\n", '"inf" is no temperature'),
    "words": (GOOD_LOG.encode() + b"3,hot\n", '"hot" is no temperature'),
    "too hot": (GOOD_LOG.encode() + b"3,99999\n", '"99999" is no temperature'),
    "nan time": (GOOD_LOG.encode() + b"nan,20\n", '"nan" is no elapsed time'),
    "backwards": (GOOD_LOG.encode() + b"1,20\n", "time goes backwards"),
    "standing still": (GOOD_LOG.encode() + b"2,20\n", "time stands still"),
    "short row": (GOOD_LOG.encode() + b"3\n", "the row has 1 cell and the header has 2"),
    "long row": (GOOD_LOG.encode() + b"3,20,21\n", "the row has 3 cells"),
    "open quote": (GOOD_LOG.encode() + b'3,"20\n', "not proper CSV"),
    "time without offset": (b"time,kiln_c\n2026-01-01T10:00:00,20\n", "no time with an offset"),
    "both scales": (b"elapsed_s,kiln_c,kiln_f\n0,20,68\n", "a column in"),
    "one name twice": (b"elapsed_s,kiln_c,kiln_c\n0,20,68\n", "two columns are named"),
    "binary": (bytes(range(256)) * 40, "spoilt.csv"),
    "zeros": (bytes(4096), "there is a zero byte"),
    "latin-1": (GOOD_LOG.encode() + b"3,\xe9\n", "not UTF-8 text"),
    "a cell of 10 MB": (GOOD_LOG.encode() + b"3," + b"9" * 10_000_000 + b"\n", "longer than"),
    "a quoted cell of 10 MB": (
        GOOD_LOG.encode() + b'3,"' + b"20\n" * 3_300_000 + b'"\n',
        "longer than",
    ),
    "a name of 10 MB": (b"elapsed_s," + b"k" * 10_000_000 + b"_c\n0,20\n", "longer than"),
}

BAD_PLANS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "at least one [[step]]"),
    "malformed": (b'name = "Plan\n', "not valid TOML"),
    "unknown key": (b'nmae = "Plan"\n' + GOOD_PLAN.encode(), 'unknown key "nmae"'),
    "unknown key in a step": (GOOD_PLAN.encode() + b"ramp = 3\n", 'unknown key "ramp"'),
    "nan": (GOOD_PLAN.replace("100\n", "nan\n").encode(), "rate = nan is not allowed"),
    "infinite": (GOOD_PLAN.replace("1000", "inf").encode(), "to = inf is not allowed"),
    "negative rate": (GOOD_PLAN.replace("100\n", "-100\n").encode(), "rate = -100 is not allowed"),
    "no rate at all": (GOOD_PLAN.replace("100\n", "0\n").encode(), "rate = 0 is not allowed"),
    "negative hold": (GOOD_PLAN.encode() + b"hold_min = -1\n", "hold_min = -1"),
    "too hot": (GOOD_PLAN.replace("1000", "5000").encode(), "to = 5000 is not allowed"),
    "text for a number": (GOOD_PLAN.replace("1000", '"hot"').encode(), 'to = "hot"'),
    "a number for a cone": (b"target_cone = 6\n" + GOOD_PLAN.encode(), "in quotes"),
    "no such cone": (b'target_cone = "99"\n' + GOOD_PLAN.encode(), "is not a cone"),
    "no such scale": (b'units = "K"\n' + GOOD_PLAN.encode(), 'units = "K" is not allowed'),
    "no name": (b"[[step]]\nto = 100\n", "`name` is missing"),
    "binary": (bytes(range(256)), "binary"),
    "latin-1": (b'name = "Gr\xe9s"\n[[step]]\nto = 100\n', "not UTF-8 text"),
    "10 MB": (b'name = "' + b"x" * 10_000_000 + b'"\n', "too large"),
    "a very long number": (GOOD_PLAN.replace("1000", "9" * 5000).encode(), "too long"),
    "nested without end": (b"a = " + b"[" * 5000, "nested too deeply"),
}


def is_one_sentence(found: Outcome, command: str, code: int, *parts: str) -> None:
    """One line on stderr, nothing on stdout."""
    assert found.code == code, found
    assert found.out == ""
    assert found.err.startswith(f"spyhole {command}: ")
    assert found.err.count("\n") == 1, found.err
    assert found.err.endswith("\n")
    assert len(found.err) < 400
    assert "Traceback" not in found.err
    for part in parts:
        assert part in found.err, found.err


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder with a good log and a good plan in it, in which nothing may appear."""
    (tmp_path / "good.csv").write_text(GOOD_LOG)
    (tmp_path / "good.toml").write_text(GOOD_PLAN)
    (tmp_path / "old.jsonl").write_text("what was here before\n")
    yield tmp_path
    for path in tmp_path.rglob("*"):
        assert path.suffix != ".part", "a half-written file is left"
    assert (tmp_path / "old.jsonl").read_text() == "what was here before\n"
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kind", BAD_LOGS)
def test_a_log_that_is_none(spyhole: Spyhole, folder: Path, kind: str) -> None:
    content, said = BAD_LOGS[kind]
    log = folder / "spoilt.csv"
    log.write_bytes(content)
    plan, data = folder / "good.toml", folder / "data"
    for out in ("out", "old.jsonl"):
        words = ("replay", log, "--schedule", plan, "--events", folder / out)
        is_one_sentence(spyhole(*words), "replay", 1, "spoilt.csv", said)
    is_one_sentence(spyhole("heatwork", log, "--json"), "heatwork", 1, "spoilt.csv", said)
    found = spyhole("log", "add", log, "--schedule", plan, "--data", data)
    is_one_sentence(found, "log", 1, "spoilt.csv", said)
    assert spyhole("log", "--json", "--data", data).document == []


@pytest.mark.parametrize("by_link", [False, True])
def test_nothing_but_a_plain_file_is_replaced(
    spyhole: Spyhole, folder: Path, by_link: bool
) -> None:
    pipe = folder / "pipe.json"
    os.mkfifo(pipe)
    named = pipe
    if by_link:
        named = folder / "link.json"
        named.symlink_to(pipe)
    data, log, plan = folder / "data", folder / "good.csv", folder / "good.toml"
    firing = spyhole("log", "add", log, "--schedule", plan, "--data", data).out.strip()
    for words in (
        ("replay", log, "--schedule", plan, "--events", named),
        ("simulate", "stall", "--interval", "3600", "--out", named),
        ("report", firing, "--data", data, "--out", named),
    ):
        is_one_sentence(spyhole(*words), str(words[0]), 1, "give the name of a file")
        assert stat.S_ISFIFO(pipe.stat().st_mode)
        assert named.is_symlink() is by_link


def test_events_never_take_the_place_of_the_log_or_the_plan(spyhole: Spyhole, folder: Path) -> None:
    log, plan = folder / "good.csv", folder / "good.toml"
    (folder / "link.csv").symlink_to(log)
    for out in (log, plan, folder / "link.csv"):
        found = spyhole("replay", log, "--schedule", plan, "--events", out)
        is_one_sentence(found, "replay", 1, "give another name")
    assert (log.read_text(), plan.read_text()) == (GOOD_LOG, GOOD_PLAN)


def test_a_log_that_is_spoilt_in_the_middle_ends_its_page(spyhole: Spyhole, folder: Path) -> None:
    log = folder / "spoilt.csv"
    log.write_text(GOOD_LOG + "3,hot\n")
    found = spyhole("replay", log, "--schedule", folder / "good.toml", "--page", "--speed", "3600")
    assert found.code == 1
    assert found.err.count("\n") == 1
    assert 'spoilt.csv, line 5, column kiln_c: "hot" is no temperature' in found.err


@pytest.mark.parametrize("kind", BAD_PLANS)
def test_a_schedule_that_is_none(spyhole: Spyhole, folder: Path, kind: str) -> None:
    content, said = BAD_PLANS[kind]
    plan = folder / "spoilt.toml"
    plan.write_bytes(content)
    log = folder / "good.csv"
    is_one_sentence(spyhole("plan", plan, "--json"), "plan", 1, "spoilt.toml", said)
    found = spyhole("replay", log, "--schedule", plan, "--events", folder / "out")
    is_one_sentence(found, "replay", 1, "spoilt.toml", said)
    found = spyhole("log", "add", log, "--schedule", plan, "--data", folder / "data")
    is_one_sentence(found, "log", 1, "spoilt.toml", said)
    assert not (folder / "data").exists()
    found = spyhole("watch", "--simulate", "stall", "--schedule", plan, "--data", folder / "data")
    is_one_sentence(found, "watch", 1, "spoilt.toml", said)
    assert not (folder / "data").exists()


@pytest.mark.parametrize("text", ["[kiln", 'colour = "red"', "[kiln]\nlimit = nan", "\0", "é" * 9])
def test_a_configuration_that_is_none(spyhole: Spyhole, folder: Path, text: str) -> None:
    config = folder / "spyhole.toml"
    config.write_bytes(text.encode("latin-1"))
    words = ("watch", "--config", config, "--simulate", "stall", "--data", folder / "data")
    is_one_sentence(spyhole(*words), "watch", 1, "spyhole.toml")
    assert not (folder / "data").exists()
    config.write_text('[record]\ndata = "a\\u0000b"\n')
    found = spyhole("watch", "--config", config, "--simulate", "stall")
    is_one_sentence(found, "watch", 1, "not the name of a folder")


@pytest.mark.parametrize(
    "text",
    [
        "title =",
        'title = "x"\nkiln = "studio-electric"\nschedule = "bisque"\nseeds = 3\n',
        'title = "x"\nkiln = "no such kiln"\nschedule = "bisque"\n',
        'title = "x"\nkiln = "studio-electric"\nschedule = "bisque"\nambient_c = nan\n',
    ],
)
def test_a_scenario_that_is_none(spyhole: Spyhole, folder: Path, text: str) -> None:
    scenario = folder / "mine.toml"
    scenario.write_text(text)
    found = spyhole("simulate", scenario, "--out", folder / "out")
    is_one_sentence(found, "simulate", 1, "mine.toml")
    is_one_sentence(spyhole("demo", "--scenario", scenario), "demo", 1, "mine.toml")


MISSING: dict[str, Callable[[Path], tuple[str | Path, ...]]] = {
    "replay, log": lambda f: ("replay", f / "no", "--schedule", "bisque", "--events", f / "out"),
    "replay, plan": lambda f: ("replay", f / "good.csv", "--schedule", "no", "--events", f / "out"),
    "replay, out": lambda f: (
        "replay",
        f / "good.csv",
        "--schedule",
        "bisque",
        "--events",
        f / "no" / "out",
    ),
    "heatwork": lambda f: ("heatwork", f / "no"),
    "plan": lambda f: ("plan", f / "no.toml"),
    "simulate": lambda f: ("simulate", "no such scenario", "--out", f / "out"),
    "simulate, out": lambda f: ("simulate", "stall", "--out", f / "no" / "out"),
    "demo": lambda f: ("demo", "--scenario", f / "no.toml"),
    "log add": lambda f: ("log", "add", f / "no", "--schedule", "bisque", "--data", f / "data"),
    "log add, no plan": lambda f: ("log", "add", f / "good.csv", "--data", f / "data"),
    "log list, a file": lambda f: ("log", "list", f / "good.csv"),
    "report, ending": lambda f: ("report", "2026", "--out", f / "out.docx", "--data", f),
    "watch": lambda f: ("watch", "--config", f / "no.toml"),
    "watch, plan": lambda f: ("watch", "--simulate", "stall", "--schedule", "no"),
    "watch, scenario": lambda f: ("watch", "--simulate", "no such scenario"),
    "watch, speed": lambda f: ("watch", "--speed", "60"),
    "page and events": lambda f: (
        "replay",
        f / "good.csv",
        "--schedule",
        "bisque",
        "--page",
        "--events",
        f / "out",
    ),
}


@pytest.mark.parametrize("what", MISSING)
def test_something_that_is_not_there(
    spyhole: Spyhole, folder: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    monkeypatch.chdir(folder)
    words = MISSING[what](folder)
    is_one_sentence(spyhole(*words), str(words[0]), 1)


@pytest.mark.parametrize(
    "words",
    [
        ("replay", ".", "--schedule", "bisque"),
        ("replay", "good.csv", "--schedule", "."),
        ("replay", "good.csv", "--schedule", "bisque", "--events", "."),
        ("heatwork", "."),
        ("plan", "."),
        ("simulate", "stall", "--out", "."),
        ("watch", "--config", "."),
    ],
)
def test_a_folder_is_no_file(
    spyhole: Spyhole, folder: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(folder)
    is_one_sentence(spyhole(*words), words[0], 1)


@pytest.mark.parametrize("name", ["a\0b.csv", "x" * 290, "é" * 200])
def test_a_name_that_no_file_can_have(spyhole: Spyhole, folder: Path, name: str) -> None:
    plan = folder / "good.toml"
    is_one_sentence(spyhole("replay", name, "--schedule", plan), "replay", 1)
    is_one_sentence(spyhole("heatwork", name), "heatwork", 1)
    is_one_sentence(spyhole("plan", name), "plan", 1)
    is_one_sentence(spyhole("simulate", name, "--out", folder / "out"), "simulate", 1)
    is_one_sentence(spyhole("watch", "--config", name), "watch", 1)
    out = spyhole("replay", folder / "good.csv", "--schedule", plan, "--events", name)
    is_one_sentence(out, "replay", 1)
    for words in (
        ("simulate", "stall", "--interval", "3600", "--out", name),
        ("log", "add", folder / "good.csv", "--schedule", plan, "--data", name),
        ("report", "2026", "--out", f"{name}.csv", "--data", folder),
    ):
        found = spyhole(*words)
        assert found.code in (1, 3)
        is_one_sentence(found, str(words[0]), found.code)
    listed = spyhole("log", "--data", name)
    is_one_sentence(listed, "log", 1)


def test_a_record_that_is_not_there_damaged_or_a_folder(spyhole: Spyhole, folder: Path) -> None:
    out = folder / "out.csv"
    none = folder / "none"
    found = spyhole("report", "2026", "--out", out, "--data", none)
    is_one_sentence(found, "report", 1, f'no firing "2026": no record is in {none} yet')
    assert not none.exists()
    found = spyhole("report", "2026", "--out", out, "--data", folder / "good.csv")
    is_one_sentence(found, "report", 1, 'no firing "2026"')
    damaged = folder / "damaged"
    damaged.mkdir()
    (damaged / "record.sqlite3").write_bytes(b"no record at all" * 300)
    is_one_sentence(spyhole("report", "2026", "--out", out, "--data", damaged), "report", 3)
    is_one_sentence(spyhole("log", "--data", damaged), "log", 3)
    words = ("log", "add", folder / "good.csv", "--schedule", "bisque", "--data")
    is_one_sentence(spyhole(*words, damaged), "log", 3)
    is_one_sentence(spyhole(*words, folder / "good.csv"), "log", 3)
    assert not out.exists()


def test_a_firing_that_is_not_there(spyhole: Spyhole, folder: Path) -> None:
    data = folder / "data"
    spyhole("log", "add", folder / "good.csv", "--schedule", "bisque", "--data", data)
    for prefix in ("1999", ""):
        found = spyhole("report", prefix, "--out", folder / "out.csv", "--data", data)
        is_one_sentence(found, "report", 1, f'no firing "{prefix}"')
    assert not (folder / "out.csv").exists()


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_a_report_that_cannot_be_written_leaves_nothing(
    spyhole: Spyhole, folder: Path, ending: str
) -> None:
    data = folder / "data"
    firing = spyhole("log", "add", folder / "good.csv", "--schedule", "bisque", "--data", data)
    where = folder / f"taken.{ending}"
    where.mkdir()
    for out in (where, folder / "no" / f"x.{ending}"):
        found = spyhole("report", firing.out.strip(), "--out", out, "--data", data)
        assert found.code in (1, 3)
        is_one_sentence(found, "report", found.code)
    assert list(where.iterdir()) == []


def test_a_taken_port_is_said_and_no_record_is_made(spyhole: Spyhole, folder: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        data = folder / "data"
        for words in (
            ("demo", "--port", port, "--data", data),
            ("demo", "--port", "0", "--mqtt-port", port, "--data", data),
            ("watch", "--simulate", "stall", "--port", port, "--data", data),
            ("replay", folder / "good.csv", "--schedule", "bisque", "--page", "--port", port),
        ):
            found = spyhole(*words)
            assert (found.code, found.err.count("\n")) == (3, 1), found
            assert port in found.err
            assert not data.exists()


@pytest.mark.parametrize("host", ["no-such-host.invalid", "300.1.1.1", "a..b"])
def test_an_address_that_is_none_is_said(spyhole: Spyhole, folder: Path, host: str) -> None:
    words = ("watch", "--simulate", "stall", "--host", host, "--port", "0", "--data", folder / "d")
    is_one_sentence(spyhole(*words), "watch", 3, host)
    assert not (folder / "d").exists()


@pytest.mark.skipif(Path("/dev/spidev0.0").exists(), reason="this machine has an SPI bus")
def test_a_machine_without_a_rig_says_what_to_do(spyhole: Spyhole, folder: Path) -> None:
    config = folder / "spyhole.toml"
    config.write_text(
        '[[sensor]]\nchannel = "top"\nchip_select = "D5"\n[watch]\nschedule = "bisque"\n'
    )
    found = spyhole("watch", "--config", config, "--port", "0", "--data", folder / "data")
    is_one_sentence(found, "watch", 3, "spyhole demo")
    assert not (folder / "data").exists()
    config.write_text('[[sensor]]\nchannel = "top"\nchip_select = "D11"\n')
    found = spyhole("watch", "--config", config, "--schedule", "bisque")
    is_one_sentence(found, "watch", 1, "spyhole.toml, line 3: [[sensor]] 1", "own pin SCLK")
    config.write_text('[[sensor]]\nchannel = "top"\nchip_select = "D5"\n')
    is_one_sentence(spyhole("watch", "--config", config, "--schedule", "no"), "watch", 1, "no:")


@pytest.mark.parametrize("text", [None, "", 'units = "F"\n'])
def test_watch_with_no_sensors_explains_what_it_needs(
    spyhole: Spyhole, folder: Path, monkeypatch: pytest.MonkeyPatch, text: str | None
) -> None:
    monkeypatch.chdir(folder)
    if text is not None:
        (folder / "spyhole.toml").write_text(text)
    found = spyhole("watch", "--schedule", "bisque")
    assert (found.code, found.out) == (1, "")
    for needed in ("[[sensor]]", "chip_select", "schedule", "spyhole demo"):
        assert needed in found.err


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("fire",),
        ("plan",),
        ("replay", "x.csv"),
        ("heatwork",),
        ("simulate", "stall"),
        ("simulate", "stall", "--out", "x", "--interval", "0"),
        ("simulate", "stall", "--out", "x", "--interval", "nan"),
        ("simulate", "stall", "--out", "x", "--seed", "-1"),
        ("simulate", "stall", "--out", "x", "--seed", str(2**63)),
        ("simulate", "stall", "--out", "x", "--seed", "1.5"),
        ("simulate", "stall", "--out", "x", "--seed", "9" * 5000),
        ("report", "2026"),
        ("log", "burn"),
        ("demo", "--speed", "0.5"),
        ("demo", "--speed", "fast"),
        ("demo", "--port", "65536"),
        ("demo", "--port", "-1"),
        ("replay", "x.csv", "--schedule", "bisque", "--page", "--port", "70000"),
        ("replay", "x.csv", "--schedule", "bisque", "--speed", "nan"),
        ("watch", "--speed", "1e9"),
        ("plan", "bisque", "--units", "K"),
        ("plan", "bisque", "--colour"),
    ],
)
def test_wrong_usage_is_shown_the_right_one(spyhole: Spyhole, words: tuple[str, ...]) -> None:
    found = spyhole(*words)
    assert found.code == 2
    assert "usage: spyhole" in found.out + found.err
    assert "Traceback" not in found.err
    assert "_number" not in found.err
    assert "_interval" not in found.err
