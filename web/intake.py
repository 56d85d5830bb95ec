"""How a request's body is taken in: after it is known who sends it, and never more than fits.

Knows sizes, media types and slots, nothing of who may write: whoever comes so far may. What is
turned away on the way here has not been read.
"""

from __future__ import annotations

import asyncio
import re

from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from supervisor.core.reasons import Reason
from web.problems import answer
from web.wire import Why

MAX_BODY_BYTES = 32 * 1024
"""The longest note, 2,000 characters each written as JSON escapes of 12 bytes, fits."""
PHOTO_PATH = re.compile(r"/api/firings/[^/]+/photos")
PHOTO_TYPES = ("image/jpeg", "image/png", "image/webp")
MAX_PHOTO_BYTES = 16 * 1024 * 1024
"""The largest photo that is taken in; today's phones make 2 to 8 MB (from memory)."""
PHOTOS_AT_ONCE = 2
"""So many photos are taken in at the same time: each is in memory until it is in its file."""
JSON_TYPES = ("application/json",)
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
LINGER_S = 2.0
"""Real seconds in which what a refused client still sends is taken and thrown away: were the
connection closed over it, the client's machine would throw away the answer (RFC 9112, 9.6)."""


def taken_at(path: str) -> tuple[tuple[str, ...], int]:
    """The media types, and the most bytes, that a body sent to ``path`` may have."""
    if PHOTO_PATH.fullmatch(path):
        return PHOTO_TYPES, MAX_PHOTO_BYTES
    return JSON_TYPES, MAX_BODY_BYTES


def too_large(most: int) -> Response:
    """The answer for a body of more than ``most`` bytes."""
    why = Why(reason=Reason.BODY_TOO_LARGE, figures={"most_kb": most // 1024})
    if most == MAX_PHOTO_BYTES:
        why = Why(reason=Reason.PHOTO_TOO_LARGE, figures={"most_mb": most // 1024**2})
    return answer(
        413,
        f"The body is larger than the {most:,} bytes that are taken.",
        why=why,
    )


async def turn_away(response: Response, scope: Scope, receive: Receive, send: Send) -> None:
    """Answer at once, whatever of the body is still to come, and close the connection.

    Nothing of the body is kept. The client has the whole answer before anything more is read, and
    is then listened to for as much, and as long, as a body of its kind may be.
    """
    if not _has_body(Headers(scope=scope)):
        await response(scope, receive, send)
        return
    response.headers["Connection"] = "close"

    async def hold_open(message: Message) -> None:
        if message["type"] == "http.response.body":
            message = {**message, "more_body": True}
        await send(message)

    await response(scope, receive, hold_open)
    _, left = taken_at(scope["path"])
    try:
        async with asyncio.timeout(LINGER_S):
            while left >= 0 and (thrown := await receive()).get("more_body", False):
                left -= len(thrown["body"])
    except TimeoutError:
        """Enough of it."""
    await send({"type": "http.response.body", "body": b"", "more_body": False})


def _has_body(headers: Headers) -> bool:
    return headers.get("content-length", "0") != "0" or "transfer-encoding" in headers


class Intake:
    """ASGI layer behind the gate: what is written is given on whole, or refused.

    Photos are large, so only two are taken in at the same time.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._photos = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] in SAFE_METHODS:
            await self._app(scope, receive, send)
            return
        if not PHOTO_PATH.fullmatch(scope["path"]):
            await self._take_in(scope, receive, send)
            return
        if self._photos >= PHOTOS_AT_ONCE:
            busy = "Other photos are being taken in: send this one again in a moment."
            await turn_away(answer(503, busy, why=Reason.PHOTOS_BUSY), scope, receive, send)
            return
        self._photos += 1
        try:
            await self._take_in(scope, receive, send)
        finally:
            self._photos -= 1

    async def _take_in(self, scope: Scope, receive: Receive, send: Send) -> None:
        _, most = taken_at(scope["path"])
        body = await _body(receive, most)
        if body is None:
            await turn_away(too_large(most), scope, receive, send)
            return
        await self._app(scope, _replay(body, receive), send)


async def _body(receive: Receive, most: int) -> bytes | None:
    """The whole body, or None as soon as it is larger than allowed."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _replay(body: bytes, receive: Receive) -> Receive:
    """A ``receive`` that first gives the body already taken, then goes on as before."""
    given = False

    async def replayed() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replayed
