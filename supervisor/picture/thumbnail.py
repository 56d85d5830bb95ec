"""A small picture of a photo, where Pillow is there to make one. Knows pictures only."""

from __future__ import annotations

import importlib.util
import io

LONGEST_SIDE_PX = 480
_MOST_DECODED = 16_000_000
"""Pixels that are decoded at once: 64 MB. A JPEG is decoded small, however large it is."""
_QUALITY = 80


def can_shrink() -> bool:
    """Whether Pillow is there; it is not loaded."""
    return importlib.util.find_spec("PIL") is not None


def thumbnail(data: bytes, longest_side_px: int = LONGEST_SIDE_PX) -> bytes | None:
    """A small JPEG of the picture, the right way up; None where none can be made.

    What is small already is made no larger.
    """
    try:
        from PIL import Image, ImageOps
    except ImportError:
        return None
    try:
        with Image.open(io.BytesIO(data)) as picture:
            picture.draft("RGB", (2 * longest_side_px, 2 * longest_side_px))
            if picture.width * picture.height > _MOST_DECODED:
                return None
            upright = ImageOps.exif_transpose(picture)
            upright.thumbnail((longest_side_px, longest_side_px))
            small = Image.new("RGB", upright.size, "white")
            whole = upright.convert("RGBA")
            small.paste(whole, mask=whole.getchannel("A"))
            out = io.BytesIO()
            small.save(out, "JPEG", quality=_QUALITY)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        # Pillow tells an unsound picture by any of these.
        return None
    return out.getvalue()
