"""Files that people name on the command line: read whole or refused in one sentence."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from supervisor.core.errors import InputError, PeerError
from supervisor.core.schedule import Schedule, parse_schedule, starter_names, starter_text

LARGEST_TEXT = 1_000_000


def read_text(path: Path, what: str) -> str:
    """The text of a small file; raises InputError where it can't be one."""
    try:
        if path.is_dir():
            raise InputError(f"this is a folder, not {what}", where=str(path))
        if path.stat().st_size > LARGEST_TEXT:
            raise InputError(f"this file is too large to be {what} (1 MB at most)", where=str(path))
        data = path.read_bytes()
    except InputError:
        raise
    except FileNotFoundError:
        raise InputError(f"there is no such file; give {what}", where=str(path)) from None
    except OSError as error:
        raise InputError(f"this file can't be read ({error.strerror})", where=str(path)) from None
    except ValueError:
        raise InputError("this is not the name of a file", where=repr(str(path))) from None
    if b"\0" in data:
        raise InputError(f"this is a binary file, not {what}", where=str(path))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError("this is not UTF-8 text", where=f"{path}, line {line}") from None


def schedule_text(name: str) -> tuple[str, str]:
    """The TOML text of a schedule file or, where no such file exists, of a starter; and its name.

    Raises InputError when it is neither.
    """
    path = Path(name)
    if name in starter_names() and not path.exists():
        return starter_text(name), f"{name}.toml"
    try:
        exists = path.exists()
    except (OSError, ValueError):
        exists = False
    if not exists:
        raise InputError(
            f"there is no such file, and no starter schedule of that name; the starters are "
            f"{', '.join(starter_names())}",
            where=name if len(name) < 200 else name[:200] + "...",
        )
    return read_text(path, "a schedule in TOML"), str(path)


def load_schedule(name: str) -> Schedule:
    """The schedule in a file or of a starter; raises InputError in one sentence."""
    return parse_schedule(*schedule_text(name))


@contextmanager
def whole_file(path: Path) -> Iterator[TextIO]:
    """A text file that appears under its name only when it is complete and on the disk.

    Raises InputError for a name that can't be a file, PeerError when the disk refuses.
    """
    if path.is_dir():
        raise InputError("this is a folder; give the name of a file", where=str(path))
    try:
        handle, draft = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except FileNotFoundError:
        raise InputError("there is no such folder to write in", where=str(path.parent)) from None
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
        if isinstance(error, InputError | PeerError):
            raise
        raise PeerError(f"{path}: the file can't be written ({error.strerror})") from None
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise


def data_folder(option: str | None) -> Path:
    """Where the record lies: ``--data``, else SPYHOLE_DATA, else the user's own data folder."""
    named = option or os.environ.get("SPYHOLE_DATA")
    if named:
        return Path(named).expanduser()
    base = os.environ.get("XDG_DATA_HOME")
    return (Path(base) if base else Path.home() / ".local" / "share") / "spyhole"
