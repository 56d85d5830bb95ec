"""What a report is made of: sections of sentences and tables. Knows no firing and no paper."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table; ``is_figure`` sets its cells to the right."""

    head: str
    is_figure: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under heads. ``left_out`` says how many more rows a longer report has."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences, each on a line of its own; ``is_quiet`` for what stands in small print."""

    lines: tuple[str, ...]
    is_quiet: bool = False


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture of the ware: the bytes of its file (``kind`` is jpeg, png or webp), its size in
    pixels and what was written below it. Without bytes, ``lacks`` says why it can't be shown."""

    data: bytes
    kind: str
    width_px: int
    height_px: int
    caption: str = ""
    lacks: str = ""


@dataclass(frozen=True, slots=True)
class Photos:
    """Pictures with what is written below each; all of them have bytes."""

    photos: tuple[Photo, ...]


Block = Table | Lines | Photos


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what stands below it; ``key`` names it for whoever chooses among them."""

    key: str
    heading: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report. ``about`` says which firing it is, ``short`` what came of it; ``foot``
    stands at the end of every sheet. ``wall`` are the sections for one sheet on a wall, the most
    important first."""

    title: str
    about: tuple[str, ...]
    short: tuple[str, ...]
    sections: tuple[Section, ...]
    wall: tuple[Section, ...]
    foot: str

    def section(self, key: str) -> Section | None:
        """The section of that key, None where the firing has nothing to say there."""
        return next((one for one in self.sections if one.key == key), None)
