"""A comparison as a page, a drawing or an image. Draws nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from supervisor.core.compare import Align, Comparison
from supervisor.core.compare.words import sentences
from supervisor.core.errors import InputError
from supervisor.core.watch.wording import Words
from supervisor.picture.compare_drawing import draw_comparison
from supervisor.picture.compare_sheets import comparison_sheets
from supervisor.picture.page import page_of
from supervisor.picture.paper import Paper
from supervisor.picture.pdf import pdf_of
from supervisor.picture.png import png_of
from supervisor.picture.svg import svg_file
from supervisor.whole_file import whole_file

SUFFIXES = (".html", ".pdf", ".svg", ".png")
_ALIGNED = {
    Align.TIME: "from the beginning of the climb",
    Align.TEMPERATURE: "by temperature",
    Align.PEAK: "from the beginning of the hold",
}


def write_comparison(
    path: Path, comparisons: Sequence[Comparison], words: Words, paper: Paper
) -> None:
    """Draw a comparison into ``path``; the file appears whole or not at all.

    ``paper`` is that of a .pdf. Raises InputError for another ending, for a folder that is not
    there, and for a .png or .pdf without its library; PeerError when the disk refuses.
    """
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise InputError(
            "a comparison is drawn as a page (.html), a document (.pdf), a drawing (.svg) or an "
            "image (.png); give the file one of these endings",
            where=str(path),
        )
    title = title_of(comparisons)
    sections = [
        (f"{one.other.name} against {one.reference.name}", sentences(one, words))
        for one in comparisons
    ]
    if suffix == ".html":
        wide = draw_comparison(comparisons, words.unit, 900.0, 13.0, title)
        narrow = draw_comparison(comparisons, words.unit, 360.0, 12.0, title)
        content = page_of(wide, narrow, sections).encode()
    elif suffix == ".pdf":
        sheets = comparison_sheets(comparisons, words.unit, title, sections, paper)
        try:
            content = pdf_of(sheets)
        except InputError as error:
            raise InputError(error.what, where=str(path)) from None
    else:
        lines = [
            line
            for heading, said in sections
            for line in ((f"{heading}:", *said) if len(sections) > 1 else said)
        ]
        scene = draw_comparison(comparisons, words.unit, 900.0, 13.0, title, lines)
        try:
            content = png_of(scene) if suffix == ".png" else svg_file(scene).encode()
        except InputError as error:
            raise InputError(error.what, where=str(path)) from None
    with whole_file(path) as file:
        file.buffer.write(content)


def title_of(comparisons: Sequence[Comparison]) -> str:
    """What is held against what, and how."""
    first = comparisons[0]
    others = ", ".join(one.other.name for one in comparisons)
    return f"{others} against {first.reference.name}, {_ALIGNED[first.align]}"
