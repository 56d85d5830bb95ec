"""Accounts, findings and photos are only ever added, and the latest word counts."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, RecordError
from supervisor.record.photos import PhotoFiles
from supervisor.record.store import Record
from supervisor.record.unloading import LONGEST_ACCOUNT, MOST_PHOTOS, Account, Finding, NewPhoto
from tests.record.firings import NEW


@pytest.fixture
def firing_id(record: Record) -> str:
    return record.start_firing(NEW).result(10.0).id


def photo(number: int = 1) -> NewPhoto:
    return NewPhoto(f"{number:064x}", "jpeg", 1000, 40, 30, "shelf", "Ann", "2026-11-25T20:00:00Z")


def test_the_latest_account_of_a_topic_counts_and_the_others_stay_on_disk(
    record: Record, firing_id: str
) -> None:
    first = Account("load", "40 mugs", "Ann", "2026-11-25T20:00:00Z")
    second = Account("load", "41 mugs", "Ben")
    glazes = Account("glazes", "Tenmoku")
    for one in (first, glazes, second):
        record.tell(firing_id, one).result(10.0)
    assert record.accounts(firing_id) == [glazes, second]
    record.tell(firing_id, Account("load", "")).result(10.0)
    assert record.accounts(firing_id) == [glazes]
    connection = sqlite3.connect(record.path)
    texts = [text for (text,) in connection.execute("SELECT text FROM account ORDER BY id")]
    connection.close()
    assert texts == ["40 mugs", "Tenmoku", "41 mugs", ""]


def test_an_account_that_is_sent_again_is_written_once(record: Record, firing_id: str) -> None:
    first = record.tell(firing_id, Account("load", "40 mugs"), "a1").result(10.0)
    record.tell(firing_id, Account("load", "41 mugs"), "a2").result(10.0)
    assert record.tell(firing_id, Account("load", "40 mugs"), "a1").result(10.0) == first
    assert record.accounts(firing_id) == [Account("load", "41 mugs")]


def test_findings_by_key_and_place(record: Record, firing_id: str) -> None:
    top, low = Finding("crawling", 1, "top"), Finding("crawling", 3, "bottom", "rims", "Ann")
    stands = record.find_at_unloading(firing_id, [top, low, Finding("dunting", 0)]).result(10.0)
    assert stands == [low, top]
    worse = Finding("crawling", 2, "top")
    assert record.find_at_unloading(firing_id, [worse, low]).result(10.0) == [low, worse]
    gone = record.find_at_unloading(firing_id, [Finding("crawling", 0, "bottom")]).result(10.0)
    assert gone == record.findings(firing_id) == [worse]


def test_findings_are_kept_all_or_none(record: Record, firing_id: str) -> None:
    with pytest.raises(InputError, match="level of “b” is 11"):
        record.find_at_unloading(firing_id, [Finding("a", 1), Finding("b", 11)])
    assert record.findings(firing_id) == []


@pytest.mark.parametrize(
    "wrong",
    [
        Account("", "x"),
        Account("Load", "x"),
        Account("a b", "x"),
        Account("load", "x" * (LONGEST_ACCOUNT + 1)),
    ],
)
def test_an_account_that_does_not_fit_is_refused(
    record: Record, firing_id: str, wrong: Account
) -> None:
    with pytest.raises(InputError):
        record.tell(firing_id, wrong)


@pytest.mark.parametrize(
    "wrong", [Finding("", 1), Finding("É", 1), Finding("a", -1), Finding("a", 1, "x" * 201)]
)
def test_a_finding_that_does_not_fit_is_refused(
    record: Record, firing_id: str, wrong: Finding
) -> None:
    with pytest.raises(InputError):
        record.find_at_unloading(firing_id, [wrong])


def test_a_photo_is_kept_once_and_taken_back(record: Record, firing_id: str) -> None:
    kept = record.add_photo(firing_id, photo(), "p1").result(10.0)
    assert record.add_photo(firing_id, photo()).result(10.0) == kept
    assert record.add_photo(firing_id, photo(2), "p1").result(10.0) == kept
    assert record.photos(firing_id) == [kept]
    assert record.withdraw_photo(firing_id, kept.id).result(10.0) == photo().sha256
    assert record.photos(firing_id) == []
    with pytest.raises(InputError, match="no photo 99"):
        record.withdraw_photo(firing_id, 99).result(10.0)


def test_a_file_that_another_firing_needs_stays(record: Record, firing_id: str) -> None:
    record.close_firing(firing_id, 0.0).result(10.0)
    other = record.start_firing(NEW).result(10.0).id
    kept = record.add_photo(firing_id, photo()).result(10.0)
    record.add_photo(other, photo()).result(10.0)
    assert record.withdraw_photo(firing_id, kept.id).result(10.0) is None


def test_there_is_an_end_to_photos(record: Record, firing_id: str) -> None:
    for number in range(MOST_PHOTOS):
        record.add_photo(firing_id, photo(number))
    with pytest.raises(InputError, match="at most 200"):
        record.add_photo(firing_id, photo(MOST_PHOTOS)).result(30.0)


def test_what_was_told_of_a_firing_that_waited_goes_along(record: Record) -> None:
    waiting = record.start_firing(NEW).result(10.0)
    record.tell(waiting.id, Account("load", "40 mugs")).result(10.0)
    begun = record.start_firing(NEW, waited=waiting.id).result(10.0)
    assert record.accounts(begun.id) == [Account("load", "40 mugs")]
    assert [one.id for one in record.firings()] == [begun.id]


def test_a_photos_file_is_named_by_its_bytes_and_never_changes(tmp_path: Path) -> None:
    files = PhotoFiles(tmp_path)
    sha256 = files.keep(b"picture", "png")
    assert sha256 == hashlib.sha256(b"picture").hexdigest()
    kept = NewPhoto(sha256, "png", 7, 1, 1)
    assert files.read(kept) == b"picture"
    assert files.keep(b"picture", "png") == sha256
    assert [path.name for path in files.names()] == [f"{sha256}.png"]
    files.path_of(kept).write_bytes(b"pictura")
    with pytest.raises(RecordError, match="spoilt"):
        files.read(kept)
    files.forget(sha256)
    assert list(files.names()) == []
    with pytest.raises(RecordError, match="can't be read"):
        files.read(kept)


def test_a_disk_that_refuses_a_photo_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "photos").write_text("in the way")
    with pytest.raises(RecordError, match="can't be kept"):
        PhotoFiles(tmp_path).keep(b"picture", "png")
    assert [path.name for path in tmp_path.iterdir()] == ["photos"]
