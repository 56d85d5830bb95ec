"""Has a letter sent by Apprise in a short-lived process, and tells what came of it.

It is this Python with ``apprise_child``: the daemon neither grows by what Apprise needs nor hangs
with a service that does not answer.
"""

from __future__ import annotations

import asyncio
import importlib.util
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from supervisor.core.errors import InputError, PeerError
from supervisor.messaging.letter import Letter
from supervisor.own_process import ask_file

SEND_WITHIN_S = 60.0
"""A slow Pi takes ten seconds to load Apprise; a mail server may take as long to answer."""
_CHILD = Path(__file__).with_name("apprise_child.py")


def is_installed() -> bool:
    """Whether Apprise can be imported; it is not."""
    return importlib.util.find_spec("apprise") is not None


class AddressError(InputError):
    """Nothing can be sent to some addresses as they are; ``labels`` says to which."""

    def __init__(self, what: str, labels: Sequence[str]) -> None:
        super().__init__(what)
        self.labels = tuple(labels)


async def must_be_addresses(urls: Sequence[str], labels: Sequence[str]) -> None:
    """Raise AddressError if Apprise is not installed, or for an address that it does not know.

    Raises PeerError when that could not be found out.
    """
    if not urls:
        return
    if not is_installed():
        raise AddressError(
            "[notify] needs Apprise, which is not installed: install it beside spyhole with "
            '`pip install "apprise>=1.9"`, or leave [notify] out',
            labels,
        )
    answer = await _ask_within(SEND_WITHIN_S, {"check": list(urls)})
    bad = [labels[n] for n in answer["bad"]]
    if bad:
        raise AddressError(
            f"Apprise can make nothing of {', '.join(bad)}: see Apprise's own list of addresses "
            "for how it is written",
            bad,
        )


async def send(url: str, letter: Letter, *, within_s: float = SEND_WITHIN_S) -> None:
    """Send the letter. Raises PeerError, in words without the address, if it was not taken."""
    if not is_installed():
        raise PeerError("Apprise is not installed")
    order = {"url": url, "title": letter.title, "body": letter.body, "kind": letter.kind}
    answer = await _ask_within(within_s, order)
    if not answer["sent"]:
        raise PeerError(str(answer["why"]))


async def _ask_within(within_s: float, order: dict[str, Any]) -> dict[str, Any]:
    try:
        async with asyncio.timeout(within_s):
            return await _ask(order)
    except TimeoutError:
        raise PeerError(f"no answer within {within_s:.0f} s") from None


async def _ask(order: dict[str, Any]) -> dict[str, Any]:
    try:
        said, code = await ask_file(_CHILD, order, stderr=asyncio.subprocess.DEVNULL)
    except OSError as error:
        raise PeerError(f"no process can be started for it: {error.strerror}") from None
    try:
        answer: dict[str, Any] = json.loads(said)
    except ValueError:
        raise PeerError(f"Apprise ended with code {code} and no answer") from None
    return answer
