"""The files of photos, beside the database in a folder of their own.

In files and not in the database: a card writes each once instead of twice (SQLite would write it
into its log and then into the file), the thread that writes events is not held up by megabytes,
the record stays small enough to be copied and checked in seconds, and what spoils one spoils not
the other. A file is named by the SHA-256 of its bytes, so that it never changes, the same photo
lies there once, and whether it is sound can always be told. It is on disk, whole, before its row
is written; a file without a row is what a power cut in between leaves, and does no harm.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from supervisor.core.errors import RecordError
from supervisor.core.reasons import Reason
from supervisor.record.unloading import NewPhoto
from supervisor.whole_file import settle

FOLDER = "photos"
SMALL = "small"
"""Folder, in that of the photos, for small pictures of them; may be deleted at any time."""


def photo_name(sha256: str, kind: str) -> str:
    """The name of a photo's file within the folder."""
    return f"{sha256}.{'jpg' if kind == 'jpeg' else kind}"


class PhotoFiles:
    """The photos of the record whose data lie in ``data_dir``."""

    def __init__(self, data_dir: Path) -> None:
        self.folder = data_dir / FOLDER

    def path_of(self, photo: NewPhoto) -> Path:
        """Where the photo lies."""
        return self.folder / photo_name(photo.sha256, photo.kind)

    def small_path_of(self, photo: NewPhoto) -> Path:
        """Where a small picture of it lies, if one was made."""
        return self.folder / SMALL / f"{photo.sha256}.jpg"

    def keep(self, data: bytes, kind: str) -> str:
        """Write the photo's bytes; its SHA-256, once they are on disk.

        Raises RecordError if the disk refuses.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        write_whole(self.folder / photo_name(sha256, kind), data)
        return sha256

    def read(self, photo: NewPhoto) -> bytes:
        """The photo's bytes. Raises RecordError if its file is gone or spoilt."""
        path = self.path_of(photo)
        try:
            data = path.read_bytes()
        except OSError as error:
            raise RecordError(f"the photo {path} can't be read ({error.strerror})").because(
                Reason.PHOTO_UNREADABLE
            ) from None
        if hashlib.sha256(data).hexdigest() != photo.sha256:
            raise RecordError(f"the photo {path} is spoilt: put it back from a backup").because(
                Reason.PHOTO_SPOILT
            )
        return data

    def forget(self, sha256: str) -> None:
        """Delete the photo's file and its small picture; nothing is said if they are gone."""
        for path in (*self.folder.glob(f"{sha256}.*"), self.folder / SMALL / f"{sha256}.jpg"):
            with contextlib.suppress(OSError):
                path.unlink()

    def names(self) -> Iterator[Path]:
        """The files of photos that are there, in order."""
        if self.folder.is_dir():
            yield from sorted(path for path in self.folder.iterdir() if path.is_file())


def write_whole(path: Path, data: bytes) -> None:
    """Write a file that appears under its name only when it is complete and on the disk.

    Raises RecordError if the disk refuses.
    """
    if path.exists() and path.stat().st_size == len(data):
        return
    draft = path.with_name(f".{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with draft.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
        settle(path.parent)
    except OSError as error:
        with contextlib.suppress(OSError):
            draft.unlink()
        raise RecordError(f"the photo can't be kept: {path} ({error.strerror})").because(
            Reason.PHOTO_NOT_KEPT
        ) from None
