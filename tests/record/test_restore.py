"""A backup put back is the record; what was there is kept, whenever the program is killed."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.record.backup import back_up
from supervisor.record.checking import check
from supervisor.record.photos import PhotoFiles
from supervisor.record.restore import restore
from supervisor.record.rows import NewMessage
from supervisor.record.schema import FILE_NAME, VERSION
from supervisor.record.store import Record
from supervisor.record.unloading import NewPhoto
from tests.record.damage import change
from tests.record.firings import NEW, event, reading
from tests.record.test_schema import old_record

LABEL = "20261126-120000"
KEPT = f"{FILE_NAME}.before-{LABEL}"


def a_small_record(folder: Path, seconds: int, photo: bytes) -> None:
    """A firing of so many readings, with a photo and a message that waits."""
    with Record.open(folder) as record:
        firing = record.start_firing(NEW).result(10.0)
        for second in range(seconds):
            record.append(firing.id, reading(float(second)))
        message = NewMessage("spyhole/k/alerts", "stalled")
        record.add_events(firing.id, [event(1)], messages=[message]).result(10.0)
        sha256 = PhotoFiles(folder).keep(photo, "jpeg")
        record.add_photo(firing.id, NewPhoto(sha256, "jpeg", len(photo), 4, 3)).result(10.0)


def readings_in(folder: Path, name: str = FILE_NAME) -> int:
    """How many readings the record has; it is sound."""
    checked = check(folder / name, with_photos=name == FILE_NAME)
    assert checked.wrong == ()
    return checked.readings


def names_in(folder: Path) -> list[str]:
    """What is in the folder but for what SQLite makes for whoever looks."""
    return sorted(
        path.name for path in folder.iterdir() if not path.name.endswith(("-wal", "-shm"))
    )


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A record that is there, with more in it than in its backup and another photo."""
    folder = tmp_path / "data"
    a_small_record(folder, 90, b"a later photo")
    return folder


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    a_small_record(tmp_path / "before", 50, b"a photo")
    back_up(tmp_path / "before" / FILE_NAME, tmp_path / "kiln.sqlite3")
    return tmp_path / "kiln.sqlite3"


def test_the_backup_is_the_record_and_what_was_there_is_beside_it(data: Path, backup: Path) -> None:
    as_it_was = backup.read_bytes()
    done = restore(backup, data, LABEL)
    assert (done.firings, done.readings, done.photos, done.photos_missing) == (1, 50, 1, 0)
    assert done.kept_old == data / KEPT
    assert readings_in(data) == 50
    assert readings_in(data, KEPT) == 90
    assert backup.read_bytes() == as_it_was
    assert {path.read_bytes() for path in PhotoFiles(data).names()} == {
        b"a photo",
        b"a later photo",
    }
    assert names_in(data) == ["photos", FILE_NAME, KEPT]
    with Record.open(data) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        record.append(firing.id, reading(100.0))
    assert readings_in(data) == 51
    assert readings_in(data, KEPT) == 90


def test_what_waited_for_the_broker_then_is_not_sent_now(data: Path, backup: Path) -> None:
    assert restore(backup, data, LABEL).unsent == 1
    with closing(sqlite3.connect(data / FILE_NAME)) as connection:
        assert connection.execute("SELECT count(*) FROM outbox").fetchone() == (0,)
        assert connection.execute("SELECT count(*) FROM event").fetchone() == (1,)


def test_what_is_still_in_the_old_ones_log_is_kept_too(data: Path, backup: Path) -> None:
    """A daemon that was killed leaves its last transactions in the log."""
    copy = data.with_name("killed")
    with Record.open(data, commit_after_s=0.0) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        record.append(firing.id, reading(100.0))
        record.add_note(firing.id, 100.0, "the last word").result(10.0)
        shutil.copytree(data, copy)
    assert (copy / f"{FILE_NAME}-wal").stat().st_size > 0
    restore(backup, copy, LABEL)
    assert readings_in(copy, KEPT) == 91
    assert readings_in(copy) == 50


def test_a_new_card_and_a_second_time(data: Path, backup: Path, tmp_path: Path) -> None:
    new = tmp_path / "new"
    new.mkdir()
    assert restore(backup, new, LABEL).kept_old is None
    assert readings_in(new) == 50
    again = restore(backup, new, LABEL)
    assert again.kept_old == new / KEPT
    assert restore(backup, new, LABEL).kept_old == new / f"{KEPT}-2"
    # And the old one comes back as it went.
    restore(backup, data, LABEL)
    assert restore(data / KEPT, data, "later").readings == 90
    assert readings_in(data) == 90


def test_a_damaged_record_gives_way_with_its_log(data: Path, backup: Path) -> None:
    path = data / FILE_NAME
    spoilt = b"x" * 100 + path.read_bytes()[100:]
    path.write_bytes(spoilt)
    log = data / f"{FILE_NAME}-wal"
    log.write_bytes(b"what is left of a log")
    restore(backup, data, LABEL)
    assert readings_in(data) == 50
    assert (data / KEPT).read_bytes() == spoilt
    assert (data / f"{KEPT}-wal").read_bytes() == b"what is left of a log"
    assert not log.exists()


def test_a_log_without_its_record_is_none_of_the_new_one(backup: Path, tmp_path: Path) -> None:
    new = tmp_path / "new"
    new.mkdir()
    (new / f"{FILE_NAME}-wal").write_bytes(b"of a record that is gone")
    restore(backup, new, LABEL)
    assert readings_in(new) == 50
    assert not (new / f"{FILE_NAME}-wal").exists()


def test_an_older_backup_is_brought_to_this_version(tmp_path: Path) -> None:
    old = old_record(tmp_path, 3) / FILE_NAME
    (tmp_path / "data").mkdir()
    assert restore(old, tmp_path / "data", LABEL).firings == 1
    with closing(sqlite3.connect(tmp_path / "data" / FILE_NAME)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (VERSION,)


def everything(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_what_is_no_sound_backup_changes_nothing(data: Path, backup: Path, tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.write_text("damper in")
    other = tmp_path / "other.sqlite3"
    change(other, "CREATE TABLE t (x)")
    empty = tmp_path / "empty"
    empty.touch()
    cut = tmp_path / "cut.sqlite3"
    cut.write_bytes(backup.read_bytes()[:20_000])
    bad = tmp_path / "bad.sqlite3"
    shutil.copyfile(backup, bad)
    change(bad, "UPDATE event SET line = '{}'")
    newer = tmp_path / "newer.sqlite3"
    shutil.copyfile(backup, newer)
    change(newer, f"PRAGMA user_version = {VERSION + 1}")
    before = everything(data)
    for file, kind, said in (
        (tmp_path / "nothing", InputError, "there is no such file"),
        (tmp_path, InputError, "this is a folder"),
        (text, InputError, "this is no backup of a record"),
        (empty, InputError, "this is no backup of a record"),
        (other, InputError, "another program's database"),
        (data / FILE_NAME, InputError, "this is the record itself"),
        (Path("x" * 300), InputError, "can't be read"),
        (cut, RecordError, "is damaged"),
        (bad, RecordError, "is damaged"),
        (newer, RecordError, "written by a newer spyhole"),
    ):
        with pytest.raises(kind) as found:
            restore(file, data, LABEL)
        assert said in str(found.value)
        assert "\n" not in str(found.value)
        assert ".restoring" not in str(found.value)
        assert everything(data) == before, file


def test_photos_that_are_lost_are_counted_and_spoilt_ones_make_room(
    data: Path, backup: Path
) -> None:
    name = f"{hashlib.sha256(b'a photo').hexdigest()}.jpg"
    ours = data / "photos" / name
    ours.write_bytes(b"a phot#")
    restore(backup, data, LABEL)
    assert ours.read_bytes() == b"a photo"
    assert (data / f"photos.spoilt-{LABEL}" / name).read_bytes() == b"a phot#"
    ours.unlink()
    shutil.rmtree(backup.with_name(f"{backup.name}.photos"))
    done = restore(backup, data, "later")
    assert (done.photos, done.photos_missing) == (0, 1)


def test_somebody_who_reads_the_record_is_not_left_with_half_of_it(
    data: Path, backup: Path
) -> None:
    with Record.open(data, commit_after_s=0.0) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        with closing(sqlite3.connect(data / FILE_NAME)) as reader:
            reader.execute("BEGIN")
            reader.execute("SELECT count(*) FROM note").fetchone()
            record.add_note(firing.id, 1.0, "meanwhile").result(10.0)
            with pytest.raises(PeerError, match="by another program"):
                restore(backup, data, LABEL)
        assert [note.text for note in record.notes(firing.id)] == ["meanwhile"]
    assert readings_in(data) == 90


def test_a_disk_that_refuses_leaves_the_record_as_it_was(
    data: Path, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = everything(data)

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    for name in ("link", "fsync"):
        with monkeypatch.context() as patch:
            patch.setattr(os, name, refuse)
            with pytest.raises((PeerError, RecordError), match="No space left on device"):
                restore(backup, data, LABEL)
        assert everything(data).items() >= before.items()
        assert readings_in(data) == 90


def test_killed_at_any_step_the_record_is_the_old_one_or_the_new_one(
    data: Path, backup: Path, tmp_path: Path
) -> None:
    work = tmp_path / "work"
    work.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "tests.record.restoring", backup, data, work],
        stdout=subprocess.PIPE,
        text=True,
        check=True,
        timeout=120.0,
    )
    tries = int(done.stdout)
    assert tries > 20
    found = []
    for number in range(tries + 1):
        folder = work / str(number)
        readings = readings_in(folder)
        found.append(readings)
        if readings == 50:
            assert readings_in(folder, KEPT) == 90
        again = restore(backup, folder, LABEL)
        assert readings_in(folder) == 50
        assert set(names_in(folder)) <= {FILE_NAME, "photos", KEPT, f"{KEPT}-2"}
        # Where the new one was in its place already, it is the new one that gave way.
        assert again.kept_old == folder / (f"{KEPT}-2" if readings == 50 else KEPT)
        assert readings_in(folder, KEPT) == 90
    # First the old one, at last the new one, and never anything else.
    assert found == sorted(found, reverse=True)
    assert set(found) == {90, 50}
