"""The live stream of one page: what it is told, from its first word to its last.

Knows the order of what is sent and how it is packed for the wire (gzip, RFC 1952), nothing of
what there is to tell: that is made once for all pages (``web.news``).
"""

from __future__ import annotations

import zlib
from collections.abc import AsyncIterator, Callable

from web.news import News, Piece, alone

_GZIP_HEAD = bytes([0x1F, 0x8B, 8, 0, 0, 0, 0, 0, 0, 255])
"""Deflated, no name, no time, from a system that does not matter."""
_LAST_BLOCK = bytes([3, 0])
"""An empty block that says it is the last."""


class Plain:
    """The text as it is."""

    def head(self) -> bytes:
        return b""

    def take(self, piece: Piece) -> bytes:
        return piece.plain

    def tail(self) -> bytes:
        return b""


class Gzip:
    """The pieces, deflated already, as one gzip file that grows."""

    def __init__(self) -> None:
        self._crc = 0
        self._size = 0

    def head(self) -> bytes:
        return _GZIP_HEAD

    def take(self, piece: Piece) -> bytes:
        self._crc = zlib.crc32(piece.plain, self._crc)
        self._size += len(piece.plain)
        return piece.small

    def tail(self) -> bytes:
        size = self._size % 2**32
        return _LAST_BLOCK + self._crc.to_bytes(4, "little") + size.to_bytes(4, "little")


async def follow(
    news: News,
    is_stopping: Callable[[], bool],
    may_read: Callable[[], bool] = lambda: True,
    *,
    is_small: bool = False,
) -> AsyncIterator[bytes]:
    """Events for one page, until ``is_stopping``, or until ``may_read`` says no.

    ``snapshot`` at once; ``changes`` after each change that is worth a word, and some time after
    any, at most one in 0.5 s; before it ``points`` with what the chart has gained; ``beat`` after
    5 s without a word; ``closing`` as the last one, when spyhole is ended on purpose,
    ``signed_out`` when the page may not read any more. ``is_small``: as gzip.
    """
    packed = Gzip() if is_small else Plain()
    first = news.everything()
    yield packed.head() + packed.take(first)
    seen = first.number
    while True:
        await news.wait(seen)
        last = "closing" if is_stopping() else None if may_read() else "signed_out"
        if last is not None:
            yield packed.take(alone(last, None, seen)) + packed.tail()
            return
        pieces = news.since(seen)
        if pieces is None:
            pieces = [news.everything()]
        if pieces:
            yield b"".join(packed.take(piece) for piece in pieces)
            seen = pieces[-1].number
