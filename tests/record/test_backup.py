"""A backup is whole or not there, whatever is written meanwhile."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.record import backup
from supervisor.record.backup import back_up
from supervisor.record.checking import check
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.record.damage import READINGS, a_record, change
from tests.record.firings import NEW, event, reading


@pytest.fixture
def data(tmp_path: Path) -> Path:
    folder = tmp_path / "data"
    a_record(folder)
    return folder


def restored(copy: Path, folder: Path) -> Path:
    """The backup put back as a record, with its photos, as a person would."""
    folder.mkdir()
    copy.rename(folder / FILE_NAME)
    copy.with_name(f"{copy.name}.photos").rename(folder / "photos")
    return folder


def test_a_backup_put_back_is_the_same_record(data: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    found = back_up(data / FILE_NAME, copy)
    assert (found.firings, found.photos, found.photos_missing) == (2, 1, 0)
    assert found.bytes == copy.stat().st_size
    assert sorted(one.name for one in tmp_path.iterdir()) == [
        "copy.sqlite3",
        "copy.sqlite3.photos",
        "data",
    ]
    folder = restored(copy, tmp_path / "again")
    checked = check(folder / FILE_NAME)
    assert (checked.wrong, checked.readings, checked.photos) == ((), 2 * READINGS, 1)
    with Record.open(folder) as again, Record.open_to_read(data) as before:
        assert again.firings() == before.firings()
        for firing in again.firings():
            assert list(again.readings(firing.id)) == list(before.readings(firing.id))
        assert not (data / "record.sqlite3.part").exists()


def test_while_a_daemon_writes_on_each_copy_is_sound_and_later_than_what_was_kept(
    data: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite3"
    is_over = threading.Event()
    with Record.open(data, commit_after_s=0.0) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        kept = 0

        def write() -> None:
            nonlocal kept
            number = READINGS
            while not is_over.is_set():
                record.append(firing.id, reading(float(number)))
                record.add_events(firing.id, [event(number, float(number))]).result(10.0)
                number += 1
                kept += 1

        writing = threading.Thread(target=write)
        writing.start()
        try:
            for _ in range(5):
                before = kept
                back_up(data / FILE_NAME, copy)
                assert [line for line in check(copy).wrong if "photo" not in line] == []
                with closing(sqlite3.connect(copy)) as connection:
                    (count,) = connection.execute(
                        "SELECT count(*) FROM event WHERE firing_n = 2"
                    ).fetchone()
                assert count >= 1 + before
        finally:
            is_over.set()
            writing.join()
        assert kept > 5, "the copies held nobody up"


def test_an_older_backup_gives_way_to_a_whole_one_alone(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = tmp_path / "copy.sqlite3"
    back_up(data / FILE_NAME, copy)
    before = copy.read_bytes()

    def breaks_off(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(backup, "_copy_photos", breaks_off)
        with pytest.raises(KeyboardInterrupt):
            back_up(data / FILE_NAME, copy)
    assert copy.read_bytes() == before
    assert not [one for one in tmp_path.iterdir() if one.name.startswith(".spyhole")]
    with Record.open(data) as record:
        record.add_note(record.firings()[0].id, 1.0, "new").result(10.0)
    back_up(data / FILE_NAME, copy)
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT 1 FROM note WHERE text = 'new'").fetchone()
    assert not copy.with_name(f"{copy.name}-wal").exists()


def test_what_is_something_else_is_never_overwritten(data: Path, tmp_path: Path) -> None:
    other = tmp_path / "letters.txt"
    other.write_text("dear")
    foreign = tmp_path / "foreign.sqlite3"
    with closing(sqlite3.connect(foreign)) as connection:
        connection.execute("CREATE TABLE recipe (name)")
    for target in (other, foreign, tmp_path, tmp_path / "no" / "copy", data / FILE_NAME):
        with pytest.raises(InputError):
            back_up(data / FILE_NAME, target)
    assert other.read_text() == "dear"


def test_a_damaged_record_is_not_copied_over_a_sound_copy(data: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    back_up(data / FILE_NAME, copy)
    before = copy.read_bytes()
    change(
        data / FILE_NAME,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = "
        "'finding_by_key') WHERE name = 'alert_by_firing'",
    )
    with pytest.raises(RecordError, match="damaged"):
        back_up(data / FILE_NAME, copy)
    assert copy.read_bytes() == before


def test_a_disk_that_refuses_leaves_nothing(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "_copy", refuses)
    with pytest.raises(PeerError, match="No space left"):
        back_up(data / FILE_NAME, tmp_path / "copy.sqlite3")
    assert [one.name for one in tmp_path.iterdir()] == ["data"]


def test_a_photo_that_is_gone_is_counted(data: Path, tmp_path: Path) -> None:
    for photo in (data / "photos").iterdir():
        photo.unlink()
    found = back_up(data / FILE_NAME, tmp_path / "copy.sqlite3")
    assert (found.photos, found.photos_missing) == (0, 1)
