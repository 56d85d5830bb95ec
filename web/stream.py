"""The live stream: what an open page is told, when, and how often.

Knows the order and the pace of what is sent, nothing of HTTP. It pulls: what a slow phone has
not taken is never queued, it is asked for anew when the phone is ready, so a phone that hangs
costs nothing that grows.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable

from fastapi.sse import ServerSentEvent
from pydantic import BaseModel

from web.interface import KilnDesk
from web.models import Beat, Snapshot

PACE_S = 0.5
"""Least time between two snapshots to one page, in real seconds."""
BEAT_S = 5.0
"""Longest silence, in real seconds; the page calls the link lost after somewhat over two."""
LOOK_UP_S = 0.5
"""How often a waiting stream looks whether the server is stopping, in real seconds."""
POINTS_AT_ONCE = 240
"""Most chart points in one event; after a long pause they come thinned."""


def _event(name: str, data: BaseModel) -> ServerSentEvent:
    return ServerSentEvent(event=name, raw_data=data.model_dump_json())


async def follow(
    desk: KilnDesk,
    is_stopping: Callable[[], bool],
    may_read: Callable[[], bool] = lambda: True,
) -> AsyncIterator[ServerSentEvent]:
    """Events for one page, until ``is_stopping``, or until ``may_read`` says no.

    ``snapshot`` at once and after each change, at most one in 0.5 s; before it ``points``
    with what the chart has gained; ``beat`` after 5 s without a change; ``closing`` as the last
    word, when spyhole is ended on purpose, ``signed_out`` when the page may not read any more.
    """
    loop = asyncio.get_running_loop()
    snapshot = desk.snapshot()
    yield _event("snapshot", snapshot)
    shown_to_s = snapshot.elapsed_s
    sent_at_s = loop.time()
    while True:
        await asyncio.sleep(PACE_S)
        revision = await _next_revision(desk, snapshot.revision)
        if is_stopping():
            yield ServerSentEvent(event="closing", raw_data="{}")
            return
        if not may_read():
            yield ServerSentEvent(event="signed_out", raw_data="{}")
            return
        if revision > snapshot.revision:
            drawn = _drawn(snapshot)
            snapshot = desk.snapshot()
            if _drawn(snapshot) != drawn:
                # The page fetches the whole chart anew; elapsed time may have begun again.
                shown_to_s = snapshot.elapsed_s
            points = desk.points_after(shown_to_s, POINTS_AT_ONCE)
            if points.elapsed_s:
                shown_to_s = points.elapsed_s[-1]
                yield _event("points", points)
            yield _event("snapshot", snapshot)
            sent_at_s = loop.time()
        elif loop.time() - sent_at_s >= BEAT_S - LOOK_UP_S:
            age_s = desk.snapshot().reading_age_s
            yield _event("beat", Beat(revision=revision, reading_age_s=age_s))
            sent_at_s = loop.time()


def _drawn(snapshot: Snapshot) -> tuple[str | None, int]:
    """Which chart the page draws: that of this firing, as revised."""
    firing = snapshot.firing
    return None if firing is None else firing.id, snapshot.chart_revision


async def _next_revision(desk: KilnDesk, seen: int) -> int:
    """The revision after at most ``LOOK_UP_S``: newer, or ``seen`` again."""
    try:
        async with asyncio.timeout(LOOK_UP_S):
            return await desk.wait_for_change(seen)
    except TimeoutError:
        return seen
