"""What access asks of the service: the PIN's hash, a place for sessions, and the audit trail.

Knows shapes only. Files and the record are behind it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from web.access.pin import PinHash


class UnreadablePinError(Exception):
    """There is a PIN, but what is kept of it can't be read; ``str`` is a sentence."""


class Keys(Protocol):
    """What is kept of the PIN and of who is signed in."""

    def pin(self) -> PinHash | None:
        """The PIN's hash as it is now, None without one; answers at once.

        Raises UnreadablePinError: then nobody is let in, whoever asks.
        """
        ...

    def how_to_set(self) -> str:
        """The command with which the owner sets a PIN."""
        ...

    def load_sessions(self) -> str | None:
        """What ``save_sessions`` was given last; None where there is nothing."""
        ...

    def save_sessions(self, text: str) -> None:
        """Keep it through a restart. Called from a thread; raises OSError."""
        ...


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that a person did: ``what`` is one word, ``detail`` says to which."""

    what: str
    who: str | None
    address: str
    detail: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class KeptDeed:
    """A deed of the record, with its number, the wall clock's label and the firing of then."""

    number: int
    time: str
    firing: str | None
    deed: Deed


class Trail(Protocol):
    """Who wrote what, kept in the record."""

    async def add(self, deed: Deed) -> None:
        """Keep it; returns when it is on disk, however long that takes. Raises RecordError."""
        ...

    async def latest(self, limit: int) -> list[KeptDeed]:
        """The latest deeds, newest first. Raises RecordError."""
        ...


class NoKeys:
    """Without a PIN and with nowhere to keep anything: for a page that only this machine sees."""

    def pin(self) -> PinHash | None:
        return None

    def how_to_set(self) -> str:
        return "spyhole pin"

    def load_sessions(self) -> str | None:
        return None

    def save_sessions(self, text: str) -> None:
        """Nowhere."""


class NoTrail:
    """Keeps nothing."""

    async def add(self, deed: Deed) -> None:
        """Nowhere."""

    async def latest(self, limit: int) -> list[KeptDeed]:  # noqa: ARG002
        return []
