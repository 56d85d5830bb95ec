"""A record whose file can't be written when it is opened: nothing waits for it, nothing is lost."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.alerts import AlertBook, Now
from supervisor.core.errors import RecordError
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.record import stand_in, store, writer
from supervisor.record.checking import check
from supervisor.record.packing import pack_next
from supervisor.record.put_away import put_away
from supervisor.record.rows import NewMessage
from supervisor.record.schema import (
    FILE_NAME,
    VERSION,
    UnwritableError,
    open_for_reading,
    open_for_writing,
)
from supervisor.record.stand_in import StandIn
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding
from supervisor.record.writer import IN_MEMORY, Trouble
from tests.record.firings import NEW, event, reading

REFUSAL = "the disk is read-only"


class Disk:
    """The disk under ``folder``, which may refuse to be written."""

    def __init__(self, folder: Path, memory: Path) -> None:
        self.folder = folder
        self.memory = memory
        self.refuses = False
        self.said: list[Trouble | None] = []

    def open_for_writing(self, path: Path) -> sqlite3.Connection:
        if self.refuses and path.parent == self.folder:
            raise UnwritableError(REFUSAL)
        return open_for_writing(path)

    def record(self) -> Record:
        return Record.open_or_stand_in(self.folder, on_trouble=self.said.append)

    def allow(self, record: Record) -> None:
        """Let it be written again; it must be noticed, and all must be there."""
        self.refuses = False
        record.at_home().result(20.0)
        record.flush().result(10.0)
        assert record.trouble is None
        assert not record.stands_in
        assert self.said[-1] is None
        assert list(self.memory.iterdir()) == []

    def is_sound(self) -> bool:
        with closing(sqlite3.connect(self.folder / FILE_NAME)) as connection:
            found = connection.execute("PRAGMA integrity_check").fetchall()
            found += connection.execute("PRAGMA foreign_key_check").fetchall()
        return found == [("ok",)]


@pytest.fixture
def disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Disk:
    """A disk with an empty memory beside it."""
    memory = tmp_path / "memory"
    memory.mkdir()
    disk = Disk(tmp_path / "data", memory)
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(memory))
    monkeypatch.setattr(writer, "_HOME_EVERY_S", 0.02)
    for module in (store, stand_in):
        monkeypatch.setattr(module, "open_for_writing", disk.open_for_writing)
    return disk


def filled(disk: Disk) -> tuple[str, str]:
    """A record with a firing that has ended and one that goes on, and a message that waits."""
    with Record.open(disk.folder) as record:
        ended = record.start_firing(NEW).result(10.0)
        record.append(ended.id, reading(1.0))
        record.close_firing(ended.id, 1.0).result(10.0)
        going = record.start_firing(NEW).result(10.0)
        for n in range(30):
            record.append(going.id, reading(float(n), f"2026-11-26T08:00:{n:02d}.000+00:00"))
        book = AlertBook(going.id, going.kiln)
        change = book.take(event(1))
        assert change is not None
        record.add_events(
            going.id,
            [event(1)],
            alerts=change.alerts,
            book=book.kept,
            messages=[NewMessage("alerts", "old")],
        )
        record.add_note(going.id, 5.0, "before")
        record.add_observation(going.id, Observation(5.0, "6", "3", "top", None)).result(10.0)
    return ended.id, going.id


@pytest.mark.parametrize("most_copied_bytes", [stand_in.MOST_COPIED_BYTES, 0])
def test_a_firing_goes_on_in_memory_and_is_whole_in_the_file(
    disk: Disk, monkeypatch: pytest.MonkeyPatch, most_copied_bytes: int
) -> None:
    monkeypatch.setattr(stand_in, "MOST_COPIED_BYTES", most_copied_bytes)
    ended, going = filled(disk)
    disk.refuses = True
    with disk.record() as record:
        assert record.stands_in
        assert record.path == disk.folder / FILE_NAME
        assert record.trouble is not None
        assert record.trouble.message == f"{REFUSAL}; {IN_MEMORY}"
        assert [trouble and trouble.message for trouble in disk.said] == [record.trouble.message]
        assert len(list(record.readings(going))) == 30
        for n in range(30, 60):
            record.append(going, reading(float(n), f"2026-11-26T08:00:{n:02d}.000+00:00"))
        (old,) = record.waiting_messages()
        record.mark_sent(old.id).result(10.0)
        book = AlertBook(going, NEW.kiln, record.alerts(going), kept=record.alert_book(going))
        change = book.acknowledge(record.alerts(going)[0].id, "Ann", Now(70.0))
        assert change is not None
        record.add_events(
            going, [event(2)], alerts=change.alerts, messages=[NewMessage("alerts", "new")]
        ).result(10.0)
        record.add_note(going, 55.0, "while it refused").result(10.0)
        mistapped = record.add_note(going, 56.0, "mistapped").result(10.0)
        for note in (record.notes(going)[0], mistapped):
            record.withdraw_note(going, note.id, 57.0, by="Ann").result(10.0)
        record.withdraw_observation(going, record.observations(going)[0].id).result(10.0)
        assert not record.at_home()._future.done(), "nobody is told that it is written"
        with Record.open_to_read(disk.folder) as file:
            assert len(list(file.readings(going))) == 30
        disk.allow(record)
        record.append(going, reading(60.0))
        record.add_note(going, 61.0, "after").result(10.0)
    assert disk.is_sound()
    with Record.open(disk.folder) as record:
        assert [r.elapsed_s for r in record.readings(going)] == [float(n) for n in range(61)]
        assert next(record.readings(going, from_s=59.0)).time == "2026-11-26T08:00:59.000+00:00"
        assert [r.elapsed_s for r in record.readings(ended)] == [1.0]
        assert [one.message for one in record.events(going)] == [event(n).message for n in (1, 2)]
        assert [n.text for n in record.notes(going)] == ["while it refused", "after"]
        gone = [(n.text, n.withdrawn_by) for n in record.withdrawn_notes(going)]
        assert gone == [("before", "Ann"), ("mistapped", "Ann")]
        (alert,) = record.alerts(going)
        assert alert.acknowledged_by == "Ann"
        assert record.observations(going) == []
        assert [message.payload for message in record.waiting_messages()] == ["new"]
        record.close_firing(going, 61.0).result(10.0)


def test_a_full_disk_beside_a_file_that_was_not_closed_in_order_loses_no_firing(
    disk: Disk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There SQLite reports SQLITE_IOERR_SHMSIZE to whoever only wants to look."""
    _, going = filled(disk)
    killed = disk.folder.with_name("killed")
    with Record.open(disk.folder) as record:
        record.add_note(going, 6.0, "in the log of changes").result(10.0)
        shutil.copytree(disk.folder, killed)
    shutil.rmtree(disk.folder)
    killed.rename(disk.folder)
    (disk.folder / f"{FILE_NAME}-shm").unlink()

    def no_room(path: Path) -> sqlite3.Connection:
        raise RecordError(f"{path}: SQLITE_IOERR_SHMSIZE")

    disk.refuses = True
    with monkeypatch.context() as full:
        full.setattr(stand_in, "open_for_reading", no_room)
        record = disk.record()
    with record:
        assert [n.text for n in record.notes(going)] == ["before", "in the log of changes"]
        disk.allow(record)
        assert record.firing(going).is_open


def test_what_could_not_be_read_is_met_by_nothing_of_the_new(disk: Disk) -> None:
    ended, left = filled(disk)
    away = disk.folder.with_name("unplugged")
    disk.folder.rename(away)
    disk.folder.write_text("not even a folder")
    with disk.record() as record:
        assert record.firings() == []
        new = record.start_firing(NEW).result(10.0)
        record.append(new.id, reading(1.0))
        record.add_note(new.id, 1.0, "mine").result(10.0)
        book = AlertBook(new.id, new.kiln)
        change = book.take(event(7))
        assert change is not None
        record.add_events(new.id, [event(7)], alerts=change.alerts).result(10.0)
        disk.folder.unlink()
        away.rename(disk.folder)
        disk.allow(record)
        assert [firing.id for firing in record.firings()] == [new.id, left, ended]
        before = record.firing(left)
        assert (before.is_open, before.ended_at_s) == (False, 29.0), "nobody goes on with it"
        assert [note.text for note in record.notes(left)] == ["before"]
        assert [note.text for note in record.notes(new.id)] == ["mine"]
        assert len(record.alerts(left)) == len(record.alerts(new.id)) == 1
        assert len(list(record.readings(left))) == 30
        record.close_firing(new.id, 1.0).result(10.0)
        later = record.start_firing(replace(NEW, started_label=None)).result(10.0)
        assert record.firings()[0].id == later.id
    assert disk.is_sound()


def test_one_stand_in_after_another_meets_nothing_of_the_one_before(disk: Disk) -> None:
    """A disk that is full can't even be looked at: SQLite wants room beside the file."""
    ids: list[str] = []
    for n in range(3):
        away = disk.folder.with_name(f"unplugged-{n}")
        if disk.folder.exists():
            disk.folder.rename(away)
        disk.folder.write_text("not even a folder")
        with disk.record() as record:
            new = record.start_firing(NEW).result(10.0)
            ids.append(new.id)
            record.append(new.id, reading(float(n)))
            record.note_new_probe(NEW.kiln, "top").result(10.0)
            record.add_note(new.id, 1.0, f"note {n}").result(10.0)
            disk.folder.unlink()
            if away.exists():
                away.rename(disk.folder)
            disk.allow(record)
    with Record.open_to_read(disk.folder) as record:
        assert [firing.id for firing in record.firings()] == ids[::-1]
        for n, firing_id in enumerate(ids):
            assert [r.elapsed_s for r in record.readings(firing_id)] == [float(n)]
            assert [note.text for note in record.notes(firing_id)] == [f"note {n}"]
    with closing(sqlite3.connect(disk.folder / FILE_NAME)) as connection:
        assert connection.execute("SELECT after_firing_n FROM probe_change").fetchall() == [
            (1,), (2,), (3,),
        ]  # fmt: skip
    assert disk.is_sound()


def test_going_home_twice_changes_nothing(disk: Disk) -> None:
    """A process may end after all is in the file, and before the stand-in is forgotten."""
    _, going = filled(disk)
    disk.refuses = True
    record = disk.record()
    record.close_firing(going, 30.0).result(10.0)
    new = record.start_firing(NEW).result(10.0)
    record.append(new.id, reading(1.0))
    record.add_note(new.id, 1.0, "once").result(10.0)
    record.accept_offset(NEW.kiln, "top", Offset(4.0, 2.0, 1, 1), during=(new.id, 1.0)).result(10.0)
    with pytest.raises(RecordError, match="could not be kept for good"):
        record.close()
    disk.refuses = False
    left = StandIn.left_for(disk.folder / FILE_NAME)
    assert left is not None
    for _ in range(2):
        with closing(open_for_writing(left.path)) as source:
            left.go_home(source).close()
    with disk.record() as record:
        assert record.firing(new.id).is_open
        assert not record.firing(going).is_open
        assert [note.text for note in record.notes(new.id)] == ["once"]
        assert len(list(record.readings(new.id))) == 1
        assert len(record.firings()) == 3
        (change,) = record.offset_changes(new.id)
        assert change.offset == Offset(4.0, 2.0, 1, 1)
    assert disk.is_sound()


@pytest.mark.parametrize("refuses_still", [False, True])
def test_what_a_process_leaves_in_memory_is_taken_up_by_the_next(
    disk: Disk, refuses_still: bool
) -> None:
    _, going = filled(disk)
    disk.refuses = True
    record = disk.record()
    record.append(going, reading(30.0))
    record.add_note(going, 31.0, "while it refused").result(10.0)
    with pytest.raises(RecordError, match=r"could not be kept for good, and is taken up by"):
        record.close()
    disk.refuses = refuses_still
    with disk.record() as record:
        assert record.stands_in is refuses_still
        assert [note.text for note in record.notes(going)] == ["before", "while it refused"]
        assert len(list(record.readings(going))) == 31
        if refuses_still:
            disk.allow(record)
    assert list(disk.memory.iterdir()) == []
    with Record.open_to_read(disk.folder) as file:
        assert len(list(file.readings(going))) == 31


def test_whoever_looks_while_it_goes_home_finds_it(
    disk: Disk, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, going = filled(disk)
    disk.refuses = True
    with disk.record() as record:

        def just_too_late(path: Path) -> sqlite3.Connection:
            if path.parent != disk.folder:
                disk.allow(record)
            return open_for_reading(path)

        monkeypatch.setattr("supervisor.record.looking.open_for_reading", just_too_late)
        assert [note.text for note in record.notes(going)] == ["before"]


def test_a_firing_that_only_waited_is_gone_from_the_file_too(disk: Disk) -> None:
    with Record.open(disk.folder) as record:
        waited = record.start_firing(NEW).result(10.0)
        note = record.add_note(waited.id, 5.0, "three shelves of cups").result(10.0)
    disk.refuses = True
    with disk.record() as record:
        new = record.start_firing(NEW, waited=waited.id).result(10.0)
        disk.allow(record)
        assert [firing.id for firing in record.firings()] == [new.id]
        assert record.notes(new.id) == [replace(note, elapsed_s=0.0)]
    assert disk.is_sound()


def test_a_folder_in_memory_that_somebody_else_may_have_made_is_not_trusted(disk: Disk) -> None:
    _, going = filled(disk)
    disk.refuses = True
    with pytest.raises(RecordError, match="could not be kept for good"), disk.record() as record:
        record.add_note(going, 31.0, "while it refused").result(10.0)
    (left,) = disk.memory.iterdir()
    left.chmod(0o777)
    with disk.record() as record:
        assert [note.text for note in record.notes(going)] == ["before"]
        disk.refuses = False
        record.at_home().result(20.0)
    left.chmod(0o700)


def test_no_table_of_the_record_is_left_behind(disk: Disk) -> None:
    with Record.open(disk.folder), closing(sqlite3.connect(disk.folder / FILE_NAME)) as connection:
        tables = {
            name
            for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            if not name.startswith("sqlite_")
        }
    # What is put away is looked at from memory, and made only at home.
    made_at_home = ("block", "summary")
    moved = (*stand_in._REPLACED, *stand_in._APPENDED, *stand_in._ADDED, *made_at_home, "alert")
    assert sorted(moved) == sorted(tables)


def test_what_is_no_matter_of_the_disk_is_refused(disk: Disk) -> None:
    disk.folder.mkdir()
    with closing(sqlite3.connect(disk.folder / FILE_NAME)) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(RecordError, match="some other program's database"):
        disk.record()
    (disk.folder / FILE_NAME).unlink()
    with Record.open(disk.folder):
        pass
    with closing(sqlite3.connect(disk.folder / FILE_NAME)) as connection:
        connection.execute(f"PRAGMA user_version = {VERSION + 1}")
    with pytest.raises(RecordError, match="newer spyhole"):
        disk.record()
    assert list(disk.memory.iterdir()) == []


def test_what_was_put_away_is_seen_meanwhile_and_stays_put_away(disk: Disk) -> None:
    ended, going = filled(disk)
    with Record.open(disk.folder) as record:
        put_away(record, record.firing(ended))
        record.tell(ended, Account("load", "40 mugs")).result(10.0)
    disk.refuses = True
    with disk.record() as record:
        assert record.stands_in
        assert list(record.readings(ended)) == [reading(1.0)]
        assert record.facts(ended) is not None
        record.tell(ended, Account("load", "41 mugs")).result(10.0)
        record.find_at_unloading(going, [Finding("crawling", 1)]).result(10.0)
        disk.allow(record)
        assert list(record.readings(ended)) == [reading(1.0)]
        assert record.accounts(ended) == [Account("load", "41 mugs")]
        assert record.findings(going) == [Finding("crawling", 1)]
    assert disk.is_sound()
    assert check(disk.folder / FILE_NAME).wrong == ()


def test_a_reading_that_was_packed_by_another_meanwhile_does_not_come_back(disk: Disk) -> None:
    ended, _ = filled(disk)
    disk.refuses = True
    with disk.record() as record:
        assert record.stands_in
        # Another program, for which the disk is writable by then.
        with closing(open_for_writing(disk.folder / FILE_NAME)) as other:
            other.execute("BEGIN IMMEDIATE")
            assert pack_next(other, ended) == 1
            other.execute("COMMIT")
        disk.allow(record)
        assert list(record.readings(ended)) == [reading(1.0)]
    assert check(disk.folder / FILE_NAME).wrong == ()
