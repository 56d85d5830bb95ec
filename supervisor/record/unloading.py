"""What people add to a firing beside its notes: accounts of it, findings at unloading, photos.

An *account* is text under a topic (what was in the load, which glazes, how it came out); the
latest under its topic counts. A *finding* is a tick at unloading: a key, such as a defect's name,
with a level and perhaps a place in the kiln; the latest word on a key at a place counts, and level
0 takes it back. Both are only ever added, so that nothing which somebody has written is lost.
A *photo* lies in a file (``photos``); here is its row. Knows SQL within somebody else's
transaction; knows nothing of threads, and not what a key means.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason

LONGEST_ACCOUNT = 20_000
"""Characters in an account, at most."""
HIGHEST_LEVEL = 10
MOST_PHOTOS = 200
"""Photos of one firing, at most."""
_KEY = re.compile(r"[a-z0-9][a-z0-9_.-]{0,59}")
_LONGEST_PLACE = 200
_LONGEST_TEXT = 2000


@dataclass(frozen=True, slots=True)
class Account:
    """What a person tells of a firing under a topic; ``label`` is the wall clock's, of when."""

    topic: str
    text: str
    by: str | None = None
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """A tick at unloading: ``level`` of ``key`` at a ``place`` (empty: the whole load)."""

    key: str
    level: int
    place: str = ""
    text: str | None = None
    by: str | None = None
    label: str | None = None


@dataclass(frozen=True, slots=True)
class NewPhoto:
    """A photo whose file is there; ``sha256`` is of the file, in hexadecimal."""

    sha256: str
    kind: str
    bytes: int
    width_px: int
    height_px: int
    caption: str | None = None
    by: str | None = None
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Photo(NewPhoto):
    """A photo that is kept; ``id`` is its number."""

    id: int = 0


_PHOTO_COLUMNS = "sha256, kind, bytes, width_px, height_px, caption, by, label, id"
"""In the order of ``Photo``'s fields."""


def must_be_an_account(new: Account) -> None:
    """Raise InputError for a topic that is none, or an endless text."""
    if _KEY.fullmatch(new.topic) is None:
        raise InputError(f"“{new.topic[:80]}” is no topic: {_KEY_RULE}")
    if len(new.text) > LONGEST_ACCOUNT:
        raise InputError(
            f"the text has {len(new.text):,} characters: at most {LONGEST_ACCOUNT:,} are kept"
        )


_KEY_RULE = "up to 60 small letters, digits, _ . and - are allowed"


def must_be_a_finding(new: Finding) -> None:
    """Raise InputError for a key, a level, a place or a text that does not fit."""
    if _KEY.fullmatch(new.key) is None:
        raise InputError(f"“{new.key[:80]}” is no key of a finding: {_KEY_RULE}")
    if not 0 <= new.level <= HIGHEST_LEVEL:
        raise InputError(
            f"the level of “{new.key}” is {new.level}: 0 (not there) to {HIGHEST_LEVEL} are allowed"
        )
    if len(new.place) > _LONGEST_PLACE or len(new.text or "") > _LONGEST_TEXT:
        raise InputError(
            f"the words at “{new.key}” are too long: at most {_LONGEST_PLACE} characters of a "
            f"place and {_LONGEST_TEXT:,} of text are kept"
        )


def insert_account(
    connection: sqlite3.Connection, firing_n: int, new: Account, client_id: str | None
) -> Account:
    """Write an account; one whose ``client_id`` the firing has already is left as it is."""
    if client_id is not None:
        found = connection.execute(
            "SELECT topic, text, by, label FROM account WHERE firing_n = ? AND client_id = ?",
            (firing_n, client_id),
        ).fetchone()
        if found is not None:
            return Account(*found)
    connection.execute(
        "INSERT INTO account (firing_n, topic, text, by, label, client_id) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        (firing_n, new.topic, new.text, new.by, new.label, client_id),
    )
    return new


def select_accounts(connection: sqlite3.Connection, firing_n: int) -> list[Account]:
    """The latest account under each topic; one that was emptied is left out."""
    rows = connection.execute(
        "SELECT topic, text, by, label FROM account WHERE id IN "
        "(SELECT max(id) FROM account WHERE firing_n = ? GROUP BY topic) "
        "AND text <> '' ORDER BY topic",
        (firing_n,),
    )
    return [Account(*row) for row in rows]


def insert_findings(
    connection: sqlite3.Connection, firing_n: int, findings: Sequence[Finding]
) -> None:
    """Write findings; one that changes nothing is left out."""
    known = {(one.key, one.place): one for one in select_findings(connection, firing_n)}
    for new in findings:
        before = known.get((new.key, new.place))
        level, text = (0, None) if before is None else (before.level, before.text)
        if (level, text) == (new.level, new.text):
            continue
        known[new.key, new.place] = new
        connection.execute(
            "INSERT INTO finding (firing_n, key, place, level, text, by, label) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            (firing_n, new.key, new.place, new.level, new.text, new.by, new.label),
        )


def select_findings(connection: sqlite3.Connection, firing_n: int) -> list[Finding]:
    """What stands of the firing's findings, by key and place."""
    rows = connection.execute(
        "SELECT key, level, place, text, by, label FROM finding WHERE id IN "
        "(SELECT max(id) FROM finding WHERE firing_n = ? GROUP BY key, place) "
        "AND level > 0 ORDER BY key, place",
        (firing_n,),
    )
    return [Finding(*row) for row in rows]


def insert_photo(
    connection: sqlite3.Connection, firing_n: int, new: NewPhoto, client_id: str | None
) -> Photo:
    """Write a photo's row; the same photo, or the same ``client_id``, is not kept twice."""
    for place, value in (("client_id", client_id), ("sha256", new.sha256)):
        found = connection.execute(
            f"SELECT {_PHOTO_COLUMNS} FROM photo "  # noqa: S608 - constant text
            f"WHERE firing_n = ? AND {place} = ? AND is_withdrawn = 0",
            (firing_n, value),
        ).fetchone()
        if found is not None:
            return Photo(*found)
    (count,) = connection.execute(
        "SELECT count(*) FROM photo WHERE firing_n = ? AND is_withdrawn = 0", (firing_n,)
    ).fetchone()
    if count >= MOST_PHOTOS:
        raise InputError(f"the firing has {count} photos already: at most {MOST_PHOTOS} are kept")
    values = (
        new.sha256,
        new.kind,
        new.bytes,
        new.width_px,
        new.height_px,
        new.caption,
        new.by,
        new.label,
    )
    number = connection.execute(
        "INSERT INTO photo (sha256, kind, bytes, width_px, height_px, caption, by, label, "
        "firing_n, client_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (*values, firing_n, client_id),
    ).lastrowid
    return Photo(*values, int(number or 0))


def select_photos(connection: sqlite3.Connection, firing_n: int) -> list[Photo]:
    """The firing's photos in the order in which they came."""
    rows = connection.execute(
        f"SELECT {_PHOTO_COLUMNS} FROM photo WHERE firing_n = ? AND is_withdrawn = 0 ORDER BY id",  # noqa: S608 - constant text
        (firing_n,),
    )
    return [Photo(*row) for row in rows]


def withdraw_photo(connection: sqlite3.Connection, firing_n: int, number: int) -> str | None:
    """Show a photo no longer; its sha256 where no other row has the same file, else None.

    Raises InputError if the firing has no such photo.
    """
    row = connection.execute(
        "SELECT sha256 FROM photo WHERE firing_n = ? AND id = ?", (firing_n, number)
    ).fetchone()
    if row is None:
        raise InputError(f"the firing has no photo {number}").because(
            Reason.NO_PHOTO, number=number
        )
    connection.execute("UPDATE photo SET is_withdrawn = 1 WHERE id = ?", (number,))
    used = connection.execute(
        "SELECT 1 FROM photo WHERE sha256 = ? AND is_withdrawn = 0", row
    ).fetchone()
    return None if used else str(row[0])


def hand_over(connection: sqlite3.Connection, from_n: int, to_n: int) -> None:
    """Give what was told of one firing to another: it was loaded before its log began."""
    for table in ("account", "finding", "photo"):
        connection.execute(
            f"UPDATE {table} SET firing_n = ? WHERE firing_n = ?",  # noqa: S608 - constant text
            (to_n, from_n),
        )
