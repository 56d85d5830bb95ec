"""Text as it can be set: made harmless, measured, broken and cut. Knows no font.

A drawing is shown with whatever font the reader has, so widths are those of a wide one
(measured from DejaVu Sans): what fits by this estimate fits in the usual fonts.
"""

from __future__ import annotations

import unicodedata
from itertools import pairwise

_NARROW = frozenset("ijlI.,:;'|!()[]{}ftr/ ·°-“”\"")
_BROAD = frozenset("mwMW%@—…")
_NARROW_EM, _USUAL_EM, _CAPITAL_EM, _BROAD_EM, _WHOLE_EM = 0.40, 0.62, 0.74, 0.98, 1.25
_MARK_EM = 0.05
_BOLD = 1.12
_BIDI_CONTROLS = frozenset(
    "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
"""They could turn round what stands beside a stranger's text."""


def harmless(text: str) -> str:
    """``text`` on one line, without what XML 1.0 or HTML forbids and without control characters.

    >>> harmless(" two\\nlines\\x00\\ufffe and \\u202ea turn ")
    'two lines and a turn'
    """
    kept = []
    for char in text:
        if unicodedata.category(char) in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif char not in _BIDI_CONTROLS and not _is_no_character(char):
            kept.append(char)
    return " ".join("".join(kept).split())


def _is_no_character(char: str) -> bool:
    """True for surrogates and the code points that Unicode sets aside for ever."""
    code = ord(char)
    return 0xD800 <= code <= 0xDFFF or 0xFDD0 <= code <= 0xFDEF or code & 0xFFFE == 0xFFFE


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide ``text`` is at most, in the units of ``size``."""
    return sum(map(_em, text)) * size * (_BOLD if bold else 1.0)


def _em(char: str) -> float:
    if char in _NARROW:
        return _NARROW_EM
    if char in _BROAD:
        return _BROAD_EM
    if char.isascii():
        return _CAPITAL_EM if char.isupper() else _USUAL_EM
    if unicodedata.combining(char) or unicodedata.category(char) in ("Cf", "Mn", "Me"):
        return _MARK_EM
    if unicodedata.east_asian_width(char) in "WF" or ord(char) >= 0x10000:
        return _WHOLE_EM
    return _BROAD_EM if char.isupper() else _CAPITAL_EM


def cut(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """``text``, shortened with an ellipsis until it is no wider than ``width``."""
    if width_of(text, size, bold=bold) <= width:
        return text
    kept = text
    while kept and width_of(f"{kept}…", size, bold=bold) > width:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def broken(text: str, size: float, width: float, most: int, *, bold: bool = False) -> list[str]:
    """``text`` in up to ``most`` lines, the last one cut where there is more to say."""
    words = text.split(" ")
    ends = [0]
    while ends[-1] < len(words) and len(ends) < most:
        end = ends[-1] + 1
        while (
            end < len(words)
            and width_of(" ".join(words[ends[-1] : end + 1]), size, bold=bold) <= width
        ):
            end += 1
        ends.append(end)
    if ends[-1] < len(words):
        ends.append(len(words))
    return [cut(" ".join(words[a:b]), size, width, bold=bold) for a, b in pairwise(ends)]
