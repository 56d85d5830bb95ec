"""``spyhole pin``, the PIN of ``spyhole setup``, and ``spyhole log audit``."""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from supervisor.record.audit import NewDeed
from supervisor.record.store import Record
from supervisor.service.page_keys import PIN_FILE
from tests.commands.conftest import Outcome, Spyhole
from tests.web.access.doors import CHEAP, OTHER_PIN, PIN
from web.access import pin as pins
from web.access.pin import from_json


@pytest.fixture(autouse=True)
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """What takes half a second takes a moment."""
    monkeypatch.setattr(pins.hashed, "__defaults__", (CHEAP,))


@pytest.fixture
def type_in(spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> type[Typing]:
    Typing.spyhole, Typing.patch, Typing.folder = spyhole, monkeypatch, tmp_path / "data"
    return Typing


class Typing:
    """``spyhole pin`` with a line on stdin."""

    spyhole: Spyhole
    patch: pytest.MonkeyPatch
    folder: Path

    @classmethod
    def pin(cls, text: str, *options: str) -> Outcome:
        cls.patch.setattr("sys.stdin", io.StringIO(text))
        return cls.spyhole("pin", "--data", cls.folder, *options)

    @classmethod
    def fits(cls, text: str) -> bool:
        return from_json((cls.folder / PIN_FILE).read_text(encoding="utf-8")).fits(text)


def test_a_pin_is_set_changed_and_taken_away(type_in: type[Typing]) -> None:
    found = type_in.pin(f"{PIN}\n")
    assert (found.code, found.err) == (0, "")
    assert f"The PIN is set (its hash: {type_in.folder / PIN_FILE})." in found.out
    assert PIN not in found.out
    assert type_in.fits(PIN)
    changed = type_in.pin(OTHER_PIN)
    assert "The PIN is changed" in changed.out
    assert not type_in.fits(PIN)
    assert type_in.fits(OTHER_PIN)
    assert type_in.pin("", "--remove").code == 0
    assert not (type_in.folder / PIN_FILE).exists()
    assert "There was no PIN" in type_in.pin("", "--remove").out


@pytest.mark.parametrize("text", ["", "1234\n", "123456\n", "000000\n", "\n", "x" * 65 + "\n"])
def test_a_weak_pin_or_none_is_one_sentence_and_changes_nothing(
    type_in: type[Typing], text: str
) -> None:
    type_in.pin(PIN)
    found = type_in.pin(text)
    assert found.code == 1
    assert found.err.startswith("spyhole pin: ")
    assert found.err.count("\n") == 1
    assert type_in.fits(PIN)


def test_a_folder_that_cannot_be_is_one_sentence(type_in: type[Typing], tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file")
    found = type_in.pin(PIN)
    assert found.code == 3
    assert found.err.startswith("spyhole pin: the data folder ")
    assert found.err.count("\n") == 1


def test_the_terminal_shows_nothing_of_what_is_typed_and_asks_twice(tmp_path: Path) -> None:
    """With a terminal of its own, as a person has it."""

    def typed(*lines: str) -> tuple[int, str]:
        ours, theirs = pty.openpty()
        process = subprocess.Popen(
            [sys.executable, "-m", "supervisor", "pin", "--data", str(tmp_path)],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
        )
        os.close(theirs)
        shown = b""
        asked = 0
        while True:
            try:
                shown += os.read(ours, 4096)
            except OSError:
                break
            prompts = shown.count(b"shown): ") + shown.count(b"Once more: ")
            if asked < len(lines) and prompts > asked:
                os.write(ours, f"{lines[asked]}\n".encode())
                asked += 1
        os.close(ours)
        return process.wait(30.0), shown.decode()

    code, shown = typed(PIN, PIN)
    assert code == 0, shown
    assert "New PIN" in shown
    assert "Once more" in shown
    assert PIN not in shown
    code, shown = typed("1234", OTHER_PIN, PIN, OTHER_PIN, OTHER_PIN)
    assert code == 0, shown
    assert "at least 6 characters" in shown
    assert "the two are not the same: try again" in shown
    assert shown.count("New PIN") == 3, "one that won't do is asked for again"
    assert OTHER_PIN not in shown
    assert from_json((tmp_path / PIN_FILE).read_text(encoding="utf-8")).fits(OTHER_PIN)
    code, shown = typed("1234", "\x04")
    assert (code, "no PIN was given" in shown) == (1, True), "the end of what is typed ends it"


def setup(type_in: type[Typing], tmp_path: Path, *lines: str, page: str = "network") -> Outcome:
    type_in.patch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    options = ["--units", "C", "--name", "k", "--kind", "gas", "--limit", "none", "--page", page]
    options += ["--sensor", "top:S:CE0", "--schedule", "bisque", "--broker", "none"]
    out = tmp_path / "s.toml"
    return type_in.spyhole("setup", *options, "--out", out, "--data", type_in.folder)


def test_setup_asks_for_a_pin_where_the_network_sees_the_page(
    type_in: type[Typing], tmp_path: Path
) -> None:
    found = setup(type_in, tmp_path, "1234", PIN)
    assert found.code == 0
    assert found.err == "  a PIN has at least 6 characters: this one has 4\n"
    assert type_in.fits(PIN)
    assert f"written: {type_in.folder / PIN_FILE} (the PIN's hash)" in found.out
    written = (tmp_path / "s.toml").read_text(encoding="utf-8")
    assert PIN not in written
    assert "hash" not in written, "the configuration is a file that people share"
    assert "until you set a PIN" not in found.out


def test_setup_goes_on_without_a_pin_and_says_what_that_means(
    type_in: type[Typing], tmp_path: Path
) -> None:
    found = setup(type_in, tmp_path, "")
    assert (found.code, found.err) == (0, "")
    assert "Only this machine can write on the page until you set a PIN: spyhole pin" in found.out
    assert not type_in.folder.exists()


def test_setup_asks_for_none_where_only_the_machine_sees_the_page(
    type_in: type[Typing], tmp_path: Path
) -> None:
    found = setup(type_in, tmp_path, page="here")
    assert (found.code, found.err) == (0, "")
    assert "PIN" not in found.out


def test_a_pin_that_cannot_be_kept_leaves_the_configuration_and_says_so(
    type_in: type[Typing], tmp_path: Path
) -> None:
    type_in.folder.write_text("a file")
    found = setup(type_in, tmp_path, PIN)
    assert found.code == 3
    assert "The PIN could not be kept: the data folder" in found.err
    assert (tmp_path / "s.toml").exists()


def test_the_trail_is_listed_the_oldest_first_and_commands_no_terminal(
    type_in: type[Typing], spyhole: Spyhole
) -> None:
    folder = type_in.folder
    empty = spyhole("log", "audit", "--data", folder)
    assert (empty.code, "Nobody has written anything" in empty.out) == (0, True)
    time = "2026-11-25T20:00:00+01:00"
    with Record.open(folder) as record:
        record.add_deed(NewDeed(time, "sign_in", "Ana", "192.168.1.20"))
        record.add_deed(NewDeed(time, "acknowledge", "Ana", "192.168.1.20", {"id": "a#1"}, "f1"))
        record.add_deed(NewDeed(time, "wrong_pin", "x\x1b[2J\u202e", "10.0.0.1"))
        record.add_deed(NewDeed(time, "a_new_deed", None, "::1"))
    type_in.pin(PIN)
    found = spyhole("log", "audit", "--data", folder)
    assert (found.code, found.err) == (0, "")
    lines = found.out.splitlines()
    assert lines[:4] == [
        f"{time}  Ana: signed in (192.168.1.20)",
        f"{time}  Ana: acknowledged an alert [a#1] (192.168.1.20, firing f1)",
        f"{time}  x?[2J?: WRONG PIN, under this name (10.0.0.1)",
        f"{time}  (no name): a_new_deed (::1)",
    ]
    assert re.search(r": set the PIN \(terminal\)$", lines[4])
    rows = spyhole("log", "audit", "--data", folder, "--json").document
    assert [row["number"] for row in rows] == [1, 2, 3, 4, 5]
    assert rows[1] == {
        "number": 2,
        "time": time,
        "who": "Ana",
        "what": "acknowledge",
        "detail": {"id": "a#1"},
        "address": "192.168.1.20",
        "firing": "f1",
    }
    stray = spyhole("log", "audit", "x.csv", "--data", folder)
    assert (stray.code, "takes no file" in stray.err) == (1, True)
