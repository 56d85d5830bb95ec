"""The name under which a kiln goes at the broker, and what happens when two want the same.

Nothing is asked of the broker for it. Of two connections under one client id a broker keeps the
later (MQTT 5, section 3.1.4), and it tells whoever comes that there was another a moment ago.
So the client id is made of the kiln's name, and that is the claim to it: whoever comes and
hears that the name is in use listens first and says nothing. The owner, cut off by that, is back
within a second and cuts the newcomer off, who now knows, and goes on under the name with
something behind it, which is remembered. Ownership ends with a few seconds of absence.

Knows neither broker nor clock: what happened, and when, is told to it.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable

from supervisor.messaging.memory import Memory

LISTEN_S = 5.0
"""How long a newcomer listens. The owner's return takes a second, and the time to connect."""
OWNED_S = 5.0
"""A name is still one's own so long after the connection under it has broken."""


def _random() -> str:
    return secrets.token_hex(2)


class Name:
    """The name of one kiln at one broker."""

    def __init__(
        self, plain: str, memory: Memory, *, make_suffix: Callable[[], str] = _random
    ) -> None:
        """``plain`` is the kiln's name in topics."""
        self.plain = plain
        self._memory = memory
        self._make_suffix = make_suffix
        self._trial: str | None = None
        self._owned_until_s = float("-inf")

    @property
    def now(self) -> str:
        """The name to connect under."""
        suffix = self._trial or self._memory.suffix(self.plain)
        return self.plain if suffix is None else f"{self.plain}-{suffix}"

    def must_listen(self, *, is_in_use: bool, at_s: float) -> bool:
        """Whether to say nothing for ``LISTEN_S``; ``is_in_use`` is what the broker said."""
        return is_in_use and at_s > self._owned_until_s

    def settle(self) -> bool:
        """Nobody else came: the name is ours. True if it is another than was asked for."""
        self._owned_until_s = float("inf")
        if self._trial is None:
            return False
        self._memory.keep_suffix(self.plain, self._trial)
        self._trial = None
        return True

    def leave(self, at_s: float) -> None:
        """The connection has broken."""
        if self._owned_until_s == float("inf"):
            self._owned_until_s = at_s + OWNED_S

    def give_way(self) -> None:
        """We were cut off: if the broker still answers, it was for somebody of the same name."""
        self._trial = self._make_suffix()
        self._owned_until_s = float("-inf")

    def take_back(self) -> bool:
        """The broker did not answer under another name either; True if that was tried."""
        was_tried = self._trial is not None
        self._trial = None
        return was_tried
