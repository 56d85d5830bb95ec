"""A disk that refuses is reported, nothing accepted is lost, and warnings still get out."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import RecordError
from supervisor.record import writer
from supervisor.record.rows import Mode, NewMessage
from supervisor.record.store import Record
from supervisor.record.writer import Trouble
from tests.record.firings import NEW, event, reading


class Bench:
    """A record whose clock and disk are in the test's hand."""

    def __init__(self, folder: Path) -> None:
        self.now_s = 0.0
        self.reports: list[Trouble | None] = []
        self.reported = threading.Condition()
        self.record = Record.open(folder, clock=lambda: self.now_s, on_trouble=self._note)
        self.firing = self.record.start_firing(NEW).result(10.0).id

    def _note(self, trouble: Trouble | None) -> None:
        with self.reported:
            self.reports.append(trouble)
            self.reported.notify_all()

    def pragma(self, text: str) -> None:
        """Change the connection that writes, from outside its thread."""
        assert self.record._writer is not None
        self.record._writer._connection.execute(f"PRAGMA {text}").fetchall()

    def refuse(self) -> None:
        """From now on the disk is read-only."""
        self.pragma("query_only = 1")

    def mend(self) -> None:
        """From now on the disk takes what it is given."""
        self.pragma("query_only = 0")

    def wait_for_report(self, number: int) -> Trouble | None:
        """The ``number``-th report, from 1."""
        with self.reported:
            assert self.reported.wait_for(lambda: len(self.reports) >= number, 10.0)
            return self.reports[number - 1]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """A bench whose record is closed after the test."""
    made = Bench(tmp_path)
    yield made
    made.mend()
    made.now_s += 1000.0
    made.record.close()


def test_a_read_only_disk_is_reported_and_everything_is_kept(bench: Bench) -> None:
    bench.refuse()
    sent = [reading(float(n)) for n in range(10)]
    for one in sent:
        bench.record.append(bench.firing, one)
    pending = bench.record.add_events(bench.firing, [event(1)])
    first = bench.wait_for_report(1)
    assert first is not None
    assert "read-only" in first.message
    assert str(bench.record.path) in first.message
    assert (first.waiting_readings, first.waiting_tasks, first.lost_readings) == (10, 1, 0)
    now = bench.record.trouble
    assert now == first
    with pytest.raises(TimeoutError):
        pending.result(0.0)

    bench.mend()
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(10.0))
    pending.result(10.0)
    bench.record.flush().result(10.0)
    assert bench.wait_for_report(2) is None
    assert bench.record.trouble is None
    assert list(bench.record.readings(bench.firing)) == [*sent, reading(10.0)]
    assert bench.record.events(bench.firing) == [event(1)]


def test_a_disk_that_refuses_is_asked_again_less_and_less_often(bench: Bench) -> None:
    bench.refuse()
    bench.record.add_note(bench.firing, 1.0, "Wet hands")
    bench.wait_for_report(1)
    bench.now_s = 1.0
    bench.record.append(bench.firing, reading(1.0))
    bench.wait_for_report(2)
    bench.now_s = 2.9
    bench.record.append(bench.firing, reading(2.0))
    assert bench.record._writer is not None
    assert bench.record._writer._retry_at_s == 3.0
    assert len(bench.reports) == 2


def test_a_full_disk_is_told_from_a_read_only_one(bench: Bench) -> None:
    bench.pragma("max_page_count = 1")
    note = bench.record.add_note(bench.firing, 1.0, "x" * 9_000)
    trouble = bench.wait_for_report(1)
    assert trouble is not None
    assert "disk is full" in trouble.message
    bench.pragma("max_page_count = 1000000")
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(1.0))
    assert note.result(10.0).text == "x" * 9_000


def test_a_warning_gets_out_though_the_disk_refuses(bench: Bench) -> None:
    bench.refuse()
    kept = bench.record.add_events(
        bench.firing, [event(1)], messages=[NewMessage("t", "one"), NewMessage("t", "two")]
    )
    bench.wait_for_report(1)
    one, two = bench.record.waiting_messages()
    assert (one.payload, two.payload) == ("one", "two")
    marked = bench.record.mark_sent(one.id)
    assert [message.payload for message in bench.record.waiting_messages()] == ["two"]

    bench.mend()
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(1.0))
    kept.result(10.0)
    marked.result(10.0)
    (left,) = bench.record.waiting_messages()
    assert left.payload == "two"
    assert left.id > 0
    bench.record.mark_sent(left.id).result(10.0)
    assert bench.record.waiting_messages() == []


def test_a_log_is_not_taken_in_by_halves_when_the_disk_fills_up(bench: Bench) -> None:
    bench.pragma("max_page_count = 100")
    new = replace(NEW, mode=Mode.IMPORT)
    answer = bench.record.import_readings(new, (reading(float(n)) for n in range(20_000)))
    assert bench.wait_for_report(1) is not None
    bench.pragma("max_page_count = 1000000")
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(1.0))
    with pytest.raises(RecordError, match="the log was not taken in: the disk refused"):
        answer.result(10.0)
    assert [firing.id for firing in bench.record.firings()] == [bench.firing]
    bench.record.flush().result(10.0)
    assert list(bench.record.readings(bench.firing)) == [reading(1.0)]


def test_a_message_that_was_not_accepted_is_not_handed_out(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writer, "MAX_KEPT_TASKS", 1)
    bench.refuse()
    bench.record.add_events(bench.firing, messages=[NewMessage("t", "accepted")])
    bench.wait_for_report(1)
    with pytest.raises(RecordError, match="wait for the disk"):
        bench.record.add_events(bench.firing, messages=[NewMessage("t", "refused")])
    assert [message.payload for message in bench.record.waiting_messages()] == ["accepted"]


def test_a_message_that_could_not_be_kept_takes_no_other_with_it(bench: Bench) -> None:
    bench.refuse()
    unfit = NewMessage("t", "no such quality of service", qos=9)
    failing = bench.record.add_events(bench.firing, messages=[NewMessage("t", "one"), unfit])
    bench.wait_for_report(1)
    one, _ = bench.record.waiting_messages()
    following = bench.record.add_events(bench.firing, messages=[NewMessage("t", "following")])
    marked = bench.record.mark_sent(one.id)
    bench.mend()
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(1.0))
    with pytest.raises(sqlite3.IntegrityError):
        failing.result(10.0)
    following.result(10.0)
    marked.result(10.0)
    bench.record.flush().result(10.0)
    assert [message.payload for message in bench.record.waiting_messages()] == ["following"]

    bench.refuse()
    bench.record.flush()
    bench.wait_for_report(3)
    assert [message.payload for message in bench.record.waiting_messages()] == ["following"]


def test_a_writer_that_gives_up_tells_whoever_asked(tmp_path: Path) -> None:
    record = Record.open(tmp_path)
    firing = record.start_firing(NEW).result(10.0)
    record._writer._connection.execute("PRAGMA query_only = 1")
    failures: list[BaseException] = []
    record.add_events(firing.id, [event(1)]).when_failed(failures.append)
    with pytest.raises(RecordError, match="read-only"):
        record.close(timeout_s=0.2)
    (failure,) = failures
    assert isinstance(failure, RecordError)
    assert "read-only" in str(failure)


def test_a_message_waits_for_the_disk_while_the_disk_works(tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        firing = record.start_firing(NEW).result(10.0)
        record.add_events(firing.id, messages=[NewMessage("t", "one")]).result(10.0)
        (waiting,) = record.waiting_messages()
        assert waiting.id > 0


def test_memory_is_bounded_and_what_is_lost_is_counted(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writer, "MAX_KEPT_READINGS", 5)
    monkeypatch.setattr(writer, "MAX_KEPT_TASKS", 2)
    bench.refuse()
    first = bench.record.flush()
    bench.wait_for_report(1)
    for n in range(8):
        bench.record.append(bench.firing, reading(float(n)))
    trouble = bench.record.trouble
    assert trouble is not None
    assert (trouble.waiting_readings, trouble.lost_readings) == (5, 3)
    second = bench.record.flush()
    with pytest.raises(RecordError, match="wait for the disk"):
        bench.record.flush()
    bench.mend()
    bench.now_s += 60.0
    bench.record.append(bench.firing, reading(8.0))
    first.result(10.0)
    second.result(10.0)
    bench.record.flush().result(10.0)
    assert [one.elapsed_s for one in bench.record.readings(bench.firing)] == [4, 5, 6, 7, 8]


def test_closing_on_a_disk_that_refuses_says_what_is_lost(tmp_path: Path) -> None:
    record = Record.open(tmp_path)
    firing = record.start_firing(NEW).result(10.0)
    assert record._writer is not None
    record._writer._connection.execute("PRAGMA query_only = 1")
    record.append(firing.id, reading(1.0))
    note = record.add_note(firing.id, 1.0, "Lost")
    with pytest.raises(RecordError, match=r"read-only.*; 1 readings could not be kept"):
        record.close(timeout_s=0.2)
    with pytest.raises(RecordError, match="read-only"):
        note.result(10.0)
    record.close()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_writer_that_dies_leaves_nobody_waiting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = Record.open(tmp_path)
    firing = record.start_firing(NEW).result(10.0)

    def broken(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr("supervisor.record.readings.ReadingAppender.add", broken)
    record.append(firing.id, reading(1.0))
    note = record.add_note(firing.id, 1.0, "Lost")
    with pytest.raises(RecordError, match="writer of the record"):
        note.result(10.0)
    with pytest.raises(RecordError, match="is closed"):
        record.append(firing.id, reading(2.0))
    with pytest.raises(RecordError, match="writer of the record"):
        record.close()


FILLS_A_SMALL_DISK = """
import sys
import threading
from pathlib import Path
from supervisor.record.store import Record
from tests.record.firings import NEW, reading
reports = []
record = Record.open(Path(sys.argv[1]), on_trouble=reports.append)
firing = record.start_firing(NEW).result(10.0)
ballast = Path(sys.argv[1]) / "ballast"
ballast.write_bytes(b"x" * (1 << 20))
number = 0
while record.trouble is None:
    for _ in range(200):
        record.append(firing.id, reading(float(number)))
        number += 1
    pending = record.flush()
    over = threading.Event()
    pending.when_done(over.set)
    while not over.wait(0.01) and record.trouble is None:
        pass
assert "disk is full" in reports[0].message, reports[0]
ballast.unlink()
pending.result(30.0)
record.close()
print(firing.id, number)
"""


def test_a_really_full_disk_loses_nothing(tmp_path: Path) -> None:
    mount = shutil.which("mount")
    if mount is None or os.geteuid() != 0:
        pytest.skip("a small disk to fill can be mounted only by root")
    options = ["-t", "tmpfs", "-o", "size=2m", "tmpfs", str(tmp_path)]
    if subprocess.run([mount, *options], check=False, capture_output=True).returncode != 0:
        pytest.skip("a small disk to fill can't be mounted on this machine")
    try:
        done = subprocess.run(
            [sys.executable, "-c", FILLS_A_SMALL_DISK, str(tmp_path)],
            check=False,
            capture_output=True,
            text=True,
            timeout=120,
        )
        assert done.returncode == 0, done.stderr
        firing, number = done.stdout.split()
        elapsed = [one.elapsed_s for one in Record.open_to_read(tmp_path).readings(firing)]
        assert elapsed == [float(n) for n in range(int(number))]
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)


def test_a_disk_that_does_not_answer_is_told_and_warnings_get_out(bench: Bench) -> None:
    let_go, begun = threading.Event(), threading.Event()

    def hangs(_connection: sqlite3.Connection) -> None:
        begun.set()
        assert let_go.wait(20.0)

    record = bench.record
    record._submit(hangs)
    assert begun.wait(10.0)
    pending = record.add_events(
        bench.firing, [event(1)], messages=[NewMessage("spyhole/k/alerts", "the stall")]
    )
    record.append(bench.firing, reading(1.0))
    assert record.is_written(0.0)
    assert not bench.reports
    bench.now_s += writer.SILENT_AFTER_S
    for at_s in (2.0, 3.0):
        record.append(bench.firing, reading(at_s))
    (trouble,) = bench.reports
    assert trouble is not None
    assert trouble.is_silent
    assert "has not answered for 15 seconds" in trouble.message
    (message,) = record.waiting_messages()
    assert message.payload == "the stall"
    record.mark_sent(message.id)
    assert record.waiting_messages() == []
    bench.now_s += writer.SILENT_AFTER_S
    record.append(bench.firing, reading(4.0))
    again = bench.reports[-1]
    assert again is not None
    assert "30 seconds" in again.message
    let_go.set()
    pending.result(10.0)
    record.flush().result(10.0)
    assert record.trouble is None
    assert bench.reports[2:] == [None]
    assert record.waiting_messages() == []
    assert [one.elapsed_s for one in record.readings(bench.firing)] == [1.0, 2.0, 3.0, 4.0]
    assert len(record.events(bench.firing)) == 1


def test_a_disk_that_does_not_answer_does_not_hold_up_the_end(tmp_path: Path) -> None:
    let_go = threading.Event()
    record = Record.open(tmp_path)
    firing = record.start_firing(NEW).result(10.0)
    record._submit(lambda _connection: let_go.wait(20.0))
    record.append(firing.id, reading(1.0))
    with pytest.raises(RecordError, match=r"does not answer; 1 readings could not be kept"):
        record.close(timeout_s=0.1)
    let_go.set()
    record._writer._thread.join(10.0)
    assert [one.elapsed_s for one in Record.open_to_read(tmp_path).readings(firing.id)] == [1.0]


def test_a_writer_that_tries_again_is_at_work_and_one_that_is_stuck_is_not(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    begun, let_go = threading.Event(), threading.Event()

    def stuck(_connection: sqlite3.Connection) -> None:
        begun.set()
        assert let_go.wait(20.0)

    assert bench.record.is_written(60.0)
    bench.refuse()
    bench.record.add_note(bench.firing, 1.0, "a note")
    bench.wait_for_report(1)
    assert bench.record.is_written(60.0)
    bench.mend()
    bench.now_s = 1_000.0
    pending = bench.record._submit(stuck)
    assert begun.wait(20.0)
    bench.now_s += 59.0
    assert bench.record.is_written(60.0)
    bench.now_s += 2.0
    assert not bench.record.is_written(60.0)
    let_go.set()
    pending.result(10.0)
    bench.record.close()
    assert not bench.record.is_written(60.0), "its thread has ended"
