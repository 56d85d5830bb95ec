"""What has to be remembered of a broker from one run to the next.

Two things: the name under which this kiln goes where another has its own already, and the
retained messages of ours that a hub would keep showing for ever. One small file beside the
record; it can be deleted, and costs no more than that these two are found out anew.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from supervisor.core.errors import SpyholeError
from supervisor.whole_file import whole_file

FILE_NAME = "broker.json"


class Memory:
    """Remembers in ``file``; in this run only where there is none, or the disk refuses."""

    def __init__(self, file: Path | None = None) -> None:
        self._file = file
        self._suffixes: dict[str, str] = {}
        self._retained: dict[str, list[str]] = {}
        self._read()

    def suffix(self, name: str) -> str | None:
        """What is put behind this name, because the name itself is another's."""
        return self._suffixes.get(name)

    def keep_suffix(self, name: str, suffix: str) -> None:
        """From now on this is put behind the name."""
        if self._suffixes.get(name) != suffix:
            self._suffixes[name] = suffix
            self._write()

    def retained(self, broker: str) -> frozenset[str]:
        """Topics on which this broker may keep a message of ours for hubs."""
        return frozenset(self._retained.get(broker, ()))

    def keep_retained(self, broker: str, topics: Iterable[str]) -> None:
        """These are the topics now."""
        now = sorted(topics)
        if self._retained.get(broker, []) != now:
            self._retained[broker] = now
            self._write()

    def _read(self) -> None:
        if self._file is None:
            return
        try:
            kept = json.loads(self._file.read_text(encoding="utf-8"))
            self._suffixes = {_text(name): _text(s) for name, s in kept["suffixes"].items()}
            self._retained = {
                _text(broker): [_text(topic) for topic in topics]
                for broker, topics in kept["retained"].items()
            }
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            self._suffixes, self._retained = {}, {}

    def _write(self) -> None:
        if self._file is None:
            return
        kept = {"suffixes": self._suffixes, "retained": self._retained}
        try:
            with whole_file(self._file) as file:
                json.dump(kept, file, ensure_ascii=False, indent=1)
                file.write("\n")
        except (SpyholeError, UnicodeError):
            """The record says loudly that the disk refuses; this can be found out anew."""


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value
