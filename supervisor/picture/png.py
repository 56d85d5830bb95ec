"""A drawing as PNG, painted with Pillow, which is loaded only when it is used. Knows no plans.

Shapes are painted at twice the size and reduced, for smooth edges; text is set afterwards at its
final size. A system without fonts (Raspberry Pi OS Lite) gets Pillow's own, which has little more
than ASCII: letters that a font does not have lose their accents, or become a question mark.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, cast

from supervisor.core.errors import InputError
from supervisor.picture.scene import PAPER, STYLES, Anchor, Area, Line, Picture, Point, Scene, Text
from supervisor.picture.spelling import spelt

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw as Brush
    from PIL.ImageFont import FreeTypeFont

SCALE = 2
"""Pixels for each unit of the drawing."""
_SMOOTH = 2
_FONT_FILES = ("DejaVuSans.ttf", "NotoSans-Regular.ttf", "LiberationSans-Regular.ttf")
_ANCHORS = {Anchor.START: "ls", Anchor.MIDDLE: "ms", Anchor.END: "rs"}
_BOLD_STROKE = 0.025
_PLAIN = {"–": "-", "—": "-", "×": "x", "“": '"', "”": '"', "⁄": "/", "…": "..."}
_NOBODY_HAS = "\U0010ffff"


def png_of(scene: Scene) -> bytes:
    """The drawing as the bytes of a PNG file, ``SCALE`` pixels a unit.

    Raises InputError if Pillow is not installed.
    """
    try:
        from PIL import Image, ImageDraw
    except ImportError:
        raise InputError(
            'a .png needs Pillow, which is not installed; `pip install ".[pictures]"` adds it, '
            "and .svg and .html need nothing"
        ) from None
    width, height = (math.ceil(length * SCALE) for length in (scene.width, scene.height))
    large = Image.new("RGB", (width * _SMOOTH, height * _SMOOTH), PAPER.light)
    brush = ImageDraw.Draw(large)
    for shape in scene.shapes:
        if isinstance(shape, Line | Area):
            _paint(brush, shape, SCALE * _SMOOTH)
    image = large.reduce(_SMOOTH)
    brush = ImageDraw.Draw(image)
    for shape in scene.shapes:
        if isinstance(shape, Text):
            _write(brush, shape)
        elif isinstance(shape, Picture):
            _place(image, shape)
    file = io.BytesIO()
    image.save(file, "PNG", optimize=True)
    return file.getvalue()


def _paint(brush: Brush, shape: Line | Area, scale: float) -> None:
    style = STYLES[shape.role]
    points = [(x * scale, y * scale) for x, y in shape.points]
    if isinstance(shape, Area):
        if style.fill is not None:
            brush.polygon(points, fill=style.fill.light)
        points.append(points[0])
    if style.stroke is None:
        return
    width = max(1, round(style.width * scale))
    pieces = [points] if style.dash is None else _dashes(points, style.dash, scale)
    for piece in pieces:
        brush.line(piece, fill=style.stroke.light, width=width, joint="curve")


def _place(image: Image, picture: Picture) -> None:
    from PIL import Image as Images

    size = round(picture.width * SCALE), round(picture.height * SCALE)
    with Images.open(io.BytesIO(picture.data)) as photo:
        image.paste(
            photo.convert("RGB").resize(size),
            (round(picture.at[0] * SCALE), round(picture.at[1] * SCALE)),
        )


def _dashes(
    points: Sequence[Point], dash: tuple[float, float], scale: float
) -> Iterator[list[Point]]:
    """Each straight leg as its dashes; every leg begins with one."""
    drawn, whole = dash[0] * scale, sum(dash) * scale
    for (x1, y1), (x2, y2) in pairwise(points):
        length = math.hypot(x2 - x1, y2 - y1)
        for n in range(math.ceil(length / whole)):
            first, last = n * whole / length, min((n * whole + drawn) / length, 1.0)
            yield [(x1 + part * (x2 - x1), y1 + part * (y2 - y1)) for part in (first, last)]


def _write(brush: Brush, text: Text) -> None:
    size = text.size * SCALE
    font = _font(size)
    fill = STYLES[text.role].fill
    brush.text(
        (text.at[0] * SCALE, text.at[1] * SCALE),
        "".join(_spelt(char, size) for char in text.text),
        font=font,
        fill=None if fill is None else fill.light,
        anchor=_ANCHORS[text.anchor],
        stroke_width=size * _BOLD_STROKE if text.bold else 0.0,
    )


@cache
def _font(size: float) -> FreeTypeFont:
    from PIL import ImageFont

    for name in _FONT_FILES:
        try:
            return ImageFont.truetype(name, size)
        except OSError:
            continue
    return cast("FreeTypeFont", ImageFont.load_default(size))


@cache
def _spelt(char: str, size: float) -> str:
    """``char`` as the font can write it."""
    return spelt(char, lambda c: _has(c, size), _PLAIN)


@cache
def _has(char: str, size: float) -> bool:
    if char.isspace():
        return True
    font = _font(size)
    return bytes(font.getmask(char)) != bytes(font.getmask(_NOBODY_HAS))
