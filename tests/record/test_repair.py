"""Of a damaged record everything that can be read is saved, and what was lost is said."""

from __future__ import annotations

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from supervisor.core.errors import RecordError
from supervisor.core.readings import Reading
from supervisor.record.checking import check
from supervisor.record.repair import Repaired, repair
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.record.damage import PAGE, READINGS, a_record, change, has_dbstat, pages_of, spoil_page
from tests.record.firings import NEW, reading

needs_dbstat = pytest.mark.skipif(
    not has_dbstat(), reason="this SQLite can't tell which page is whose"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    a_record(folder)
    return folder


@pytest.fixture
def path(made: Path, tmp_path: Path) -> Path:
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path / FILE_NAME


def contents(path: Path) -> dict[str, tuple[list[Reading], list[str], list[str]]]:
    """By the firing's name, its readings, notes and events."""
    with Record.open_to_read(path.parent) as record:
        return {
            firing.name: (
                list(record.readings(firing.id)),
                [note.text for note in record.notes(firing.id)],
                record.event_lines(firing.id),
            )
            for firing in record.firings()
        }


def repaired(path: Path) -> Repaired:
    found = repair(path, "now")
    assert check(path).wrong == ()
    assert found.kept_old == path.with_name(f"{FILE_NAME}.damaged-now")
    assert found.kept_old.stat().st_size > 0
    assert not path.with_name(f"{FILE_NAME}.repaired").exists()
    return found


def test_a_sound_record_loses_nothing(path: Path) -> None:
    before = contents(path)
    found = repaired(path)
    assert found.lost == ()
    assert (found.firings, found.readings) == (2, 2 * READINGS)
    assert contents(path) == before
    with Record.open(path.parent) as record:
        firing = record.open_firing(NEW.kiln)
        assert firing is not None
        record.append(firing.id, reading(float(READINGS)))
        record.flush().result(10.0)
        assert len(list(record.readings(firing.id))) == READINGS + 1
        assert len(record.to_put_away()) == 1, "what was summed up is summed up anew"
        assert record.accounts(record.firings()[-1].id)


@needs_dbstat
@pytest.mark.parametrize("seed", range(4))
def test_around_spoilt_pages_of_readings_all_else_is_saved(path: Path, seed: int) -> None:
    before = contents(path)
    draw = random.Random(seed)
    for page in draw.sample(pages_of(path, "reading"), 4):
        spoil_page(path, page)
    assert check(path).wrong
    found = repaired(path)
    after = contents(path)
    assert after["Past"] == before["Past"]
    kept, (all_of_it, notes, events) = after["Glaze"], before["Glaze"]
    assert kept[1:] == (notes, events)
    times = {one.elapsed_s for one in kept[0]}
    assert [one for one in all_of_it if one.elapsed_s in times] == kept[0], "labels and all"
    lost = len(all_of_it) - len(kept[0])
    # A page of 1 KiB holds some 20 rows.
    assert 0 < lost < 4 * 60
    assert sum(int(line.split()[0]) for line in found.lost) == lost
    assert all("readings of firing" in line for line in found.lost)


@needs_dbstat
def test_an_hour_is_lost_with_its_block_and_no_more(path: Path) -> None:
    before = contents(path)
    change(path, "UPDATE block SET data = substr(data, 1, length(data) / 2) WHERE first_s = 3600.0")
    found = repaired(path)
    after = contents(path)
    assert after["Glaze"] == before["Glaze"]
    assert after["Past"][0] == [
        one for one in before["Past"][0] if not 3600.0 <= one.elapsed_s < 7200.0
    ]
    assert len(found.lost) == 1
    assert "3,600 readings" in found.lost[0]
    assert "from 3599 s to 7200 s" in found.lost[0]


@needs_dbstat
@pytest.mark.parametrize("table", ["note", "event", "alert", "outbox", "photo", "account"])
def test_a_spoilt_page_of_another_table_costs_its_rows(path: Path, table: str) -> None:
    before = contents(path)
    with closing(sqlite3.connect(path)) as connection:
        (rows,) = connection.execute(f"SELECT count(*) FROM {table}").fetchone()
    pages = pages_of(path, table)
    spoil_page(path, pages[len(pages) // 2])
    found = repaired(path)
    after = contents(path)
    assert [one[0] for one in after.values()] == [one[0] for one in before.values()]
    if rows:
        assert any(table in line for line in found.lost)
    if table == "note":
        assert len(after["Glaze"][1]) > 30


@needs_dbstat
def test_readings_outlive_the_row_of_their_firing(path: Path) -> None:
    before = contents(path)
    for page in pages_of(path, "firing"):
        spoil_page(path, page)
    found = repaired(path)
    assert found.readings == 2 * READINGS
    with Record.open_to_read(path.parent) as record:
        firings = {firing.id: firing for firing in record.firings()}
        _, glaze_id = sorted(firings, reverse=True)
        assert set(firings) == {"saved-0001", glaze_id}
        assert firings["saved-0001"].channels == ("channel 1", "channel 2")
        assert firings[glaze_id].channels == ("top", "channel 2"), "its faults tell of top"
        assert list(record.readings(glaze_id))[3].faults == before["Glaze"][0][3].faults
        assert record.events(glaze_id)
        kept = [list(one.temps_c.values()) for one in record.readings("saved-0001")]
        assert kept == [list(one.temps_c.values()) for one in before["Past"][0]]
    assert any("saved-0001" in line for line in found.lost)


def test_spoilt_indices_cost_nothing(path: Path) -> None:
    before = contents(path)
    change(
        path,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = "
        "'finding_by_key') WHERE name = 'alert_by_firing'",
    )
    assert check(path).wrong
    assert repaired(path).lost == ()
    assert contents(path) == before


def test_many_spoilt_pages_at_random_places_are_borne(path: Path) -> None:
    size = path.stat().st_size // PAGE
    for seed in range(4):
        spoilt = path.parent / f"spoilt-{seed}"
        shutil.copytree(path.parent, spoilt, ignore=shutil.ignore_patterns("spoilt-*"))
        draw = random.Random(seed)
        # The first pages say which tables there are; without them nothing can be saved.
        for page in draw.sample(range(60, size), 25):
            spoil_page(spoilt / FILE_NAME, page)
        found = repair(spoilt / FILE_NAME, "now")
        assert check(spoilt / FILE_NAME).wrong == ()
        assert found.readings > READINGS // 2
        assert found.lost


def test_a_file_of_which_nothing_can_be_read_stays_as_it_is(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[100:] = bytes(len(data) - 100)
    path.write_bytes(data)
    with pytest.raises(RecordError):
        repair(path, "now")
    assert path.read_bytes() == data
    assert not [one for one in path.parent.iterdir() if "damaged" in one.name]
    assert not [one for one in path.parent.iterdir() if "repaired" in one.name]


def test_what_waits_in_the_log_is_saved_too(path: Path) -> None:
    record = Record.open(path.parent)
    firing = record.open_firing(NEW.kiln)
    assert firing is not None
    record.append(firing.id, reading(float(READINGS)))
    record.add_note(firing.id, 1.0, "the last word").result(10.0)
    copy = path.parent / "crashed"
    copy.mkdir()
    for end in ("", "-wal"):
        shutil.copy(f"{path}{end}", copy / f"{FILE_NAME}{end}")
    record.close()
    found = repair(copy / FILE_NAME, "now")
    assert found.readings == 2 * READINGS + 1
    assert contents(copy / FILE_NAME)["Glaze"][1][-1] == "the last word"
