"""SQLite's write-ahead log as a power cut leaves it: what lies in it, and its end torn off.

The layout is that of "WAL-mode File Format" (https://www.sqlite.org/walformat.html): a header of
32 bytes with two salts, then frames of 24 bytes and a page; a frame whose second word is not 0
ends a transaction. How far a checkpoint may have come stands in the index beside it
(``nBackfillAttempted``, at byte 128).
"""

from __future__ import annotations

import random
import struct
from pathlib import Path

HEADER, FRAME = 32, 24
WAYS = ("cut off", "garbled", "one sector garbled", "zeroed", "garbage behind it")
SECTOR = 512


def commits(wal: bytes) -> list[int]:
    """Where each transaction ends, in bytes; the header's end first."""
    if len(wal) < HEADER:
        return [len(wal)]
    (page,) = struct.unpack_from(">I", wal, 8)
    salts = wal[16:24]
    found, place = [HEADER], HEADER
    while place + FRAME + page <= len(wal):
        _, size = struct.unpack_from(">II", wal, place)
        if wal[place + 8 : place + 16] != salts:
            # What lies behind is of an earlier round of the log.
            break
        place += FRAME + page
        if size:
            found.append(place)
    return found


def live_end(wal: bytes) -> int:
    """Where the last frame of this round of the log ends; older rounds may lie behind it."""
    if len(wal) < HEADER:
        return len(wal)
    (page,) = struct.unpack_from(">I", wal, 8)
    place = HEADER
    while place + FRAME + page <= len(wal) and wal[place + 8 : place + 16] == wal[16:24]:
        place += FRAME + int(page)
    return place


def checkpointed(wal: bytes, shm: bytes) -> int:
    """Up to which byte of the log a checkpoint may have copied: that was on the disk before."""
    if len(wal) < HEADER or len(shm) < 132:
        return 0
    (page,) = struct.unpack_from(">I", wal, 8)
    (frames,) = struct.unpack_from("=I", shm, 128)
    return HEADER + int(frames) * (FRAME + int(page))


def tear(path: Path, safe: int, way: str, draw: random.Random) -> None:
    """Do to the log from byte ``safe`` on what a power cut may, beginning in what is alive."""
    data = bytearray(path.read_bytes())
    end = live_end(bytes(data))
    if safe >= end:
        # Nothing was under way: what is behind was never read.
        end = len(data)
    if way == "garbage behind it" or safe >= len(data):
        data += draw.randbytes(draw.randrange(1, 5000))
        path.write_bytes(data)
        return
    place = draw.randrange(safe, end)
    if way == "cut off":
        del data[place:]
    elif way == "garbled":
        data[place:] = draw.randbytes(len(data) - place)
    elif way == "zeroed":
        data[place:] = bytes(len(data) - place)
    else:
        start = max(safe, place // SECTOR * SECTOR)
        stop = min(len(data), start + SECTOR)
        data[start:stop] = draw.randbytes(stop - start)
    path.write_bytes(data)
