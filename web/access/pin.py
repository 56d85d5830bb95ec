"""The PIN: which ones are too easy to guess, and what is kept in place of it.

Knows text and hashing; refuses to know files. What is kept is scrypt's output (RFC 7914) with a
salt of its own and the parameters it was made with, so that they may become dearer later.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
import secrets
import unicodedata
from dataclasses import dataclass
from itertools import pairwise

from supervisor.core.errors import InputError

SHORTEST = 6
"""Characters: activation secrets of six digits are what NIST SP 800-63B-4, 3.2.10, recommends."""
LONGEST = 64
_SALT_BYTES = 16
_HASH_BYTES = 32
_MOST_MEMORY = 64 * 1024 * 1024
"""What a stored hash may ask for, bytes: a damaged file must not eat a small machine's memory."""
_VERSION = 1

_COMMON = frozenset(
    {
        *("159753", "147258", "142536", "135790", "246810", "102030", "112233", "123321"),
        *("123654", "159357", "314159", "271828", "696969", "password", "passwort", "qwerty"),
        *("qwertz", "azerty", "letmein", "iloveyou", "spyhole", "pottery", "porcelain"),
        *("stoneware", "ceramics", "keramik", "ceramica", "raspberry"),
    }
)
"""Guessed first (common practice, no source); lower case."""


@dataclass(frozen=True, slots=True)
class Cost:
    """scrypt's parameters: it needs 128 * n * r bytes, and time in proportion to n * r * p."""

    n: int = 2**14
    r: int = 8
    p: int = 5

    @property
    def memory_bytes(self) -> int:
        """What one hash needs while it is made."""
        return 128 * self.r * (self.n + self.p)


COST = Cost()
"""The row of OWASP's Password Storage Cheat Sheet with 16 MiB, which a machine of 512 MB can
spare: 0.2 s of one core of a PC (`python -m tests.bench_access`)."""


def cleaned(text: str) -> str:
    """The PIN that is meant, however a keyboard composes its letters."""
    return unicodedata.normalize("NFKC", text).strip()


def why_weak(text: str) -> str | None:
    """Why this is no good PIN, in one sentence; None: it will do.

    >>> why_weak("4711")
    'a PIN has at least 6 characters: this one has 4'
    >>> why_weak("123456")
    'that PIN is guessed at once, because it only counts up or down: choose another'
    >>> why_weak("581093") is None
    True
    """
    pin = cleaned(text)
    if len(pin) < SHORTEST:
        return f"a PIN has at least {SHORTEST} characters: this one has {len(pin)}"
    if len(pin) > LONGEST:
        return f"a PIN has at most {LONGEST} characters: this one has {len(pin)}"
    if not pin.isprintable():
        return "that PIN has characters in it that can't be shown: give digits or plain text"
    steps = {ord(later) - ord(earlier) for earlier, later in pairwise(pin)}
    if len(set(pin)) < 3:
        return "that PIN is guessed at once, because it has hardly two characters: choose another"
    if steps in ({1}, {-1}) or pin in "1234567890" or pin in "0987654321":
        return "that PIN is guessed at once, because it only counts up or down: choose another"
    if any(_repeats(pin, length) for length in range(1, len(pin) // 2 + 1)):
        return "that PIN is guessed at once, because it only repeats itself: choose another"
    if pin.lower() in _COMMON:
        return "that PIN is one of those that are tried first: choose another"
    return None


def _repeats(pin: str, length: int) -> bool:
    return pin == (pin[:length] * len(pin))[: len(pin)] and len(pin) % length == 0


def must_be_strong(text: str) -> str:
    """The PIN, cleaned; raises InputError for a weak one."""
    why = why_weak(text)
    if why is not None:
        raise InputError(why)
    return cleaned(text)


@dataclass(frozen=True, slots=True)
class PinHash:
    """What is kept of a PIN. ``is_digits`` lets the page offer a keypad."""

    salt: bytes
    digest: bytes
    cost: Cost = COST
    is_digits: bool = True

    @property
    def mark(self) -> str:
        """Tells this PIN from the one before or after it; says nothing of either."""
        return hashlib.sha256(b"spyhole" + self.salt + self.digest).hexdigest()

    def fits(self, text: str) -> bool:
        """Whether this is the PIN. Takes as long as the cost says, right or wrong."""
        if len(text) > 4 * LONGEST:
            return False
        return hmac.compare_digest(_scrypt(cleaned(text), self.salt, self.cost), self.digest)

    def to_json(self) -> str:
        """The text of the file that keeps it."""
        return json.dumps(
            {
                "about": "spyhole's PIN, hashed; `spyhole pin` changes it. Keep it to yourself.",
                "version": _VERSION,
                "scheme": "scrypt",
                "n": self.cost.n,
                "r": self.cost.r,
                "p": self.cost.p,
                "salt": base64.b64encode(self.salt).decode(),
                "hash": base64.b64encode(self.digest).decode(),
                "digits": self.is_digits,
            },
            indent=1,
        )


def hashed(text: str, cost: Cost = COST) -> PinHash:
    """What is to be kept of a PIN; raises InputError for a weak one."""
    pin = must_be_strong(text)
    salt = secrets.token_bytes(_SALT_BYTES)
    return PinHash(salt, _scrypt(pin, salt, cost), cost, pin.isascii() and pin.isdigit())


def from_json(text: str) -> PinHash:
    """What ``PinHash.to_json`` wrote; raises ValueError for anything else."""
    try:
        kept = json.loads(text)
        if (kept["version"], kept["scheme"]) != (_VERSION, "scrypt"):
            raise ValueError("another version or scheme")
        cost = Cost(int(kept["n"]), int(kept["r"]), int(kept["p"]))
        salt = base64.b64decode(kept["salt"], validate=True)
        digest = base64.b64decode(kept["hash"], validate=True)
        is_digits = bool(kept["digits"])
    except (KeyError, TypeError, RecursionError, binascii.Error) as error:
        raise ValueError(f"not a kept PIN ({type(error).__name__})") from None
    is_power = cost.n > 1 and cost.n & (cost.n - 1) == 0
    is_modest = cost.r > 0 and 0 < cost.p <= 64 and cost.memory_bytes <= _MOST_MEMORY
    if not (is_power and is_modest and len(digest) == _HASH_BYTES and len(salt) >= _SALT_BYTES):
        raise ValueError("its figures can't be those of a kept PIN")
    return PinHash(salt, digest, cost, is_digits)


def _scrypt(pin: str, salt: bytes, cost: Cost) -> bytes:
    return hashlib.scrypt(
        pin.encode("utf-8", "surrogatepass"),
        salt=salt,
        n=cost.n,
        r=cost.r,
        p=cost.p,
        # OpenSSL counts some bytes more than the algorithm's own.
        maxmem=cost.memory_bytes + 1024 * 1024,
        dklen=_HASH_BYTES,
    )
