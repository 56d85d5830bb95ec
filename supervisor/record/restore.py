"""A backup put in the place of the record, which is kept beside it.

The backup is copied into the data folder, brought to this version, read to its last reading and on
the disk before anything of what is there is touched; then one rename puts it in place. Whenever
the program is ended on the way, the record is the old one or the new one, whole, and what was
there can be found. Nobody else may write meanwhile; whoever calls sees to that.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.record.backup import PHOTOS_SUFFIX
from supervisor.record.checking import check
from supervisor.record.photos import FOLDER, photo_name, write_whole
from supervisor.record.schema import (
    APPLICATION_ID,
    FILE_NAME,
    explain,
    open_for_reading,
    open_for_writing,
)
from supervisor.whole_file import settle

_WAIT_S = 2.0
"""For somebody who is reading the record just now."""
_DRAFT = ".restoring"
_COMPANIONS = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a file; none of the old one's may ever meet the new one."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What is in the record now; and where what was there is, None where nothing was.

    ``photos_missing`` are in no folder; ``unsent`` messages waited in the backup for a broker and
    are not sent any more.
    """

    kept_old: Path | None
    firings: int
    readings: int
    photos: int
    photos_missing: int
    unsent: int


def restore(backup: Path, data_dir: Path, label: str) -> Restored:
    """Put the backup in the place of the record in ``data_dir``, and its photos with it.

    ``label`` becomes part of the old record's new name. Raises InputError for what is no backup,
    RecordError for one that is damaged or of a newer version, PeerError when the disk refuses;
    then the record is as it was. What was waiting for a broker when the backup was made was sent
    long ago, or is news no more: it is taken out.
    """
    path = data_dir / FILE_NAME
    source = backup_at(backup, path)
    draft = data_dir / f"{_DRAFT}-{FILE_NAME}"
    try:
        _remove(draft)
        _copy(source, draft, backup)
        unsent, photos = _made_ready(draft, backup)
        have, missing = _bring_photos(source, data_dir, photos, label)
        checked = check(draft, with_photos=False)
        if checked.wrong:
            raise RecordError(
                f"the backup {backup} is damaged ({checked.wrong[0]}), and nothing was changed: "
                "take another one"
            )
        _give_to_the_owner(draft, path if path.exists() else data_dir)
        settle(draft)
        kept_old = _change_places(path, draft, label)
    except sqlite3.Error as error:
        raise RecordError(explain(error, draft)) from None
    except (InputError, RecordError, PeerError):
        raise
    except OSError as error:
        raise PeerError(
            f"{data_dir}: the backup can't be put here, and the record is as it was "
            f"({error.strerror})"
        ) from None
    finally:
        with contextlib.suppress(OSError):
            _remove(draft)
    return Restored(kept_old, checked.firings, checked.readings, have, missing, unsent)


def backup_at(backup: Path, path: Path) -> Path:
    """Where the backup lies; raises InputError for what is none."""
    try:
        source = Path(os.path.realpath(backup))
        if source.is_dir():
            raise InputError("this is a folder; give the backup's file", where=str(backup))
        if not source.exists():
            raise InputError("there is no such file", where=str(backup))
        if path.exists() and source.samefile(path):
            raise InputError("this is the record itself; give a backup of it", where=str(backup))
        with source.open("rb") as file:
            is_sqlite = file.read(16) == b"SQLite format 3\0"
    except InputError:
        raise
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no file can have this name"
        raise InputError(f"this file can't be read ({why})", where=str(backup)[:200]) from None
    if not is_sqlite:
        raise InputError(
            "this is no backup of a record; give a file that `spyhole log backup` made",
            where=str(backup),
        )
    return source


def _copy(source: Path, draft: Path, backup: Path) -> None:
    """The backup's pages in the draft; raises RecordError for one that can't be read."""
    address = f"{source.as_uri()}?mode=ro"
    if not any(source.with_name(f"{source.name}{end}").exists() for end in _COMPANIONS):
        # It may lie on a disk that can't be written, where SQLite can't lock it.
        address += "&immutable=1"
    try:
        with closing(sqlite3.connect(address, uri=True)) as old:
            application = old.execute("PRAGMA application_id").fetchone()
            if application != (APPLICATION_ID,):
                raise InputError(
                    "this is another program's database, no backup of a record",
                    where=str(backup),
                )
            with closing(sqlite3.connect(draft)) as new:
                old.backup(new)
                new.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_FULL":
            raise PeerError(
                f"{draft.parent}: the disk is full, and the record is as it was"
            ) from None
        raise RecordError(
            f"the backup {backup} is damaged ({error}), and nothing was changed: take another one"
        ) from None


def _made_ready(draft: Path, backup: Path) -> tuple[int, list[tuple[str, str]]]:
    """The draft in this version; how many messages were waiting in it, and its photos."""
    try:
        with closing(open_for_writing(draft)) as connection:
            (unsent,) = connection.execute("SELECT count(*) FROM outbox").fetchone()
            connection.execute("DELETE FROM outbox")
            photos = connection.execute(
                "SELECT DISTINCT sha256, kind FROM photo WHERE is_withdrawn = 0"
            ).fetchall()
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            # Nothing beside it, so that one rename is enough.
            connection.execute("PRAGMA journal_mode = DELETE")
    except RecordError as error:
        raise RecordError(str(error).replace(str(draft), str(backup))) from None
    return unsent, photos


def _bring_photos(
    source: Path, data_dir: Path, photos: list[tuple[str, str]], label: str
) -> tuple[int, int]:
    """Copy the photos that are not there; how many there are now, and how many are lost.

    A photo's name says what is in it, so none takes another's place; a spoilt file of its name is
    moved out of the way.
    """
    theirs = source.with_name(f"{source.name}{PHOTOS_SUFFIX}")
    ours = data_dir / FOLDER
    have = missing = 0
    for sha256, kind in photos:
        name = photo_name(sha256, kind)
        if _is_sound(ours / name, sha256):
            have += 1
        elif _is_sound(theirs / name, sha256):
            if (ours / name).exists():
                spoilt = data_dir / f"{FOLDER}.spoilt-{label}"
                spoilt.mkdir(exist_ok=True)
                (ours / name).rename(spoilt / name)
            write_whole(ours / name, (theirs / name).read_bytes())
            _give_to_the_owner(ours, data_dir)
            _give_to_the_owner(ours / name, data_dir)
            have += 1
        else:
            missing += 1
    return have, missing


def _is_sound(file: Path, sha256: str) -> bool:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest() == sha256
    except OSError:
        return False


def _change_places(path: Path, draft: Path, label: str) -> Path | None:
    """Put the draft where the record was; where the old one is now, None where there was none.

    What of the old one still waits in its log is written into its file first, so that there is no
    moment at which the file lies without it. Of a damaged one that can't be; its log goes with it.
    """
    if not path.exists():
        # The log of a record that is gone would be taken for the new one's.
        kept = _free_name(path, label)
        _move_companions(path, kept)
        draft.replace(path)
        settle(path.parent)
        return None
    kept = _free_name(path, label)
    _take_in_log(path)
    os.link(path, kept)
    _move_companions(path, kept)
    draft.replace(path)
    settle(path.parent)
    return kept


def _free_name(path: Path, label: str) -> Path:
    number = 1
    while True:
        more = "" if number == 1 else f"-{number}"
        kept = path.with_name(f"{path.name}.before-{label}{more}")
        if not kept.exists():
            return kept
        if path.exists() and kept.samefile(path):
            # Left by a restore that was ended before it was done.
            kept.unlink()
            return kept
        number += 1


def _take_in_log(path: Path) -> None:
    """Write what waits in the record's log into its file, unless it is damaged."""
    busy = 0
    try:
        with closing(open_for_reading(path)) as connection:
            if connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
                return
        address = f"{path.absolute().as_uri()}?mode=rw"
        with closing(sqlite3.connect(address, uri=True, timeout=_WAIT_S)) as connection:
            (busy, *_) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except (RecordError, sqlite3.Error):
        return
    if busy:
        raise PeerError(
            f"the record {path} is being read or written by another program: try again when that "
            "is done"
        )


def _move_companions(path: Path, kept: Path) -> None:
    for end in _COMPANIONS:
        beside = path.with_name(f"{path.name}{end}")
        if not beside.exists():
            continue
        if end == "-shm" or beside.stat().st_size == 0:
            beside.unlink()
        else:
            beside.rename(kept.with_name(f"{kept.name}{end}"))


def _give_to_the_owner(file: Path, model: Path) -> None:
    """Run by root, it must still be the daemon's own user who can write."""
    if os.geteuid() == 0:
        owner = model.stat()
        os.chown(file, owner.st_uid, owner.st_gid)


def _remove(draft: Path) -> None:
    for end in ("", *_COMPANIONS):
        draft.with_name(f"{draft.name}{end}").unlink(missing_ok=True)
