"""A small picture of a photo, where Pillow is there to make one. Knows pictures only."""

from __future__ import annotations

import io

LONGEST_SIDE_PX = 480
_MOST_DECODED = 16_000_000
"""Pixels that are decoded at once: 64 MB. A JPEG is decoded small, however large it is."""
_QUALITY = 80


def thumbnail(data: bytes) -> bytes | None:
    """A small JPEG of the picture, the right way up; None where none can be made."""
    try:
        from PIL import Image, ImageOps
    except ImportError:
        return None
    try:
        with Image.open(io.BytesIO(data)) as picture:
            picture.draft("RGB", (2 * LONGEST_SIDE_PX, 2 * LONGEST_SIDE_PX))
            if picture.width * picture.height > _MOST_DECODED:
                return None
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
            small = Image.new("RGB", upright.size, "white")
            whole = upright.convert("RGBA")
            small.paste(whole, mask=whole.getchannel("A"))
            out = io.BytesIO()
            small.save(out, "JPEG", quality=_QUALITY)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        # Pillow tells an unsound picture by any of these.
        return None
    return out.getvalue()
