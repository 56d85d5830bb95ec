"""The languages that a reader may choose. Knows no words."""

from __future__ import annotations

from enum import StrEnum


class Language(StrEnum):
    """A language that people read."""

    EN = "en"
    DE = "de"
