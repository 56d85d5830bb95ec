"""The MQTT topics of a kiln.

Knows names only. Every topic lies under ``spyhole/<kiln>/``, and spyhole only ever publishes.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from hashlib import sha256

from supervisor.core.errors import InputError

PREFIX = "spyhole"
ONLINE = "online"
OFFLINE = "offline"
"""What ``availability`` says; the last will says this one."""

LONGEST_SLUG = 48
_MARK = 6
"""Hexadecimal digits that tell apart two names whose letters and digits are the same."""


@dataclass(frozen=True, slots=True)
class Topics:
    """The four topics of one kiln."""

    availability: str
    """Retained; ``online`` or ``offline``, the latter also by the last will."""
    status: str
    """Retained JSON, at every change and at least each minute."""
    readings: str
    """JSON at QoS 0, as they come; missed by whoever is away."""
    alerts: str
    """JSON at QoS 1, in order, at least once; ``id`` lets a receiver drop a repeat."""


def topics_of(kiln: str) -> Topics:
    """The topics of a kiln. Raises InputError if its name has nothing to make a topic of."""
    return topics_under(slug(kiln))


def topics_under(name: str) -> Topics:
    """The topics of the kiln that goes by this name at the broker."""
    base = f"{PREFIX}/{name}"
    return Topics(f"{base}/availability", f"{base}/status", f"{base}/readings", f"{base}/alerts")


def slug(kiln: str) -> str:
    """The kiln's name in topics: lower-case letters without accents, digits and dashes.

    Nothing that means something to MQTT (``/``, ``+``, ``#``, ``$``) is left. A name of which
    more is lost than capitals and spaces gets a mark made from it, so that "Ofen 1/2" is not
    taken for "Ofen 1-2". Raises InputError if nothing is left at all.

    >>> slug("Big Bertha"), slug("Big Bertha (Öl) #2")
    ('big-bertha', 'big-bertha-ol-2-c18e72')
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", kiln).casefold())
    # Twice, because some letters have a small form only once they are taken apart.
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", kiln).casefold())
    bare = "".join(letter for letter in plain if not unicodedata.combining(letter))
    letters = unicodedata.normalize("NFC", bare)
    # Letters of any script stay: a studio may well write its name in its own.
    made = re.sub(r"[\W_]+", "-", letters).strip("-")
    if not made:
        raise InputError(f'the kiln\'s name "{kiln}" needs at least one letter or digit')
    if made == "-".join(folded.split()) and len(made) <= LONGEST_SLUG:
        return made
    mark = sha256(" ".join(folded.split()).encode("utf-8", "surrogatepass")).hexdigest()[:_MARK]
    return f"{made[: LONGEST_SLUG - _MARK - 1].rstrip('-')}-{mark}"
