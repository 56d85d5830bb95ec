"""Where in a TOML text a value stands, so that a mistake can be named with its line.

Knows TOML's text only, through the standard parser; knows nothing of what the keys mean.
"""

from __future__ import annotations

import tomllib
from typing import Any

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason

Path = tuple[str | int, ...]


def parse_toml(text: str, where: str) -> dict[str, Any]:
    """The parsed document; raises InputError with the line of a syntax error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what, at = _syntax_mistake(str(error), text)
        raise InputError(what, where=f"{where}, {at}").because(Reason.NO_TOML) from None
    except (RecursionError, ValueError):
        # The parser's own limits: nesting, or a number of thousands of digits.
        raise InputError("a value is nested too deeply or too long", where=where) from None


def line_of(text: str, path: Path) -> int | None:
    """The line (from 1) that brings the value at ``path`` into being; None if it is not there.

    Found with the parser itself: the first prefix of the text that parses and holds the path
    ends on that line. Only lines that mention the path's last name are worth trying.

    >>> line_of('[[step]]\\nto = 1\\n[[step]]\\nto = 2', ("step", 1, "to"))
    4
    """
    names = [part for part in path if isinstance(part, str)]
    if not names:
        return None
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        if names[-1] not in line:
            continue
        try:
            found: Any = tomllib.loads("\n".join(lines[:number]))
        except (tomllib.TOMLDecodeError, RecursionError, ValueError):
            continue
        for part in path:
            try:
                found = found[part]
            except (KeyError, IndexError, TypeError):
                break
        else:
            return number
    return None


def shown(value: object) -> str:
    """A value as the person wrote it, roughly, and never long.

    >>> shown("half"), shown(-3), shown(True), shown("x" * 50)
    ('"half"', '-3', 'true', '"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...')
    """
    if isinstance(value, bool):
        return str(value).lower()
    try:
        text = f'"{value}"' if isinstance(value, str) else str(value)
    except ValueError:  # an integer of thousands of digits
        text = "a very long number"
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 40 else text[:37] + "..."


def _syntax_mistake(message: str, text: str) -> tuple[str, str]:
    """tomllib's own words ("... (at line 3, column 5)") as what is wrong, and where."""
    what, _, at = message.partition(" (at ")
    at = at.rstrip(")")
    if at == "end of document" or not at:
        at = f"line {text.count(chr(10)) + 1}"
    return f"this is not valid TOML ({what[:1].lower()}{what[1:]})", at
