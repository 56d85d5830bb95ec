"""Text as it can be set: made harmless, measured, broken and cut. Knows no font.

A drawing is shown with whatever font the reader has, so widths are those of a wide one
(measured from DejaVu Sans): what fits by this estimate fits in the usual fonts.
"""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise

_NARROW = frozenset("ijlI.,:;'|!()[]ftr/ ·-")
_BROAD = frozenset("mwMW%@—…")
_SIGNS = frozenset("+−<=>±≈×~^#&")
_NARROW_EM, _USUAL_EM, _CAPITAL_EM, _BROAD_EM, _WHOLE_EM = 0.41, 0.635, 0.77, 0.99, 1.25
_SIGN_EM, _QUOTES = 0.84, frozenset("°“”„‘’")
_MARK_EM = 0.05
_BOLD = 1.12
_TOGETHER = re.compile(r"(?<=\d) (?=°[CF]|h\b|hours?\b|min\b|minutes?\b|%)|(?<=cone) (?=\d)")
"""Spaces at which no line is broken: a number stays with its unit."""
_HARD_SPACE = "\N{NO-BREAK SPACE}"
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
    if char in _SIGNS:
        return _SIGN_EM
    if char in _QUOTES:
        return _USUAL_EM
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


def folded(text: str, size: float, width: float, *, bold: bool = False) -> list[str]:
    """``text`` in as many lines as it needs; a word that is too long for one is taken apart.

    >>> folded("a little text", 10.0, 45.0)
    ['a little', 'text']
    >>> folded("aaaaaaaaaaaa", 10.0, 45.0)
    ['aaaaaaa', 'aaaaa']
    """
    lines = [""]
    for word in _TOGETHER.sub(_HARD_SPACE, text).split(" "):
        word = word.replace(_HARD_SPACE, " ")
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width_of(longer, size, bold=bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for char in word:
            if lines[-1] and width_of(lines[-1] + char, size, bold=bold) > width:
                lines.append("")
            lines[-1] += char
    return lines
