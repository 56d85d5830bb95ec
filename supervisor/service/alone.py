"""One daemon for one record: two would write two firings' readings into one another."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from supervisor.core.errors import PeerError, RecordError

LOCK_NAME = "watching.lock"


@contextmanager
def alone_in(data_dir: Path) -> Iterator[None]:
    """Hold the data folder for this process; the kernel lets go of it however the process ends.

    Makes the folder if need be. Raises PeerError while another process holds it, RecordError
    when the folder can't be used.
    """
    try:
        data_dir.mkdir(parents=True, exist_ok=True)
        lock = (data_dir / LOCK_NAME).open("w")
    except OSError as error:
        is_in_the_way = isinstance(error, FileExistsError | NotADirectoryError)
        why = "there is a file of that name" if is_in_the_way else error.strerror
        raise RecordError(f"{data_dir}: the record can't lie here ({why})") from None
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise PeerError(
                f"another spyhole is already watching with the record in {data_dir}: stop that "
                f"one, or give this one a folder of its own with --data"
            ) from None
        except OSError as error:
            raise RecordError(f"{data_dir}: the record can't be held ({error.strerror})") from None
        yield
