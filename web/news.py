"""What open pages are told next: made once, and the same bytes for all of them.

Knows what of a snapshot is worth a word at once and what may wait, and how little of it is new;
nothing of HTTP, and nobody of those who listen. It pulls: whoever waits looks, and the first one
makes what all are sent. A phone that is slow finds what it missed among the latest pieces, or is
told everything anew; nothing is queued for it, so one that hangs costs nothing that grows.

Pieces are deflated one after the other with what was said before in mind (RFC 1951), which makes a
tenth of them. Whoever joins can't know what was said before, so all begin again from there.
"""

from __future__ import annotations

import asyncio
import json
import zlib
from collections import deque
from dataclasses import dataclass

from pydantic import BaseModel

from web.chart import Points
from web.interface import KilnDesk
from web.models import Beat, Snapshot
from web.outline import Row, outline
from web.wire import Wire

PACE_S = 0.5
"""Least time between two changes, in real seconds."""
BEAT_S = 5.0
"""Longest silence, in real seconds; the page calls the link lost after somewhat over two."""
LOOK_UP_S = 0.5
"""How often who waits looks whether the server is stopping, in real seconds."""
CREEP_S = 30.0
"""After so long, in real seconds, what only creeps is told too."""
CREEP_C = 1.0
"""A temperature that has moved so far is told at once: it is shown in whole degrees. The chart,
where a pixel is some degrees, has no row that is nearer to the line than this."""
POINTS_AT_ONCE = 240
"""Most chart points in one piece; after a long pause they come thinned."""
PIECES_KEPT = 32
"""Who has missed more of them is told everything anew."""

CREEPING = frozenset(
    {
        *("elapsed_s", "time", "reading_age_s", "revision", "temp_c", "rate_c_per_h"),
        *("spread_c", "sentence_c", "sentence_f", "room_left_h"),
    }
)
"""What moves with every reading, and tells nobody anything by that."""
CREEPING_WITHIN = {
    "channels": frozenset({"temp_c", "rate_c_per_h"}),
    "plan": frozenset({"late_s", "ends_in_s", "hold_left_s"}),
    "cones": frozenset(
        {
            *("work", "tip_angle_deg", "expected_in_s", "earliest_in_s", "latest_in_s"),
            *("if_plan_in_s", "at_rate_in_s", "hold_in_s"),
        }
    ),
}
"""The same of what stands within these."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some events, as text and deflated; ``number`` is that of the last change in it."""

    number: int
    plain: bytes
    small: bytes


class News:
    """What ``desk`` tells to any number of pages, in the event loop that serves them."""

    def __init__(self, desk: KilnDesk) -> None:
        self._desk = desk
        self._pieces: deque[Piece] = deque(maxlen=PIECES_KEPT)
        self._number = 0
        self._packer = _packer()
        self._told: Snapshot | None = None
        self._looked_at = -1
        self._is_owed = False
        self._drawn: Row | None = None
        self._changed_at_s = -PACE_S
        self._spoke_at_s = -PACE_S

    def everything(self) -> Piece:
        """The whole snapshot for somebody who knows nothing; the pieces after it follow on it."""
        snapshot = self._desk.snapshot()
        if self._told is None:
            self._told = snapshot
        elif snapshot.revision != self._told.revision:
            # What was and is no more would be missing from what is told of the next change.
            self._tell(self._told, snapshot)
        self._looked_at = snapshot.revision
        self._packer = _packer()
        return alone("snapshot", snapshot, self._number)

    def since(self, seen: int) -> list[Piece] | None:
        """The pieces after number ``seen``, in order; None when they are not all there any more."""
        missing = self._number - seen
        if missing > len(self._pieces):
            return None
        return [piece for piece in self._pieces if piece.number > seen]

    async def wait(self, seen: int) -> None:
        """Wait until there is more than ``seen``, at most some ``LOOK_UP_S`` and ``PACE_S``."""
        if self._number > seen:
            return
        try:
            async with asyncio.timeout(LOOK_UP_S):
                revision = await self._desk.wait_for_change(self._looked_at)
        except TimeoutError:
            revision = self._looked_at
        else:
            too_soon_s = self._changed_at_s + PACE_S - _now_s()
            if too_soon_s > 0.0 and self._number == seen:
                await asyncio.sleep(too_soon_s)
        if self._number == seen and self._told is not None:
            self._look(self._told, is_new=revision > self._looked_at)

    def _look(self, told: Snapshot, *, is_new: bool) -> None:
        """Make the next piece, if there is anything to say; whoever wakes first does it for all."""
        now_s = _now_s()
        for_s = now_s - self._changed_at_s
        if is_new:
            snapshot = self._desk.snapshot()
            self._looked_at = snapshot.revision
            if for_s >= CREEP_S - LOOK_UP_S or is_worth_a_word(told, snapshot):
                self._tell(told, snapshot)
                return
            self._is_owed = True
        if self._is_owed and for_s >= CREEP_S + BEAT_S:
            # The readings have stopped; this was the last of them.
            self._tell(told, self._desk.snapshot())
        elif now_s - self._spoke_at_s >= BEAT_S - LOOK_UP_S:
            snapshot = self._desk.snapshot()
            age_s = snapshot.reading_age_s
            beat = Beat(reading_age_s=None if age_s is None else round(age_s))
            self._say(_event("beat", beat.model_dump_json()))

    def _tell(self, told: Snapshot, snapshot: Snapshot) -> None:
        points = self._points(told, snapshot)
        text = b"" if points is None else _event("points", points.model_dump_json())
        fields = what_is_new(told, snapshot)
        text += _event("changes", json.dumps(fields, ensure_ascii=False, separators=(",", ":")))
        self._told = snapshot
        self._is_owed = False
        self._changed_at_s = _now_s()
        self._say(text)

    def _points(self, told: Snapshot, snapshot: Snapshot) -> Points | None:
        if _chart_of(snapshot) != _chart_of(told):
            # The page fetches the whole chart anew; elapsed time may have begun again.
            self._drawn = None
            after_s = snapshot.elapsed_s
        else:
            after_s = told.elapsed_s if self._drawn is None else self._drawn[0]
        points = self._desk.points_after(after_s, POINTS_AT_ONCE)
        if not points.elapsed_s:
            return None
        rows, self._drawn = outline(points.elapsed_s, points.channels, self._drawn, CREEP_C)
        return points.model_copy(
            update={
                "elapsed_s": [points.elapsed_s[row] for row in rows],
                "channels": {
                    name: [column[row] for row in rows] for name, column in points.channels.items()
                },
            }
        )

    def _say(self, text: bytes) -> None:
        self._number += 1
        self._spoke_at_s = _now_s()
        self._pieces.append(Piece(self._number, text, _deflated(self._packer, text)))


def is_worth_a_word(told: Snapshot, now: Snapshot) -> bool:
    """Whether something has changed that a person would want to know before the next minute."""
    if _has_moved(told.temp_c, now.temp_c) or len(told.channels) != len(now.channels):
        return True
    for before, after in zip(told.channels, now.channels, strict=True):
        if _has_moved(before.temp_c, after.temp_c):
            return True
    return any(
        _standing(name, getattr(told, name)) != _standing(name, getattr(now, name))
        for name in Snapshot.model_fields
        if name not in CREEPING
    )


def what_is_new(told: Snapshot, now: Snapshot) -> dict[str, object]:
    """The snapshot's parts that are not as they were told, each whole."""
    names = {
        name for name in Snapshot.model_fields if getattr(told, name) != getattr(now, name)
    } | {"revision", "reading_age_s"}
    return now.model_dump(mode="json", include=names)


def alone(name: str, data: BaseModel | None, number: int) -> Piece:
    """One event that follows on nothing."""
    text = _event(name, "{}" if data is None else data.model_dump_json())
    return Piece(number, text, _deflated(_packer(), text))


def _has_moved(before_c: float | None, after_c: float | None) -> bool:
    if before_c is None or after_c is None:
        return before_c is not after_c
    return abs(after_c - before_c) >= CREEP_C


def _standing(name: str, value: object) -> object:
    """The value without what creeps in it, but for whether there is any of it."""
    creeping = CREEPING_WITHIN.get(name)
    if creeping is None:
        return value
    if isinstance(value, Wire):
        return [(field, one is None if field in creeping else one) for field, one in value]
    if isinstance(value, list):
        return [_standing(name, one) for one in value]
    return value


def _chart_of(snapshot: Snapshot) -> tuple[str | None, int]:
    """Which chart the page draws: that of this firing, as revised."""
    firing = snapshot.firing
    return None if firing is None else firing.id, snapshot.chart_revision


def _event(name: str, data: str) -> bytes:
    return f"event: {name}\ndata: {data}\n\n".encode()


def _packer() -> zlib._Compress:
    return zlib.compressobj(zlib.Z_BEST_COMPRESSION, zlib.DEFLATED, -zlib.MAX_WBITS, 9)


def _deflated(packer: zlib._Compress, text: bytes) -> bytes:
    """The text, to the byte, so that it can be read before anything follows."""
    return packer.compress(text) + packer.flush(zlib.Z_SYNC_FLUSH)


def _now_s() -> float:
    return asyncio.get_running_loop().time()
