"""A photo keeps its picture, and nothing of where and by whom it was taken."""

from __future__ import annotations

import io
import random
import struct
import zlib

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from supervisor.core.errors import InputError
from supervisor.picture.thumbnail import LONGEST_SIDE_PX, thumbnail
from supervisor.record.image_file import MOST_PIXELS, clean_image

GPS = 0x8825
"""Exif's tag of the directory with the place (Exif 2.32, 4.6.3)."""
ORIENTATION = 0x0112
SECRET = "Anna Secretive"
PLACE = b"48.2081"


def a_photo(kind: str, *, orientation: int | None = 6, mode: str = "RGB") -> bytes:
    """A small picture that tells more than it should."""
    picture = Image.effect_noise((61, 40), 50).convert(mode)
    exif = Image.Exif()
    if orientation is not None:
        exif[ORIENTATION] = orientation
    exif[0x013B] = SECRET
    exif[GPS] = {1: "N", 2: (48.0, 12.0, 29.0), 29: PLACE.decode()}
    out = io.BytesIO()
    more: dict[str, object] = {}
    if kind == "PNG":
        info = PngInfo()
        info.add_text("Author", SECRET)
        info.add_itxt("XML:com.adobe.xmp", f"<x>{SECRET} {PLACE.decode()}</x>")
        more["pnginfo"] = info
    elif kind == "JPEG":
        more |= {"comment": SECRET, "icc_profile": b"profile" * 5, "progressive": True}
    else:
        more["xmp"] = f"<x>{SECRET} {PLACE.decode()}</x>"
    picture.save(out, kind, exif=exif, **more)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("orientation", [None, 1, 6])
def test_the_picture_stays_and_place_and_person_go(kind: str, orientation: int | None) -> None:
    data = a_photo(kind, orientation=orientation)
    assert SECRET.encode() in data
    assert PLACE in data
    clean = clean_image(data)
    assert (clean.kind, clean.width_px, clean.height_px) == (kind.lower(), 61, 40)
    assert SECRET.encode() not in clean.data
    assert PLACE not in clean.data
    again = opened(clean.data)
    assert again.tobytes() == opened(data).tobytes()
    kept = dict(again.getexif())
    assert kept == ({ORIENTATION: 6} if orientation == 6 else {})
    assert clean_image(clean.data).data == clean.data


def test_the_colours_of_a_jpeg_stay_as_they_are_meant() -> None:
    assert opened(clean_image(a_photo("JPEG")).data).info["icc_profile"] == b"profile" * 5


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_hides_behind_the_end_is_cut_off(kind: str) -> None:
    data = a_photo(kind)
    assert clean_image(data + b"ftypmp4" + PLACE).data == clean_image(data).data


def test_a_lossless_webp_and_one_with_a_see_through_part() -> None:
    for more in ({"lossless": True}, {"lossless": False}):
        out = io.BytesIO()
        Image.effect_noise((33, 21), 50).convert("RGBA").save(out, "WEBP", **more)
        clean = clean_image(out.getvalue())
        assert (clean.width_px, clean.height_px) == (33, 21)
        assert opened(clean.data).tobytes() == opened(out.getvalue()).tobytes()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_is_cut_short_or_spoilt_is_refused_in_a_sentence_or_harmless(kind: str) -> None:
    data = a_photo(kind)
    draw = random.Random(1)
    refused = 0
    for length in (*range(20), *(draw.randrange(len(data)) for _ in range(60))):
        with pytest.raises(InputError) as caught:
            clean_image(data[:length])
        assert "\n" not in str(caught.value)
        refused += 1
    assert refused == 80
    for _ in range(200):
        place = draw.randrange(len(data))
        spoilt = data[:place] + bytes((draw.randrange(256),)) + data[place + 1 :]
        try:
            clean = clean_image(spoilt)
        except InputError:
            continue
        assert clean.width_px * clean.height_px <= MOST_PIXELS


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a" + bytes(40),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\xff\xd8\xff\xd9",
        b"RIFF\x04\0\0\0WEBP",
        b"%PDF-1.7",
    ],
)
def test_what_is_no_photo_is_refused(data: bytes) -> None:
    with pytest.raises(InputError, match="photo"):
        clean_image(data)


def test_a_picture_of_too_many_pixels_is_refused() -> None:
    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IEND", b"")
    with pytest.raises(InputError, match="60000 × 60000 pixels"):
        clean_image(data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_small_picture_is_the_right_way_up(kind: str) -> None:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    Image.effect_noise((1600, 900), 50).convert("RGB").save(out, kind, exif=exif)
    small = thumbnail(out.getvalue())
    assert small is not None
    picture = opened(small)
    assert picture.format == "JPEG"
    assert picture.size == (270, LONGEST_SIDE_PX)
    assert dict(picture.getexif()) == {}


def test_of_what_is_no_picture_no_small_one_is_made() -> None:
    assert thumbnail(b"no picture") is None
    assert thumbnail(a_photo("PNG")[:200]) is None
