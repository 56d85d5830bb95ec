"""A letter as a font can write it: itself, something plainer, or a question mark."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping


def spelt(char: str, has: Callable[[str], bool], plainer: Mapping[str, str]) -> str:
    """``char``, where the font ``has`` it; else as in ``plainer``, or without its accents.

    A mark of its own that the font does not have is left out; what can't be written is "?".
    """
    if has(char):
        return char
    plain = plainer.get(char)
    if plain is None:
        split = unicodedata.normalize("NFKD", char)
        plain = "".join(plainer.get(c, c) for c in split if not unicodedata.combining(c))
    if not plain and (unicodedata.combining(char) or unicodedata.category(char) == "Cf"):
        return ""
    return plain if plain and all(has(c) for c in plain) else "?"
