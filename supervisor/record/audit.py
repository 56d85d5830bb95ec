"""Who wrote what on the page: the trail, of which nothing is ever changed.

Knows rows and their number; what a deed means is the page's business.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field

from supervisor.record.rows import to_json

MOST_KEPT = 20_000
"""Deeds kept, about 3 MB: many years of firings. Of more the oldest go, so that wrong PINs, which
anybody in the network can try, fill no card."""


@dataclass(frozen=True, slots=True)
class NewDeed:
    """What a person did, from where (an address, or "terminal"), by the wall clock's label.

    ``firing`` is the id of the firing that went on then.
    """

    time: str
    what: str
    who: str | None
    address: str
    detail: Mapping[str, str] = field(default_factory=dict)
    firing: str | None = None


@dataclass(frozen=True, slots=True)
class KeptDeed:
    """A deed with its number, which grows with each."""

    number: int
    deed: NewDeed


def insert_deed(connection: sqlite3.Connection, deed: NewDeed) -> None:
    """Add it to the trail, and let go of what is older than the trail is long."""
    added = connection.execute(
        "INSERT INTO audit (time, what, who, address, detail, firing) VALUES (?, ?, ?, ?, ?, ?)",
        (deed.time, deed.what, deed.who, deed.address, to_json(dict(deed.detail)), deed.firing),
    )
    connection.execute("DELETE FROM audit WHERE id <= ?", ((added.lastrowid or 0) - MOST_KEPT,))


def select_deeds(connection: sqlite3.Connection, limit: int) -> list[KeptDeed]:
    """The latest deeds, newest first."""
    rows = connection.execute(
        "SELECT id, time, what, who, address, detail, firing FROM audit ORDER BY id DESC LIMIT ?",
        (limit,),
    )
    return [
        KeptDeed(number, NewDeed(time, what, who, address, json.loads(detail), firing))
        for number, time, what, who, address, detail, firing in rows
    ]
