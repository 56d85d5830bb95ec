"""The files of PIN and sessions: their owner's alone, seen when they change, never half read."""

from __future__ import annotations

import os
import shutil
import stat
from pathlib import Path

import pytest

from supervisor.core.errors import RecordError, SpyholeError
from supervisor.record.store import Record
from supervisor.service.page_access import RecordTrail, in_words
from supervisor.service.page_keys import (
    PIN_FILE,
    SESSIONS_FILE,
    PageKeys,
    remove_pin,
    write_pin,
)
from tests.web.access.doors import CHEAP, OTHER_PIN, PIN
from web.access.access import Access, Reading
from web.access.interface import Deed, UnreadablePinError
from web.access.pin import hashed


class Look:
    """Keys over a folder, and a clock that the test winds."""

    def __init__(self, folder: Path) -> None:
        self.now_s = 0.0
        self.warnings: list[str] = []
        self.keys = PageKeys(folder, self.warnings.append, lambda: self.now_s)

    def pin_fits(self, text: str) -> bool | None:
        """A second later: whether there is a PIN, and this one is it."""
        self.now_s += 1.0
        pin = self.keys.pin()
        return None if pin is None else pin.fits(text)


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_what_is_kept_is_its_owners_alone_whatever_the_umask(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        path = write_pin(tmp_path / "new" / "folder", hashed(PIN, CHEAP))
        Look(path.parent).keys.save_sessions("{}")
    finally:
        os.umask(before)
    assert (path.name, mode_of(path)) == (PIN_FILE, 0o600)
    assert mode_of(path.parent / SESSIONS_FILE) == 0o600
    assert PIN not in path.read_text(encoding="utf-8")
    assert {each.name for each in path.parent.iterdir()} == {PIN_FILE, SESSIONS_FILE}


def test_a_file_that_others_could_read_is_closed_to_them_when_it_is_written(tmp_path: Path) -> None:
    path = write_pin(tmp_path, hashed(PIN, CHEAP))
    path.chmod(0o644)
    write_pin(tmp_path, hashed(OTHER_PIN, CHEAP))
    assert mode_of(path) == 0o600


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can write for another user")
def test_what_root_writes_for_a_service_is_the_services(tmp_path: Path) -> None:
    os.chown(tmp_path, 12345, 12346)
    path = write_pin(tmp_path, hashed(PIN, CHEAP))
    assert (path.stat().st_uid, path.stat().st_gid) == (12345, 12346)
    assert mode_of(path) == 0o600


def test_a_change_is_seen_within_a_second_and_no_sooner_asked_of_the_disk(tmp_path: Path) -> None:
    look = Look(tmp_path)
    assert look.pin_fits(PIN) is None
    write_pin(tmp_path, hashed(PIN, CHEAP))
    assert look.keys.pin() is None
    assert look.pin_fits(PIN) is True
    write_pin(tmp_path, hashed(OTHER_PIN, CHEAP))
    assert look.pin_fits(PIN) is False
    assert look.pin_fits(OTHER_PIN) is True
    assert remove_pin(tmp_path)
    assert not remove_pin(tmp_path)
    assert look.pin_fits(OTHER_PIN) is None
    assert look.warnings == []


@pytest.mark.parametrize("text", [b"", b"{}", b"\xff\xfe", b"x" * 200_000])
def test_a_damaged_pin_is_no_open_door_and_said_once(tmp_path: Path, text: bytes) -> None:
    look = Look(tmp_path)
    write_pin(tmp_path, hashed(PIN, CHEAP))
    assert look.pin_fits(PIN) is True
    (tmp_path / PIN_FILE).write_bytes(text)
    for _ in range(3):
        with pytest.raises(UnreadablePinError):
            look.pin_fits(PIN)
    (warning,) = look.warnings
    assert str(tmp_path / PIN_FILE) in warning
    assert f"spyhole pin --data {tmp_path}" in warning
    write_pin(tmp_path, hashed(PIN, CHEAP))
    assert look.pin_fits(PIN) is True


def test_a_folder_in_the_pins_place_is_no_open_door(tmp_path: Path) -> None:
    look = Look(tmp_path)
    (tmp_path / PIN_FILE).mkdir()
    with pytest.raises(UnreadablePinError):
        look.pin_fits(PIN)
    with pytest.raises(SpyholeError):
        write_pin(tmp_path, hashed(PIN, CHEAP))
    with pytest.raises(SpyholeError):
        remove_pin(tmp_path)


def test_sessions_come_back_and_a_refusing_disk_is_an_error(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    folder.mkdir()
    look = Look(folder)
    assert look.keys.load_sessions() is None
    look.keys.save_sessions('{"a": 1}')
    assert Look(folder).keys.load_sessions() == '{"a": 1}'
    (folder / SESSIONS_FILE).write_bytes(b"\xff")
    assert look.keys.load_sessions() is None
    assert len(look.warnings) == 1
    shutil.rmtree(folder)
    with pytest.raises(OSError, match="no such folder"):
        look.keys.save_sessions("{}")


def test_a_data_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="can't be made"):
        write_pin(tmp_path / "file" / "data", hashed(PIN, CHEAP))


async def test_the_trail_is_in_the_record_with_its_firing(tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        trail = RecordTrail(record, lambda: "2026-11-25-0a1b")
        await trail.add(Deed("sign_in", "Ana", "10.0.0.1"))
        await trail.add(Deed("acknowledge", None, "10.0.0.2", {"alert_id": "a#1"}))
        latest, first = await trail.latest(10)
        assert (latest.number, latest.firing) == (2, "2026-11-25-0a1b")
        assert latest.deed == Deed("acknowledge", None, "10.0.0.2", {"alert_id": "a#1"})
        assert first.deed == Deed("sign_in", "Ana", "10.0.0.1")
        assert first.time[10] == "T"
        assert await trail.latest(1) == [latest]


def test_the_terminal_says_how_to_set_a_pin_only_where_it_is_wanted(tmp_path: Path) -> None:
    look = Look(tmp_path)
    open_to_read = Access(look.keys)
    by_pin = Access(look.keys, reading=Reading.PIN)
    assert in_words(open_to_read, is_seen_by_others=False) is None
    said = in_words(open_to_read, is_seen_by_others=True)
    assert said == (
        "note: only this machine may write on the page until a PIN is set: "
        f"spyhole pin --data {tmp_path}"
    )
    assert "read and write" in (in_words(by_pin, is_seen_by_others=True) or "")
    write_pin(tmp_path, hashed(PIN, CHEAP))
    look.now_s += 1.0
    assert in_words(open_to_read, is_seen_by_others=True) is None
