"""Files that people name on the command line: read whole or refused in one sentence."""

from __future__ import annotations

import os
from pathlib import Path

from supervisor.core.errors import InputError
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


def is_there(path: Path) -> bool:
    """True if there is a file or a folder of that name.

    Raises InputError where that can't be told: an impossible name, a folder closed to this user.
    """
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no file can have it"
        raise InputError(f"this name can't be used ({why})", where=repr(str(path)[:200])) from None
    return True


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


def data_folder(option: str | None) -> Path:
    """Where the record lies: ``--data``, else SPYHOLE_DATA, else the user's own data folder.

    Raises InputError for a name that no folder can have.
    """
    named = option or os.environ.get("SPYHOLE_DATA")
    if named:
        if "\0" in named:
            raise InputError("this is not the name of a folder", where=repr(named[:200]))
        return Path(named).expanduser()
    base = os.environ.get("XDG_DATA_HOME")
    return (Path(base) if base else Path.home() / ".local" / "share") / "spyhole"
