"""What the page may ask of a firing's report: the narrow way to it, and its choices.

Knows how a report is asked for and how it comes. Nothing of it is written anywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from pydantic import Field

from supervisor.core.units import Unit
from web.wire import Wire


class Form(StrEnum):
    """As what a report comes."""

    HTML = "html"
    PDF = "pdf"


class Sheet(StrEnum):
    """Where it is to hang or to lie, as in ``spyhole report``."""

    WALL = "wall"
    BINDER = "binder"


class Paper(StrEnum):
    """A size of paper, as in ``spyhole report``."""

    A4 = "a4"
    LETTER = "letter"


class ReportQuery(Wire):
    """How the report is wanted: the choices of `spyhole report`."""

    sheet: Sheet = Field(
        default=Sheet.BINDER, description="wall: the most important on one sheet; binder: all."
    )
    units: Unit | None = Field(default=None, description="Scale; left out: the firing's own.")
    paper: Paper | None = Field(
        default=None, description="Size of its sheets; left out: letter for °F, else a4."
    )


@dataclass(frozen=True, slots=True)
class PressedReport:
    """A report compressed with gzip; ``style`` is the hash of a page's own style, as a content
    security policy names it, None for what has none."""

    data: bytes
    style: str | None


class ReportPress(Protocol):
    """Where reports are made. Called from the page's event loop; takes seconds."""

    async def report(self, firing_id: str, form: Form, query: ReportQuery) -> PressedReport:
        """The report of a firing.

        Raises NoSuchFiringError, RecordError where the record can't be read, PeerError where it
        can't be made: a library is missing, too many are asked for, it takes too long.
        """
        ...
