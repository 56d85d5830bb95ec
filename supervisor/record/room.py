"""How much room the record takes, and how much the disk still has. Looks, and changes nothing."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from supervisor.core.errors import RecordError
from supervisor.record.photos import PhotoFiles
from supervisor.record.schema import explain, open_for_reading

BYTES_PER_HOUR = 250_000
"""What a firing's readings take while it goes on: three channels, one a second, a row each
(``python -m tests.bench_record``)."""
LOW_BYTES = 500_000_000
"""Less room than this is told: it is enough for many firings, and so there is time to mend it.
A Pi's system itself begins to fail before the last byte is gone (common practice, no source)."""
LOW_SHARE = 0.03
"""Of a small disk, less than so much of it is low."""


@dataclass(frozen=True, slots=True)
class Room:
    """Sizes in bytes. ``unused_bytes`` lie within the file and are used again."""

    record_bytes: int
    unused_bytes: int
    photo_bytes: int
    free_bytes: int
    disk_bytes: int

    @property
    def is_low(self) -> bool:
        """Whether it is time to make room, while nothing is lost yet."""
        return self.free_bytes < min(LOW_BYTES, LOW_SHARE * self.disk_bytes + BYTES_PER_HOUR * 100)

    @property
    def hours_left(self) -> float:
        """Hours of a firing that the disk has room for, with nothing else written to it."""
        return (self.free_bytes + self.unused_bytes) / BYTES_PER_HOUR

    def sentence(self) -> str:
        """All of it for a person."""
        photos = f", photos {show_bytes(self.photo_bytes)}" if self.photo_bytes else ""
        unused = ""
        if self.unused_bytes > 0.1 * self.record_bytes:
            unused = f" ({show_bytes(self.unused_bytes)} of it unused, for firings to come)"
        return (
            f"The record takes {show_bytes(self.record_bytes)}{unused}{photos}; the disk has "
            f"{show_bytes(self.free_bytes)} of {show_bytes(self.disk_bytes)} free."
        )

    def warning(self) -> str | None:
        """What to do where room is low; None while it is not."""
        if not self.is_low:
            return None
        return (
            f"the disk of the record has only {show_bytes(self.free_bytes)} left, about "
            f"{self.hours_left:,.0f} hours of a firing: make room on it now, before it refuses"
        )


def room_of(path: Path) -> Room:
    """How the record at ``path`` and its disk stand. Raises RecordError if that can't be told."""
    try:
        with closing(open_for_reading(path)) as connection:
            (unused,) = connection.execute("PRAGMA freelist_count").fetchone()
            (page,) = connection.execute("PRAGMA page_size").fetchone()
    except sqlite3.Error as error:
        raise RecordError(explain(error, path)) from None
    try:
        sizes = sum(
            beside.stat().st_size
            for beside in (path, path.with_name(f"{path.name}-wal"))
            if beside.exists()
        )
        photos = sum(photo.stat().st_size for photo in PhotoFiles(path.parent).names())
        disk = os.statvfs(path)
    except OSError as error:
        raise RecordError(f"{path}: its size can't be told ({error.strerror})") from None
    return Room(
        sizes, unused * page, photos, disk.f_bavail * disk.f_frsize, disk.f_blocks * disk.f_frsize
    )


def show_bytes(count: float) -> str:
    """A size for people, in the units that disks are sold in.

    >>> show_bytes(812), show_bytes(4_930_000), show_bytes(31.9e9)
    ('812 bytes', '4.9 MB', '31.9 GB')
    """
    if count < 1000:
        return f"{count:.0f} bytes"
    for unit in ("kB", "MB"):
        count /= 1000.0
        if count < 1000.0:
            return f"{count:.1f} {unit}"
    return f"{count / 1000.0:.1f} GB"
