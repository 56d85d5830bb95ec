"""A sound record is told sound, and what is wrong with another is told in sentences."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from supervisor.core.errors import RecordError
from supervisor.record.checking import check
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.record.damage import READINGS, a_record, change, has_dbstat, pages_of, spoil_page
from tests.record.firings import NEW, reading


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    a_record(folder)
    return folder


@pytest.fixture
def path(made: Path, tmp_path: Path) -> Path:
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path / FILE_NAME


def test_a_sound_record_is_sound(path: Path) -> None:
    found = check(path)
    assert (found.wrong, found.odd) == ((), ())
    assert (found.firings, found.readings, found.photos) == (2, 2 * READINGS, 1)


def test_it_is_looked_over_while_it_is_written(path: Path) -> None:
    with Record.open(path.parent) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        record.append(firing.id, reading(9999.0))
        record.flush().result(10.0)
        found = check(path)
        assert found.wrong == ()
        assert found.readings == 2 * READINGS + 1


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("DELETE FROM reading WHERE elapsed_s = 100.0", "readings from 0 s on are missing"),
        ("UPDATE reading SET elapsed_s = 1.0 WHERE elapsed_s = 100.0", "1 s comes after"),
        ("UPDATE block SET first_s = 1.0 WHERE first_s = 0.0", "not where it should be in time"),
        ("UPDATE block SET readings = 5 WHERE first_s = 0.0", "missing"),
        ("UPDATE block SET data = x'0102' WHERE first_s = 3600.0", "can't be read"),
        ("DELETE FROM block WHERE first_s = 3600.0", "3,600 readings before it are missing"),
        ("INSERT INTO reading VALUES (5, 1.0, '[1,2]', NULL)", "1 rows of reading belong to no"),
        ("UPDATE event SET line = '{}' WHERE firing_n = 2", "can't be read"),
        ("UPDATE alert SET line = '{}'", "can't be read"),
        ("UPDATE alert SET id = 'x'", "says that it is another's"),
        (
            "UPDATE alert SET line = json_set(line, '$.cleared_at_s', 1.0)",
            "was over before it began",
        ),
        ("UPDATE firing SET ended_at_s = NULL", "is closed and has no end"),
        ("UPDATE summary SET readings = 3", "was summed up with 3"),
        ("UPDATE note SET firing_n = 99 WHERE id = 1", "row 1 of note belongs to a firing"),
        ("UPDATE reading SET temps_c = '[1]' WHERE elapsed_s = 0.0", "can't be read"),
        ("UPDATE photo SET sha256 = printf('%064d', 0)", "the file of photo 1 is gone"),
    ],
)
def test_what_is_wrong_is_told(path: Path, statement: str, said: str) -> None:
    change(path, statement)
    found = check(path)
    assert any(said in line for line in found.wrong), found.wrong
    assert all("\n" not in line for line in found.wrong)


def test_what_is_odd_is_told_and_is_no_damage(path: Path) -> None:
    change(path, "DELETE FROM event WHERE firing_n = 2")
    found = check(path)
    assert found.wrong == ()
    assert len(found.odd) == 1
    assert "has no event that raised it" in found.odd[0]


def test_a_spoilt_photo_and_one_of_nobody_are_told(path: Path) -> None:
    (photo,) = (path.parent / "photos").iterdir()
    photo.write_bytes(b"another")
    (path.parent / "photos" / "stray.jpg").write_bytes(b"stray")
    found = check(path)
    assert len(found.wrong) == 1
    assert "photo 1 is spoilt" in found.wrong[0]
    assert found.odd == ("1 files of photos belong to no firing, such as stray.jpg",)


@pytest.mark.skipif(not has_dbstat(), reason="this SQLite can't tell which page is whose")
@pytest.mark.parametrize("table", ["reading", "block", "note", "event", "firing"])
def test_a_spoilt_page_is_told(path: Path, table: str) -> None:
    pages = pages_of(path, table)
    spoil_page(path, pages[len(pages) // 2])
    assert check(path).wrong


def test_what_is_no_record_at_all_is_an_error(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"junk" * 1000)
    for folder in (tmp_path, tmp_path / "nowhere"):
        with pytest.raises(RecordError):
            check(folder / FILE_NAME)
