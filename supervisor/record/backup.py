"""A copy of the record that is whole or not there, made while a daemon writes on.

SQLite's own online backup copies the file as it is at one moment, in one go, while others read and
write; the copy is checked and on the disk before it gets its name. Photos never change once they
are there, so that those which an older copy has already are not written again.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.record.photos import PhotoFiles, photo_name, write_whole
from supervisor.record.schema import APPLICATION_ID, explain, open_for_reading
from supervisor.whole_file import settle

PHOTOS_SUFFIX = ".photos"
"""The photos of a backup lie beside it in a folder of its name with this at its end."""


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What a backup has in it."""

    firings: int
    bytes: int
    photos: int
    photos_missing: int


def back_up(path: Path, target: Path) -> BackedUp:
    """Copy the record at ``path`` to the file ``target``, and its photos beside that.

    An older backup of that name gives way once the new one is whole. Raises InputError for a
    target that is something else, RecordError for a record that is not sound or can't be read,
    PeerError if the target's disk refuses.
    """
    place = _place(path, target)
    draft = place.with_name(f".spyhole-{secrets.token_hex(8)}.part")
    try:
        firings, photos = _copy(path, draft)
        size = draft.stat().st_size
        have, missing = _copy_photos(path.parent, place, photos)
        draft.replace(place)
        settle(place.parent)
    except sqlite3.Error as error:
        raise RecordError(explain(error, path)) from None
    except RecordError:
        raise
    except OSError as error:
        raise PeerError(f"{target}: the backup can't be written ({error.strerror})") from None
    finally:
        for leftover in (draft, draft.with_name(f"{draft.name}-journal")):
            with contextlib.suppress(OSError):
                leftover.unlink()
    return BackedUp(firings, size, have, missing)


def _place(path: Path, target: Path) -> Path:
    """Where the backup goes; raises InputError unless there is nothing, or an older one."""
    try:
        place = Path(os.path.realpath(target))
        if place.is_dir():
            raise InputError("this is a folder; give the name of a file", where=str(target))
        if not place.parent.is_dir():
            raise InputError("there is no such folder to write in", where=str(target.parent))
        if not place.exists():
            return place
        if path.exists() and place.samefile(path):
            raise InputError("this is the record itself; give another name", where=str(target))
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("this is not the name of a file", where=repr(str(target))[:200]) from None
    if not place.is_file() or not _is_record(place):
        raise InputError(
            "there is something else of this name, and it is not overwritten; give another name",
            where=str(target),
        )
    return place


def _is_record(place: Path) -> bool:
    if place.stat().st_size == 0:
        return True
    try:
        with closing(sqlite3.connect(f"{place.as_uri()}?mode=ro", uri=True)) as connection:
            return bool(connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,))
    except sqlite3.Error:
        return False


def _copy(path: Path, draft: Path) -> tuple[int, list[tuple[str, str]]]:
    """Copy the file; how many firings there are, and the SHA-256 and kind of each photo."""
    with closing(open_for_reading(path)) as source:
        handle = os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o666)
        os.close(handle)
        with closing(sqlite3.connect(draft, isolation_level=None)) as copy:
            source.backup(copy)
            # One file with nothing beside it, wherever it is taken.
            copy.execute("PRAGMA journal_mode = DELETE")
            (verdict,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
            if verdict != "ok":
                raise RecordError(
                    f"the record {path} is damaged ({verdict}), and a copy of it would be too: "
                    "see `spyhole log check`"
                )
            (firings,) = copy.execute("SELECT count(*) FROM firing").fetchone()
            photos = copy.execute(
                "SELECT DISTINCT sha256, kind FROM photo WHERE is_withdrawn = 0"
            ).fetchall()
    settle(draft)
    return firings, photos


def _copy_photos(data_dir: Path, place: Path, photos: list[tuple[str, str]]) -> tuple[int, int]:
    """Copy the photos that are not there yet; how many there are now, and how many are lost."""
    if not photos:
        return 0, 0
    folder = place.with_name(f"{place.name}{PHOTOS_SUFFIX}")
    folder.mkdir(exist_ok=True)
    source = PhotoFiles(data_dir).folder
    have = missing = 0
    for sha256, kind in photos:
        name = photo_name(sha256, kind)
        try:
            data = (source / name).read_bytes()
        except FileNotFoundError:
            missing += 1
            continue
        write_whole(folder / name, data)
        have += 1
    return have, missing
