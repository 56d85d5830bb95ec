"""Photos set side by side, each with what is written below it. Knows sizes, not what they show."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.report import Photo
from supervisor.picture.lettering import cut, folded, harmless
from supervisor.picture.pieces import GAP, LEADING, Piece
from supervisor.picture.scene import Picture, Role, Shape, Text

_ACROSS = ((40, 2), (200, 3))
"""How many photos there are, and how many of them stand side by side."""
_HIGHEST = 0.85
"""Of its width, so high is a photo at most: one that stands upright is made narrower."""
_WALL_MOST = 4
_WALL_LEAST_HEIGHT, _WALL_MOST_HEIGHT = 70.0, 150.0


def album_pieces(photos: Sequence[Photo], width: float, size: float) -> list[Piece]:
    """Rows of photos with their captions whole; a row stays together."""
    across = next((n for most, n in _ACROSS if len(photos) <= most), _ACROSS[-1][1])
    one = (width - (across - 1) * 2.0 * GAP) / across
    found = []
    for first in range(0, len(photos), across):
        row = photos[first : first + across]
        boxes = [fitted(photo, one, one * _HIGHEST) for photo in row]
        deepest = max(height for _, height in boxes)
        captions = [folded(harmless(photo.caption), size, one) for photo in row]
        shapes: list[Shape] = []
        for place, (photo, (wide, high)) in enumerate(zip(row, boxes, strict=True)):
            x = place * (one + 2.0 * GAP)
            shapes.append(_picture(photo, (x, deepest - high), wide, high))
            for n, line in enumerate(captions[place], start=1):
                if line:
                    at = (x, deepest + n * size * LEADING)
                    shapes.append(Text(at, line, size, part="caption"))
        height = deepest + max(map(len, captions)) * size * LEADING + size * 1.2
        found.append(Piece(height, tuple(shapes)))
    return found


def strip_piece(photos: Sequence[Photo], width: float, size: float, room: float) -> Piece | None:
    """A row of the first photos with a line below each, as high as there is room; None where
    there is hardly any."""
    below = size * LEADING + size * 0.8 if any(photo.caption for photo in photos) else size * 0.5
    above = size * 1.2
    high = min(room - above - below, _WALL_MOST_HEIGHT)
    if not photos or high < _WALL_LEAST_HEIGHT:
        return None
    chosen = photos[:_WALL_MOST]
    one = (width - (len(chosen) - 1) * GAP) / len(chosen)
    boxes = [fitted(photo, one, high) for photo in chosen]
    deepest = above + max(height for _, height in boxes)
    shapes: list[Shape] = []
    x = 0.0
    for photo, (wide, tall) in zip(chosen, boxes, strict=True):
        shapes.append(_picture(photo, (x, deepest - tall), wide, tall))
        if photo.caption:
            said = cut(harmless(photo.caption), size, wide)
            shapes.append(
                Text((x, deepest + size * LEADING), said, size, Role.QUIET, part="caption")
            )
        x += wide + GAP
    return Piece(deepest + below, tuple(shapes))


def fitted(photo: Photo, width: float, height: float) -> tuple[float, float]:
    """The photo's width and height so that it fits into both, in its own proportions."""
    wide, high = max(photo.width_px, 1), max(photo.height_px, 1)
    scale = min(width / wide, height / high)
    # A strip a thousand times as long as it is high is still seen.
    return max(wide * scale, 1.0), max(high * scale, 1.0)


def _picture(photo: Photo, at: tuple[float, float], width: float, height: float) -> Picture:
    words = harmless(photo.caption) or "a photo of the firing"
    return Picture(at, width, height, photo.data, photo.kind, words)
