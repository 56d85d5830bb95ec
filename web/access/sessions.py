"""Who is signed in, for how long, and from which addresses anybody ever was.

Knows tokens as their hashes only, names, and seconds that its caller tells. Refuses to know
cookies and files: ``to_json`` is what outlives a restart, and who keeps it is the caller's
business. All of it belongs to one PIN: with another PIN nobody is signed in any more.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

from web.access.attempts import place_of

LIFE_S = 30 * 24 * 3600.0
"""Seconds that a session lasts."""
MOST_SESSIONS = 50
"""More than a studio has phones; the oldest ends when another begins."""
MOST_PLACES = 50
"""Addresses that are remembered as those of people who knew the PIN."""
_TOKEN_BYTES = 32
_VERSION = 1


@dataclass(slots=True)
class Session:
    """A person who gave the PIN: the name that they gave, and when on the steady clock."""

    name: str
    began_s: float


def hash_of(token: str) -> str:
    """What is kept of a token. It is random, so a quick hash can't be guessed back."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


class Sessions:
    """The sessions under one PIN. ``now_s`` is always a clock that never jumps."""

    def __init__(self, pin_mark: str) -> None:
        self._pin_mark = pin_mark
        self._by_hash: OrderedDict[str, Session] = OrderedDict()
        self._places: OrderedDict[str, None] = OrderedDict()

    @property
    def pin_mark(self) -> str:
        """Which PIN they belong to."""
        return self._pin_mark

    def __len__(self) -> int:
        """How many there are, ended ones perhaps among them."""
        return len(self._by_hash)

    def begin(self, name: str, address: str, now_s: float) -> str:
        """A new session; its token, which is told to nobody but the browser."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        while len(self._by_hash) >= MOST_SESSIONS:
            self._by_hash.popitem(last=False)
        self._by_hash[hash_of(token)] = Session(name, now_s)
        place = place_of(address)
        self._places.pop(place, None)
        while len(self._places) >= MOST_PLACES:
            self._places.popitem(last=False)
        self._places[place] = None
        return token

    def find(self, token: str, now_s: float) -> Session | None:
        """The session of a token; None where there is none, or no longer."""
        key = hash_of(token)
        session = self._by_hash.get(key)
        if session is not None and now_s - session.began_s >= LIFE_S:
            del self._by_hash[key]
            return None
        return session

    def is_known(self, address: str) -> bool:
        """Whether somebody has signed in from there."""
        return place_of(address) in self._places

    def end(self, token: str) -> None:
        """Sign out; once more changes nothing."""
        self._by_hash.pop(hash_of(token), None)

    def end_all(self) -> None:
        """Sign out everywhere. Addresses stay known: whoever was there did know the PIN."""
        self._by_hash.clear()

    def to_json(self, now_s: float, wall_s: float) -> str:
        """What outlives a restart; ``wall_s`` is the wall clock, seconds since 1970."""
        return json.dumps(
            {
                "version": _VERSION,
                "pin": self._pin_mark,
                "written_s": wall_s,
                "sessions": [
                    {"hash": key, "name": session.name, "age_s": now_s - session.began_s}
                    for key, session in self._by_hash.items()
                    if now_s - session.began_s < LIFE_S
                ],
                "places": list(self._places),
            }
        )

    @classmethod
    def from_json(cls, text: str, pin_mark: str, now_s: float, wall_s: float) -> Sessions:
        """What ``to_json`` wrote, under the same PIN; else nobody.

        How long it lay there only the wall clock can tell; one that was set back meanwhile tells
        nothing, and counts as no time. Raises ValueError for what can't be read.
        """
        sessions = cls(pin_mark)
        try:
            kept: dict[str, Any] = json.loads(text)
            if kept["version"] != _VERSION or kept["pin"] != pin_mark:
                return sessions
            lay_s = max(0.0, wall_s - float(kept["written_s"]))
            for row in kept["sessions"][-MOST_SESSIONS:]:
                age_s = float(row["age_s"]) + lay_s
                if 0.0 <= age_s < LIFE_S:
                    sessions._by_hash[str(row["hash"])] = Session(str(row["name"]), now_s - age_s)
            for place in kept["places"][-MOST_PLACES:]:
                sessions._places[str(place)] = None
        except (KeyError, TypeError, AttributeError, RecursionError) as error:
            raise ValueError(f"no list of sessions ({type(error).__name__})") from None
        return sessions
