"""A photo's file without what it says of place, person and camera.

A phone writes into every photo where it was taken, to some metres. Here the containers of JPEG
(ITU-T T.81, annex B), PNG (ISO/IEC 15948) and WebP (RFC 9649) are read piece by piece and only the
pieces that make the picture are kept, its bytes as they are: nothing is decoded or made worse.
Which way up it is to be shown (Exif's orientation) is kept, by a new Exif of that alone. What
lies behind the picture's end (a film that some phones hide there) is cut off. Knows bytes; knows
no file and no kiln.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason

MOST_PIXELS = 200_000_000
"""A picture with more is refused: no camera of a phone makes it."""

_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT = frozenset(
    {
        *(b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP"),
        *(b"sBIT", b"bKGD", b"pHYs", b"cICP"),
    }
)
_WEBP_KEPT = frozenset({b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP", b"ANIM", b"ANMF"})
_WEBP_EXIF, _WEBP_XMP = 0x08, 0x04
_ORIENTATION = 0x0112
_NO_LENGTH = frozenset({0x01, *range(0xD0, 0xD9)})
_FRAMES = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})


@dataclass(frozen=True, slots=True)
class CleanImage:
    """A picture's file with nothing in it but the picture; its size is as it is stored."""

    kind: str
    data: bytes
    width_px: int
    height_px: int


def clean_image(data: bytes) -> CleanImage:
    """The picture in ``data`` without anything else.

    Raises InputError for what is no sound JPEG, PNG or WebP, or has too many pixels.
    """
    try:
        if data[:2] == b"\xff\xd8":
            found = _clean_jpeg(data)
        elif data[:8] == _PNG:
            found = _clean_png(data)
        elif data[:4] == b"RIFF" and data[8:12] == b"WEBP":
            found = _clean_webp(data)
        else:
            raise InputError(
                "this is no photo that can be kept: send a JPEG, a PNG or a WebP"
            ).because(Reason.NO_IMAGE)
    except (struct.error, IndexError):
        raise InputError("the photo's file is cut short: send it again").because(
            Reason.PHOTO_CUT_SHORT
        ) from None
    if not 0 < found.width_px * found.height_px <= MOST_PIXELS:
        raise InputError(
            f"the photo has {found.width_px} × {found.height_px} pixels: at most "
            f"{MOST_PIXELS:,} in all can be kept"
        ).because(
            Reason.PHOTO_HAS_TOO_MANY_PIXELS,
            width=found.width_px,
            height=found.height_px,
            most=MOST_PIXELS,
        )
    return found


def _broken(kind: str) -> InputError:
    return InputError(f"the photo's file is not a sound {kind}: send it again").because(
        Reason.PHOTO_UNSOUND, format=kind
    )


def _clean_jpeg(data: bytes) -> CleanImage:
    parts = [b"\xff\xd8"]
    size: tuple[int, int] | None = None
    orientation = 1
    place = 2
    while True:
        if data[place] != 0xFF:
            raise _broken("JPEG")
        while data[place] == 0xFF:
            place += 1
        marker = data[place]
        place += 1
        if marker == 0xD9:
            break
        if marker in _NO_LENGTH:
            parts.append(bytes((0xFF, marker)))
            continue
        (length,) = struct.unpack_from(">H", data, place)
        segment = data[place + 2 : place + length]
        if length < 2 or len(segment) != length - 2:
            raise _broken("JPEG")
        place += length
        if marker == 0xE1 and segment[:6] == b"Exif\0\0":
            orientation = _orientation_of(segment[6:]) or orientation
        if marker in _FRAMES:
            height, width = struct.unpack_from(">HH", segment, 1)
            size = size or (width, height)
        if _is_kept_in_jpeg(marker, segment):
            parts.append(bytes((0xFF, marker)) + struct.pack(">H", length) + segment)
        if marker == 0xDA:
            end = _end_of_scan(data, place)
            parts.append(data[place:end])
            place = end
    parts.append(b"\xff\xd9")
    if size is None:
        raise _broken("JPEG")
    if orientation != 1:
        exif = b"Exif\0\0" + _exif_of(orientation)
        parts.insert(1, b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif)
    return CleanImage("jpeg", b"".join(parts), *size)


def _is_kept_in_jpeg(marker: int, segment: bytes) -> bool:
    """Tables, frames and scans, and how the colours are meant; no other application's segment."""
    if marker == 0xFE:
        return False
    if not 0xE0 <= marker <= 0xEF:
        return True
    if marker == 0xE2:
        return segment[:12] == b"ICC_PROFILE\0"
    if marker == 0xE0:
        # JFXX is a small picture of the picture.
        return segment[:5] == b"JFIF\0"
    return marker == 0xEE and segment[:5] == b"Adobe"


def _end_of_scan(data: bytes, place: int) -> int:
    """Where the next marker is that is none of the scan's own."""
    while True:
        place = data.index(b"\xff", place) if b"\xff" in data[place:] else len(data)
        following = data[place + 1]
        if following != 0x00 and not 0xD0 <= following <= 0xD7 and following != 0xFF:
            return place
        place += 1 if following == 0xFF else 2


def _clean_png(data: bytes) -> CleanImage:
    parts = [_PNG]
    size: tuple[int, int] | None = None
    orientation = 1
    place = len(_PNG)
    while True:
        length, kind = struct.unpack_from(">I4s", data, place)
        body = data[place + 8 : place + 8 + length]
        (check,) = struct.unpack_from(">I", data, place + 8 + length)
        if len(body) != length or zlib.crc32(kind + body) != check:
            raise _broken("PNG")
        place += 12 + length
        if size is None:
            if kind != b"IHDR":
                raise _broken("PNG")
            size = struct.unpack_from(">II", body)
        if kind == b"eXIf":
            orientation = _orientation_of(body) or orientation
        if kind in _PNG_KEPT:
            if kind == b"IDAT" and orientation != 1:
                parts.append(_png_chunk(b"eXIf", _exif_of(orientation)))
                orientation = 1
            parts.append(_png_chunk(kind, body))
        if kind == b"IEND":
            break
    return CleanImage("png", b"".join(parts), *size)


def _png_chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def _clean_webp(data: bytes) -> CleanImage:
    (riff,) = struct.unpack_from("<I", data, 4)
    if riff + 8 > len(data):
        raise _broken("WebP")
    chunks = list(_webp_chunks(data, 8 + riff))
    size: tuple[int, int] | None = None
    orientation = 1
    kept: list[tuple[bytes, bytes]] = []
    for kind, body in chunks:
        size = size or _webp_size(kind, body)
        if kind == b"EXIF":
            orientation = _orientation_of(body.removeprefix(b"Exif\0\0")) or orientation
        if kind in _WEBP_KEPT:
            kept.append((kind, body))
    if size is None:
        raise _broken("WebP")
    if kept[0][0] == b"VP8X":
        flags = kept[0][1][0] & ~(_WEBP_EXIF | _WEBP_XMP)
        if orientation != 1:
            flags |= _WEBP_EXIF
            kept.append((b"EXIF", _exif_of(orientation)))
        kept[0] = (b"VP8X", bytes((flags,)) + kept[0][1][1:])
    body = b"WEBP" + b"".join(
        kind + struct.pack("<I", len(part)) + part + b"\0" * (len(part) % 2) for kind, part in kept
    )
    return CleanImage("webp", b"RIFF" + struct.pack("<I", len(body)) + body, *size)


def _webp_chunks(data: bytes, end: int) -> Iterator[tuple[bytes, bytes]]:
    place = 12
    while place + 8 <= end:
        kind, length = struct.unpack_from("<4sI", data, place)
        body = data[place + 8 : place + 8 + length]
        if len(body) != length:
            raise _broken("WebP")
        yield kind, body
        place += 8 + length + length % 2


def _webp_size(kind: bytes, body: bytes) -> tuple[int, int] | None:
    if kind == b"VP8X":
        width = int.from_bytes(body[4:7], "little") + 1
        return width, int.from_bytes(body[7:10], "little") + 1
    if kind == b"VP8 ":
        if body[3:6] != b"\x9d\x01\x2a":
            raise _broken("WebP")
        width, height = struct.unpack_from("<HH", body, 6)
        return width & 0x3FFF, height & 0x3FFF
    if kind == b"VP8L":
        if body[0] != 0x2F:
            raise _broken("WebP")
        bits = int.from_bytes(body[1:5], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    return None


def _orientation_of(tiff: bytes) -> int | None:
    """Exif's orientation, 1 to 8; None where it tells none. What is unsound tells nothing."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(tiff[:4])
    if order is None:
        return None
    try:
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, first)
        for n in range(count):
            tag, kind, _, value = struct.unpack_from(f"{order}HHIH", tiff, first + 2 + 12 * n)
            if tag == _ORIENTATION and kind == 3 and 1 <= value <= 8:
                return int(value)
    except struct.error:
        return None
    return None


def _exif_of(orientation: int) -> bytes:
    """The smallest Exif: one directory with the orientation and nothing else."""
    entry = struct.pack(">HHIHH", _ORIENTATION, 3, 1, orientation, 0)
    return b"MM\0*" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
