"""One daemon for one record: two would write two firings' readings into one another."""

from __future__ import annotations

import errno
import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from supervisor.core.errors import PeerError, RecordError

LOCK_NAME = "watching.lock"


_NO_FOLDER = (errno.ENOTDIR, errno.EEXIST, errno.EISDIR, errno.ENAMETOOLONG)
"""What a folder's name is wrong for; everything else may be the disk, and may pass."""


@contextmanager
def alone_in(data_dir: Path) -> Iterator[None]:
    """Hold the data folder for this process; the kernel lets go of it however the process ends.

    Makes the folder if need be; on a disk that can't be written what is there is held. Raises
    PeerError while another process holds it, RecordError when there can be no such folder.
    """
    try:
        held = _open(data_dir)
    except OSError as error:
        if error.errno in _NO_FOLDER:
            is_in_the_way = isinstance(error, FileExistsError | NotADirectoryError)
            why = "there is a file of that name" if is_in_the_way else error.strerror
            raise RecordError(f"{data_dir}: the record can't lie here ({why})") from None
        # There is nothing that two could write into one another.
        yield
        return
    try:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise PeerError(
                f"another spyhole is already watching with the record in {data_dir}: stop that "
                f"one, or give this one a folder of its own with --data"
            ) from None
        yield
    finally:
        os.close(held)


def _open(data_dir: Path) -> int:
    """Something of the folder that can be held: the lock's file, else the folder itself."""
    file = data_dir / LOCK_NAME
    try:
        data_dir.mkdir(parents=True, exist_ok=True)
        return os.open(file, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666)
    except OSError as error:
        if error.errno in _NO_FOLDER:
            raise
    try:
        return os.open(file, os.O_RDONLY | os.O_CLOEXEC)
    except OSError:
        return os.open(data_dir, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
