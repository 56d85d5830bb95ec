"""Restores a backup and is killed, again and again, each time one step later.

``python -m tests.record.restoring BACKUP MADE WORK`` takes a copy of the folder MADE for each try,
as ``WORK/0``, ``WORK/1`` and so on, and kills itself in the try of that number before its step of
that number: a file opened, made, linked, renamed or removed, a database opened. It prints the
number of the first try that came to its end.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
from pathlib import Path

from supervisor.record.restore import restore

STEPS = frozenset({"open", "os.link", "os.mkdir", "os.remove", "os.rename", "sqlite3.connect"})


def restore_and_die(backup: Path, folder: Path, steps: int) -> None:
    """Restore, but no further than so many steps that change or open something."""
    left = steps

    def count(name: str, _: object) -> None:
        nonlocal left
        if name in STEPS:
            if left == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            left -= 1

    sys.addaudithook(count)
    restore(backup, folder, "20261126-120000")
    os._exit(0)


def main(backup: Path, made: Path, work: Path) -> None:
    """One child after the other, until one is done."""
    number = 0
    while True:
        folder = work / str(number)
        shutil.copytree(made, folder)
        child = os.fork()
        if child == 0:
            try:
                restore_and_die(backup, folder, number)
            finally:
                os._exit(1)
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            assert os.waitstatus_to_exitcode(status) == 0
            print(number)
            return
        number += 1


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
