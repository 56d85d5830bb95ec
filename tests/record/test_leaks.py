"""Opening and closing leaves no file and no thread behind."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

import pytest

from supervisor.record.store import Record
from tests.record.firings import NEW, reading


@pytest.mark.skipif(sys.platform != "linux", reason="open files are counted in /proc")
def test_fifty_records_leave_no_file_and_no_thread_open(tmp_path: Path) -> None:
    def use(number: int) -> None:
        with Record.open(tmp_path) as record:
            firing = record.start_firing(NEW).result(10.0)
            record.append(firing.id, reading(1.0))
            record.close_firing(firing.id, 1.0).result(10.0)
            assert len(record.firings()) == number
            half_read = record.readings(firing.id)
            assert next(half_read) == reading(1.0)
            del half_read

    open_files = Path("/proc/self/fd")
    use(1)
    files, threads = len(list(open_files.iterdir())), threading.active_count()
    for number in range(2, 51):
        use(number)
    assert len(list(open_files.iterdir())) == files
    assert threading.active_count() == threads
