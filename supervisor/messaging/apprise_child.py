"""Sends one letter through Apprise, in a process of its own, or says which addresses are none.

Run by ``sender`` with its order on stdin; answers on stdout with one line of JSON. Apprise and
what it needs take 30 MB and more, and a service that hangs can't be stopped from within: so all
of that lives only while a letter is on its way. Knows no kiln. Nothing that it says holds an
address, which may have a password in it.
"""

from __future__ import annotations

import contextlib
import io
import json
import logging
import os
import re
import sys
from typing import Any
from urllib.parse import quote, unquote

_LONGEST_WHY = 160
_SHORTEST_SECRET = 3
_NICER = 5
"""The kiln's readings come first."""


class _Heard(logging.Handler):
    """Keeps what Apprise logs of its failures."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        with contextlib.suppress(Exception):
            self.said.append(record.getMessage())


def scrub(text: str, url: str) -> str:
    """The text on one line and not long, without any part of the address but its scheme.

    >>> scrub("Unauthorized: bot123/abc", "tgram://bot123/abc")
    'Unauthorized: …/…'
    """
    rest = url.partition("://")[2]
    parts = {part for part in re.split(r"[/:@?&=,#\s]+", rest) if len(part) >= _SHORTEST_SECRET}
    parts |= {unquote(part) for part in parts} | {quote(part, safe="") for part in parts}
    for part in sorted(parts, key=len, reverse=True):
        text = re.sub(re.escape(part), "…", text, flags=re.IGNORECASE)
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST_WHY else text[: _LONGEST_WHY - 1] + "…"


def work(order: dict[str, Any]) -> dict[str, Any]:
    """Do what is ordered; the answer, ready for JSON."""
    heard = _Heard()
    logging.getLogger().addHandler(heard)
    # Imported here, in this process only: see above.
    from apprise import Apprise, OverflowMode

    if "check" in order:
        urls: list[str] = order["check"]
        return {"bad": [n for n, url in enumerate(urls) if Apprise.instantiate(url) is None]}
    url = order["url"]
    service = Apprise.instantiate(url)
    if service is None:
        return {"sent": False, "why": "Apprise knows no such address"}
    if "overflow=" not in url:
        # A text too long for the service comes in pieces; refused for its length, it and all that
        # is behind it would wait for ever.
        service.overflow_mode = OverflowMode.SPLIT
    try:
        sent = bool(
            service.notify(body=order["body"], title=order["title"], notify_type=order["kind"])
        )
    except Exception as error:  # whatever a service's plug-in comes up with
        return {"sent": False, "why": scrub(f"{type(error).__name__}: {error}", url)}
    if sent:
        return {"sent": True, "why": None}
    return {"sent": False, "why": scrub(heard.said[-1], url) if heard.said else "it was refused"}


def main() -> None:
    """Take the order from stdin, answer on stdout."""
    with contextlib.suppress(OSError):
        os.nice(_NICER)
    order: dict[str, Any] = json.load(sys.stdin)
    out, sys.stdout = sys.stdout, io.StringIO()
    answer = work(order)
    print(json.dumps(answer), file=out, flush=True)


if __name__ == "__main__":
    main()
