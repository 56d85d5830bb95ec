"""A file for other people, written whole or not at all. Knows nothing of what is in it."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from supervisor.core.errors import InputError, PeerError, SpyholeError


@contextmanager
def whole_file(path: Path) -> Iterator[TextIO]:
    """A text file that appears under its name only when it is complete and on the disk.

    Raises InputError for a name that can't be a file, PeerError when the disk refuses.
    """
    try:
        if path.is_dir():
            raise InputError("this is a folder; give the name of a file", where=str(path))
        handle, draft = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except InputError:
        raise
    except FileNotFoundError:
        raise InputError("there is no such folder to write in", where=str(path.parent)) from None
    except ValueError:
        raise InputError("this is not the name of a file", where=repr(str(path))) from None
    except OSError as error:
        raise PeerError(f"{path}: the file can't be written ({error.strerror})") from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        Path(draft).chmod(0o644)
        Path(draft).replace(path)
    except OSError as error:
        Path(draft).unlink(missing_ok=True)
        if isinstance(error, SpyholeError):
            raise
        raise PeerError(f"{path}: the file can't be written ({error.strerror})") from None
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
