"""What every reader of a person's TOML file needs: known keys, choices, mistakes with their line.

Knows the text and its place; what the keys mean is for the readers that derive from this.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any, TypeVar

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason
from supervisor.core.toml_places import Path, line_of, shown

_Choice = TypeVar("_Choice", bound=StrEnum)


class MistakeError(InputError):
    """A value that does not fit; ``path`` leads to it, or to the table that lacks it."""

    def __init__(self, what: str, *, where: str | None = None, path: Path = ()) -> None:
        self.path = path
        super().__init__(what, where=where)


class TomlReader:
    """Reads ``text``; ``where`` is the file's name for messages."""

    def __init__(self, text: str, where: str) -> None:
        self._text_read = text
        self._where = where

    def _only_known(
        self, table: dict[str, Any], known: tuple[str, ...], path: Path, what: str
    ) -> None:
        for key in table:
            if key not in known:
                raise self._error(
                    f"unknown key {shown(key)} in {what}; allowed are {', '.join(known)}",
                    (*path, key),
                ).because(Reason.UNKNOWN_KEY, key=shown(key), allowed=", ".join(known))

    def _choice(
        self, table: dict[str, Any], key: str, choices: type[_Choice], default: _Choice, path: Path
    ) -> _Choice:
        if key not in table:
            return default
        value = table[key]
        names = [choice.value for choice in choices]
        if not isinstance(value, str) or value not in names:
            allowed = ", ".join(f'"{name}"' for name in names)
            raise self._error(
                f"{key} = {shown(value)} is not allowed; give one of {allowed}", (*path, key)
            ).because(Reason.NOT_AMONG, value=shown(value), allowed=allowed)
        return choices(value)

    def _at(self, path: Path) -> str:
        line = line_of(self._text_read, path)
        return f"{self._where}, line {line}" if line else self._where

    def _error(self, what: str, path: Path) -> MistakeError:
        return MistakeError(what, where=self._at(path), path=path)
