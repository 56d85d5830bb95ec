"""What is no record, or can't be opened, is said in one sentence; nothing of it is changed."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from supervisor.core.alerts import AlertBook
from supervisor.core.errors import RecordError
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.record import schema
from supervisor.record.looking import RecordReader
from supervisor.record.put_away import put_away
from supervisor.record.rows import NewMessage
from supervisor.record.schema import FILE_NAME, MIGRATIONS, VERSION, open_for_writing
from supervisor.record.store import Record
from supervisor.record.unloading import Account
from tests.record.firings import NEW, event, reading


def change(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path)
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()


def junk(path: Path) -> None:
    path.write_bytes(b"elapsed_s,top_c\n" * 1000)


def foreign(path: Path) -> None:
    change(path, "CREATE TABLE recipe (name TEXT)")


def newer(path: Path) -> None:
    with Record.open(path.parent):
        pass
    change(path, f"PRAGMA user_version = {VERSION + 1}")


def folder(path: Path) -> None:
    path.mkdir()


BAD: list[tuple[Callable[[Path], None], str]] = [
    (junk, "not a sound SQLite file"),
    (foreign, "some other program's database"),
    (newer, "newer spyhole"),
    (folder, "can't be opened"),
]


@pytest.mark.parametrize(("make", "why"), BAD)
@pytest.mark.parametrize("open_record", [Record.open, Record.open_to_read])
def test_a_file_that_is_no_record_of_ours_is_left_alone(
    tmp_path: Path,
    make: Callable[[Path], None],
    why: str,
    open_record: Callable[[Path], RecordReader],
) -> None:
    path = tmp_path / FILE_NAME
    make(path)
    before = path.read_bytes() if path.is_file() else b""
    with pytest.raises(RecordError, match=why) as caught:
        open_record(tmp_path)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)
    assert (path.read_bytes() if path.is_file() else b"") == before


def test_a_data_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    blocker = tmp_path / "data"
    blocker.write_text("a file")
    for where in (blocker, blocker / "deeper"):
        with pytest.raises(RecordError, match="data"):
            Record.open(where)


def test_reading_makes_nothing(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match=r"no record in .* yet"):
        Record.open_to_read(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_looking_works_beside_the_one_who_writes_and_writes_nothing(tmp_path: Path) -> None:
    with Record.open(tmp_path) as writing:
        firing = writing.start_firing(NEW).result(10.0)
        before = writing.path.read_bytes()
        looking = Record.open_to_read(tmp_path)
        assert looking.firings() == [firing]
        assert not hasattr(looking, "start_firing")
        assert writing.path.read_bytes() == before


def test_a_read_only_file_cannot_be_opened_to_write(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Record.open(tmp_path):
        pass
    as_it_is = schema._connect
    monkeypatch.setattr(schema, "_connect", lambda path, _mode: as_it_is(path, "ro"))
    with pytest.raises(RecordError, match="read-only"):
        Record.open(tmp_path)


def test_the_file_is_safe_against_power_cuts(tmp_path: Path) -> None:
    connection = open_for_writing(tmp_path / FILE_NAME)
    full = 2
    assert connection.execute("PRAGMA synchronous").fetchone() == (full,)
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert connection.execute("PRAGMA foreign_keys").fetchone() == (1,)
    assert connection.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
    connection.close()


def test_a_migration_that_fails_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NEW).result(10.0)
    broken = ("ALTER TABLE note ADD COLUMN mood TEXT", "CREATE TABLE note (id)")
    with monkeypatch.context() as patch:
        patch.setattr("supervisor.record.schema.MIGRATIONS", (*MIGRATIONS, broken))
        patch.setattr("supervisor.record.schema.VERSION", VERSION + 1)
        with pytest.raises(RecordError, match="note already exists"):
            Record.open(tmp_path)
    with Record.open(tmp_path) as record:
        assert record.firings() == [firing]


def old_record(folder: Path, version: int = 1) -> Path:
    """A record that the program of that version wrote, with one firing in it."""
    written = Path(__file__).with_name(f"version-{version}.sql").read_text(encoding="utf-8")
    connection = sqlite3.connect(folder / FILE_NAME)
    connection.executescript(written)
    connection.close()
    return folder


def test_a_record_of_version_1_keeps_all_and_takes_witness_cones(tmp_path: Path) -> None:
    old_record(tmp_path)
    with Record.open(tmp_path) as record:
        firing = record.open_firing("Big Bertha")
        assert firing is not None
        assert firing.id == "2026-11-25-0a1b"
        assert firing.settings == NEW.settings
        labels = [f"2026-11-25T20:00:0{n}+00:00" for n in range(6)]
        assert list(record.readings(firing.id)) == [
            reading(float(n), label) for n, label in enumerate(labels)
        ]
        assert record.events(firing.id) == [event(1)]
        assert [alert.message for alert in record.alerts(firing.id)] == [event(1).message]
        assert [(note.text, note.by) for note in record.notes(firing.id)] == [("Bung in", "Ann")]
        assert [message.payload for message in record.waiting_messages()] == ["{}"]
        assert record.observations(firing.id) == []
        assert record.offsets_at_start(firing.id) == record.offsets("Big Bertha") == {}
        record.append(firing.id, reading(6.0))
        again = record.add_note(firing.id, 9.0, "Bung in", client_id="a1").result(10.0)
        assert record.notes(firing.id) == [again]
        seen = Observation(5.0, "6", "3:30", "top")
        kept = record.add_observation(firing.id, seen).result(10.0)
        record.accept_offset("Big Bertha", "top", Offset(4.0, 3.0, 1, 1)).result(10.0)
    with Record.open_to_read(tmp_path) as looking:
        assert looking.observations("2026-11-25-0a1b") == [kept]
        assert looking.offsets("Big Bertha")["top"].offset == Offset(4.0, 3.0, 1, 1)
        assert looking.offsets_at_start("2026-11-25-0a1b") == {}
        assert len(list(looking.readings("2026-11-25-0a1b"))) == 7


@pytest.mark.parametrize("version", [1, 2])
def test_messages_of_an_older_record_wait_for_the_broker_and_for_nobody_else(
    tmp_path: Path, version: int
) -> None:
    old_record(tmp_path, version)
    with Record.open(tmp_path) as record:
        (waiting,) = record.waiting_messages()
        assert record.messages_to("mqtt").waiting_messages() == [waiting]
        assert record.messages_to("notify-1").waiting_messages() == []
        new = NewMessage("", "{}", destination="notify-1")
        record.add_events("2026-11-25-0a1b", messages=[new]).result(10.0)
        assert record.waiting_messages() == [waiting]
        assert [one.payload for one in record.messages_to("notify-1").waiting_messages()] == ["{}"]


@pytest.mark.parametrize("version", [1, 2])
def test_an_older_record_keeps_an_alert_book_from_now_on(tmp_path: Path, version: int) -> None:
    old_record(tmp_path, version)
    with Record.open(tmp_path) as record:
        (alert,) = record.alerts("2026-11-25-0a1b")
        assert (alert.messages, alert.reminders, alert.untold) == (version, 0, ())
        assert record.alert_book("2026-11-25-0a1b") is None
        book = AlertBook(alert.firing, "Big Bertha", [alert])
        assert [one.id for one in book.alerts] == [alert.id]
        record.add_events(alert.firing, alerts=[alert], book=book.kept).result(10.0)
    with Record.open_to_read(tmp_path) as looking:
        assert looking.alert_book("2026-11-25-0a1b") == book.kept
        assert looking.alerts("2026-11-25-0a1b") == [alert]


def test_a_record_of_version_2_keeps_its_cones_and_offsets(tmp_path: Path) -> None:
    old_record(tmp_path, 2)
    with Record.open(tmp_path) as record:
        (kept,) = record.observations("2026-11-25-0a1b")
        assert kept.seen == Observation(2.0, "6", "3:30", "top")
        assert record.offsets("Big Bertha")["top"].offset == Offset(4.0, 3.0, 1, 1)
        (alert,) = record.alerts("2026-11-25-0a1b")
        assert alert.acknowledged_by == "Ann"


def test_a_record_of_version_3_keeps_its_alert_book_and_waits_for_no_rest(tmp_path: Path) -> None:
    old_record(tmp_path, 3)
    with Record.open(tmp_path) as record:
        firing_id = "2026-11-25-0a1b"
        assert record.alert_book(firing_id) == '{"gathers_until_s": 120.0, "summaries": 2}'
        assert [message.payload[:10] for message in record.waiting_messages()] == ['{"id": "20']
        assert record.blind(firing_id) is None
        record.keep_blind(firing_id, '{"to_s": 1.0}').result(10.0)
        assert record.blind(firing_id) == '{"to_s": 1.0}'
        record.close_firing(firing_id, 5.0).result(10.0)
        assert record.awaiting_rest("Big Bertha") is None


def test_a_record_of_version_4_keeps_who_wrote_what(tmp_path: Path) -> None:
    old_record(tmp_path, 4)
    with Record.open(tmp_path) as record:
        (kept,) = record.deeds(10)
        assert (kept.deed.what, kept.deed.who, kept.deed.firing) == (
            "add_note",
            "Ann",
            "2026-11-25-0a1b",
        )
        assert len(record.firings()) == 2


def test_a_record_of_version_5_keeps_all_and_takes_accounts_and_photos(tmp_path: Path) -> None:
    old_record(tmp_path, 5)
    with Record.open(tmp_path) as record:
        latest, going = record.firings()
        assert (latest.id, going.id) == ("2026-11-20-c1d2", "2026-11-25-0a1b")
        assert record.blind(going.id) == '{"to_s": 1.0}'
        assert len(list(record.readings(latest.id))) == 10
        assert [note.text for note in record.notes(latest.id)] == ["shelf: low"]
        account = Account("load", "40 mugs", "Ann")
        record.tell(latest.id, account).result(10.0)
        record.append(going.id, reading(7.0))
        record.flush().result(10.0)
        assert record.accounts(latest.id) == [account]
        assert record.findings(latest.id) == []
        assert record.photos(latest.id) == []
        assert len(list(record.readings(going.id))) == 4


def test_a_firing_put_away_by_version_6_is_summed_up_anew(tmp_path: Path) -> None:
    old_record(tmp_path, 6)
    with Record.open(tmp_path) as record:
        latest = record.firing("2026-11-20-c1d2")
        assert record.accounts(latest.id) == [Account("load", "40 mugs", "Ann")]
        assert [finding.key for finding in record.findings(latest.id)] == ["crazing"]
        assert record.facts(latest.id) is not None
        assert record.gist(latest.id) is None
        assert record.to_put_away() == [latest]
        before = list(record.readings(latest.id))
        put_away(record, latest)
        assert record.gist(latest.id) is not None
        assert record.to_put_away() == []
        assert list(record.readings(latest.id)) == before


def test_a_firing_put_away_by_version_7_stays_so_and_its_notes_can_be_taken_back(
    tmp_path: Path,
) -> None:
    old_record(tmp_path, 7)
    with Record.open(tmp_path) as record:
        latest = record.firing("2026-11-20-c1d2")
        mark = record.summary_mark(latest.id)
        assert mark == "1 notes, 0 of 0 looks", "as it was summed up: that is not to be done anew"
        (note,) = record.notes(latest.id)
        assert not note.is_withdrawn
        assert record.withdrawn_notes(latest.id) == []
        record.withdraw_note(latest.id, note.id, 9.0, by="Ann").result(10.0)
        assert record.notes(latest.id) == []
        assert [one.withdrawn_by for one in record.withdrawn_notes(latest.id)] == ["Ann"]
        assert record.summary_mark(latest.id) != mark


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5, 6, 7])
def test_a_file_brought_up_has_the_tables_of_a_new_one(tmp_path: Path, version: int) -> None:
    tables = []
    for folder in (old_record(tmp_path, version), tmp_path / "new"):
        with Record.open(folder) as record:
            connection = sqlite3.connect(record.path)
            found = connection.execute(
                "SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
            ).fetchall()
            brought_to = connection.execute("PRAGMA user_version").fetchone()
            connection.close()
            assert brought_to == (VERSION,)
        tables.append(sorted(found))
    assert tables[0] == tables[1]


def test_looking_at_an_older_file_says_what_brings_it_up(tmp_path: Path) -> None:
    old_record(tmp_path)
    before = (tmp_path / FILE_NAME).read_bytes()
    with pytest.raises(RecordError, match=r"older version: start `spyhole watch` once"):
        Record.open_to_read(tmp_path)
    assert (tmp_path / FILE_NAME).read_bytes() == before


def test_an_older_file_is_brought_up_and_keeps_its_firings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NEW).result(10.0)
    monkeypatch.setattr(
        "supervisor.record.schema.MIGRATIONS",
        (*MIGRATIONS, ("ALTER TABLE note ADD COLUMN mood TEXT",)),
    )
    monkeypatch.setattr("supervisor.record.schema.VERSION", VERSION + 1)
    with pytest.raises(RecordError, match="older version"):
        Record.open_to_read(tmp_path)
    with Record.open(tmp_path) as record:
        assert record.firings() == [firing]
    assert Record.open_to_read(tmp_path).firings() == [firing]
