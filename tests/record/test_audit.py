"""The trail of who wrote what: in order, never changed, of a bounded length."""

from __future__ import annotations

from pathlib import Path

import pytest

from supervisor.record import audit
from supervisor.record.audit import NewDeed
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.record.test_schema import old_record

SIGN_IN = NewDeed("2026-11-25T20:00:00+01:00", "sign_in", "Ann", "192.168.1.20")
NOTE = NewDeed(
    "2026-11-25T20:01:00+01:00", "add_note", None, "::1", {"x": "Süd\x00\n"}, "2026-11-25-0a1b"
)


def test_deeds_come_back_as_they_were_newest_first(tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        record.add_deed(SIGN_IN).result(10.0)
        record.add_deed(NOTE).result(10.0)
    with Record.open_to_read(tmp_path) as looking:
        assert [(kept.number, kept.deed) for kept in looking.deeds(10)] == [(2, NOTE), (1, SIGN_IN)]
        assert [kept.deed for kept in looking.deeds(1)] == [NOTE]


def test_wrong_pins_without_end_fill_no_card_and_no_number_comes_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit, "MOST_KEPT", 5)
    with Record.open(tmp_path) as record:
        for _ in range(12):
            record.add_deed(SIGN_IN)
        record.flush().result(10.0)
        assert [kept.number for kept in record.deeds(100)] == [12, 11, 10, 9, 8]


@pytest.mark.parametrize("version", [1, 2])
def test_an_older_record_takes_deeds(tmp_path: Path, version: int) -> None:
    old_record(tmp_path, version)
    with Record.open(tmp_path) as record:
        assert record.deeds(10) == []
        record.add_deed(SIGN_IN).result(10.0)
        assert [kept.deed for kept in record.deeds(10)] == [SIGN_IN]
    assert (tmp_path / FILE_NAME).is_file()
