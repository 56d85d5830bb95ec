"""Some lives of a writer whose record is torn at its end, and that the tearing tears."""

from __future__ import annotations

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from tests.campaign import torn
from tests.campaign.outcome import Outcome
from tests.campaign.wal import WAYS, commits, tear
from tests.record.firings import NEW

pytestmark = pytest.mark.timeout(180)


def test_nothing_promised_is_lost_by_kills_and_torn_writes(tmp_path: Path) -> None:
    said: list[str] = []
    outcome = torn.run(said.append, tmp_path / "work", runs=6, lanes=1)
    assert outcome.broken == []
    assert outcome.lost == 0
    assert "promises" in outcome.figures[0]


@pytest.fixture
def crashed(tmp_path: Path) -> Path:
    """A record as a crash leaves it, with three notes in its log."""
    with Record.open(tmp_path / "data") as record:
        firing = record.start_firing(NEW).result(10.0)
        for number in range(3):
            record.add_note(firing.id, 0.0, f"note {number}").result(10.0)
        shutil.copytree(tmp_path / "data", tmp_path / "crashed")
    return tmp_path / "crashed"


def notes(folder: Path) -> int:
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        (count,) = connection.execute("SELECT count(*) FROM note").fetchone()
        return int(count)


def test_a_log_cut_at_the_end_of_a_transaction_has_what_came_before(crashed: Path) -> None:
    wal = crashed / f"{FILE_NAME}-wal"
    whole = wal.read_bytes()
    ends = commits(whole)
    assert len(ends) > 4
    counts = []
    for place, end in enumerate(ends[-4:]):
        copy = crashed.with_name(f"copy-{place}")
        shutil.copytree(crashed, copy, ignore=shutil.ignore_patterns("*-shm"))
        (copy / f"{FILE_NAME}-wal").write_bytes(whole[:end])
        counts.append(notes(copy))
    assert counts == [0, 1, 2, 3]


@pytest.mark.parametrize("way", WAYS)
def test_what_is_torn_before_a_promise_is_found_lost(crashed: Path, way: str) -> None:
    wal = crashed / f"{FILE_NAME}-wal"
    ends = commits(wal.read_bytes())
    (crashed / f"{FILE_NAME}-shm").unlink()
    tear(wal, ends[-3], way, random.Random(1))
    kept = notes(crashed)
    assert kept == 3 if way == "garbage behind it" else 1 <= kept < 3


def test_the_judge_counts_a_promise_that_is_not_kept(crashed: Path) -> None:
    outcome = Outcome("torn")
    torn._judge(outcome, crashed, crashed.with_name("copy"), ["note 0", "note 9"], "now")
    assert outcome.lost == 1
    assert outcome.broken == ["1 promises (now) lost, such as note 9"]
