"""A firing's photos as a report shows them: small enough that a page with all of them is sent.

Knows which photos there are, how small they are to be, and what to do without anything that can
make a picture smaller. Makes none itself: whoever draws the report brings what does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from supervisor.core.errors import InputError, RecordError
from supervisor.core.report import Photo
from supervisor.record.image_file import clean_image
from supervisor.record.photos import PhotoFiles
from supervisor.record.unloading import Photo as KeptPhoto

Shrink = Callable[[bytes, int], bytes | None]
"""Makes a JPEG of a picture whose longer side has so many pixels at most; None for a picture that
is unsound or too large to be decoded."""

_SIDES_PX = ((12, 1000), (40, 720), (200, 480))
"""How many photos there are, and how large each may be: together some 2 to 9 MB at most. On A4
half a sheet's width with 1,000 pixels is 270 to the inch, with 480 it is 130."""
_MOST_WHOLE_BYTES = 6_000_000
"""Of photos that nothing can make smaller, so many bytes are shown in all."""


def photos_shown(
    photos: Sequence[KeptPhoto], files: PhotoFiles, shrink: Shrink | None
) -> tuple[Photo, ...]:
    """The photos in their order: with ``shrink`` as JPEG, without it as they are kept.

    One that can't be shown has no bytes, and says why.
    """
    side_px = next((side for most, side in _SIDES_PX if len(photos) <= most), _SIDES_PX[-1][1])
    left = _MOST_WHOLE_BYTES
    shown = []
    for photo in photos:
        data, lacks = _data_of(photo, files, shrink, side_px, left)
        left -= len(data)
        shown.append(_shown(photo, data, lacks))
    return tuple(shown)


def _data_of(
    photo: KeptPhoto, files: PhotoFiles, shrink: Shrink | None, side_px: int, left: int
) -> tuple[bytes, str]:
    """The bytes to show; or none, and why."""
    try:
        whole = files.read(photo)
    except RecordError:
        return b"", "its file is gone or spoilt"
    if shrink is not None:
        small = shrink(whole, side_px)
        return (b"", "it can't be made small enough") if small is None else (small, "")
    made_before = files.small_path_of(photo)
    try:
        return made_before.read_bytes(), ""
    except OSError:
        pass
    if len(whole) <= left:
        return whole, ""
    return b"", "it is too large to be shown here"


def _shown(photo: KeptPhoto, data: bytes, lacks: str) -> Photo:
    caption = photo.caption or ""
    if not data:
        return Photo(b"", photo.kind, photo.width_px, photo.height_px, caption, lacks)
    try:
        image = clean_image(data)
    except InputError:
        return Photo(b"", photo.kind, 0, 0, caption, "its file is gone or spoilt")
    return Photo(data, image.kind, image.width_px, image.height_px, caption)
