"""Drawings as the pages of a PDF, written with ReportLab, which is loaded only when it is used.

A drawing's unit is a point. Fonts are those of the system where there are any, else ReportLab's
own; letters that the font does not have lose their accents, or become a question mark. The same
drawings give the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from supervisor.core.errors import InputError
from supervisor.picture.scene import STYLES, Anchor, Area, Line, Picture, Scene, Text, Tone
from supervisor.picture.spelling import spelt

_FONTS = (
    ("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "DejaVuSans-Bold.ttf"),
    ("/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf", "LiberationSans-Bold.ttf"),
)
_OWN = ("Vera.ttf", "VeraBd.ttf")
_PLAIN = {
    "–": "-",
    "—": "-",
    "−": "-",
    "×": "x",
    "“": '"',
    "”": '"',
    "…": "...",
    "‘": "'",
    "’": "'",
}


def pdf_of(scenes: Sequence[Scene]) -> bytes:
    """A document with a page for each drawing.

    Raises InputError if ReportLab is not installed.
    """
    try:
        from reportlab.pdfgen.canvas import Canvas
    except ImportError:
        raise InputError(
            'a .pdf needs ReportLab, which is not installed; `pip install ".[pdf]"` adds it, and '
            ".html needs nothing and prints as well"
        ) from None
    regular, bold = _fonts()
    file = io.BytesIO()
    canvas = Canvas(file, pageCompression=1, invariant=1, lang="en")
    canvas.setTitle(scenes[0].title)
    canvas.setSubject(scenes[0].description[:1000])
    canvas.setCreator("spyhole")
    for scene in scenes:
        canvas.setPageSize((scene.width, scene.height))
        canvas.setLineJoin(1)
        for shape in scene.shapes:
            if isinstance(shape, Text):
                _write(canvas, shape, bold if shape.bold else regular, scene.height)
            elif isinstance(shape, Picture):
                _place(canvas, shape, scene.height)
            else:
                _paint(canvas, shape, scene.height)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _paint(canvas: Any, shape: Line | Area, height: float) -> None:
    style = STYLES[shape.role]
    path = canvas.beginPath()
    (x, y), *further = shape.points
    path.moveTo(x, height - y)
    for x, y in further:
        path.lineTo(x, height - y)
    is_filled = isinstance(shape, Area) and style.fill is not None
    if isinstance(shape, Area):
        path.close()
    if style.fill is not None:
        canvas.setFillColorRGB(*_rgb(style.fill))
    if style.stroke is not None:
        canvas.setStrokeColorRGB(*_rgb(style.stroke))
        canvas.setLineWidth(style.width)
        canvas.setDash(*((list(style.dash),) if style.dash else ()))
    canvas.drawPath(path, stroke=int(style.stroke is not None), fill=int(is_filled))


def _place(canvas: Any, picture: Picture, height: float) -> None:
    """A JPEG goes into the document as it is."""
    from reportlab.lib.utils import ImageReader

    x, y = picture.at
    image = ImageReader(io.BytesIO(picture.data))
    canvas.drawImage(image, x, height - y - picture.height, picture.width, picture.height)


def _write(canvas: Any, text: Text, font: str, height: float) -> None:
    fill = STYLES[text.role].fill
    if fill is not None:
        canvas.setFillColorRGB(*_rgb(fill))
    canvas.setFont(font, text.size)
    said = "".join(_spelt(char, font) for char in text.text)
    draw = {
        Anchor.START: canvas.drawString,
        Anchor.MIDDLE: canvas.drawCentredString,
        Anchor.END: canvas.drawRightString,
    }[text.anchor]
    draw(text.at[0], height - text.at[1], said)


def _rgb(tone: Tone) -> tuple[float, float, float]:
    red, green, blue = (int(tone.light[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    return red, green, blue


def _fonts() -> tuple[str, str]:
    """The names of the plain and the bold font, registered."""
    import reportlab
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    if {"spyhole", "spyhole-bold"} <= set(pdfmetrics.getRegisteredFontNames()):
        return "spyhole", "spyhole-bold"
    own = Path(reportlab.__file__).parent / "fonts"
    pairs = [(Path(plain), Path(plain).with_name(bold)) for plain, bold in _FONTS]
    for plain, bold in (*pairs, (own / _OWN[0], own / _OWN[1])):
        try:
            for name, path in (("spyhole", plain), ("spyhole-bold", bold)):
                pdfmetrics.registerFont(TTFont(name, str(path)))
        except (TTFError, OSError):
            continue
        return "spyhole", "spyhole-bold"
    return "Helvetica", "Helvetica-Bold"


@cache
def _spelt(char: str, font: str) -> str:
    """``char`` as the font can write it."""
    return spelt(char, lambda c: _has(c, font), _PLAIN)


def _has(char: str, font: str) -> bool:
    from reportlab.pdfbase import pdfmetrics

    face = pdfmetrics.getFont(font).face
    glyphs = getattr(face, "charToGlyph", None)
    if glyphs is None:
        return char.isascii() or char in "°×–—“”‘’…"
    return char.isspace() or ord(char) in glyphs
