"""A file for other people, written whole or not at all. Knows nothing of what is in it."""

from __future__ import annotations

import errno
import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TextIO

from supervisor.core.errors import InputError, PeerError, SpyholeError

_NO_NAME = frozenset({errno.ENAMETOOLONG, errno.ELOOP})
_OUTPUTS = (1, 2)
"""Descriptors of standard output and standard error (POSIX)."""


@contextmanager
def whole_file(
    path: Path, *, is_private: bool = False, may_replace: bool = True
) -> Iterator[TextIO]:
    """A text file that appears under its name only when it is complete and on the disk.

    A file that is replaced keeps its permissions; a new one has those that the umask leaves. One
    that ``is_private`` is its owner's alone from its first byte on, whatever it was before. A
    link stays a link: the file that it points at is replaced. Unless it ``may_replace`` another,
    FileExistsError is raised where there is one by then. Raises InputError for a name that
    can't be a file or belongs to something else (a folder, a device, a pipe, this program's own
    output), PeerError when the disk refuses.
    """
    try:
        mode = _mode_of_old(path)
        if is_private:
            mode = 0o600
        place = Path(os.path.realpath(path))
        draft = place.with_name(f".spyhole-{secrets.token_hex(8)}.part")
        new = 0o600 if is_private else 0o666
        handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, new)
    except InputError:
        raise
    except (FileNotFoundError, NotADirectoryError):
        raise InputError("there is no such folder to write in", where=str(path.parent)) from None
    except ValueError:
        raise InputError("this is not the name of a file", where=repr(str(path))) from None
    except OSError as error:
        if error.errno in _NO_NAME:
            raise InputError("this is not the name of a file", where=str(path)[:200]) from None
        raise PeerError(f"{path}: the file can't be written ({error.strerror})") from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            if mode is not None:
                # A memory stick's file system may know no permissions to keep.
                with suppress(PermissionError):
                    os.fchmod(file.fileno(), mode)
            yield file
            file.flush()
            os.fsync(file.fileno())
        if may_replace:
            draft.replace(place)
        else:
            _become_new(draft, place)
    except OSError as error:
        draft.unlink(missing_ok=True)
        if isinstance(error, SpyholeError | FileExistsError):
            raise
        raise PeerError(f"{path}: the file can't be written ({error.strerror})") from None
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def settle(path: Path) -> None:
    """Have what is known under ``path`` on the disk: a file, or a folder's new names.

    Raises OSError when the disk refuses.
    """
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _become_new(draft: Path, place: Path) -> None:
    """Give the draft its name; raises FileExistsError if another file has it."""
    try:
        # Unlike a rename, a link never takes another's place.
        os.link(draft, place)
    except FileExistsError:
        raise
    except OSError:
        # A memory stick's file system may know no links.
        if os.path.lexists(place):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(place)) from None
        draft.replace(place)
    else:
        draft.unlink()


def _mode_of_old(path: Path) -> int | None:
    """Permissions of the file that will be replaced; ``None`` if there is none.

    Raises InputError where what is there is not a plain file, OSError or ValueError where
    that can't be told.
    """
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(found.st_mode):
        raise InputError("this is a folder; give the name of a file", where=str(path))
    if not stat.S_ISREG(found.st_mode) or _is_output(found):
        raise InputError(
            "this is a device, a pipe or the like and can't be replaced; give the name of a file",
            where=str(path),
        )
    return stat.S_IMODE(found.st_mode) & 0o777


def _is_output(found: os.stat_result) -> bool:
    """True for the file into which this program's own output goes."""
    for descriptor in _OUTPUTS:
        with suppress(OSError):
            if os.path.samestat(found, os.fstat(descriptor)):
                return True
    return False
