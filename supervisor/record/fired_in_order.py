"""In which order firings were fired. Knows numbers and labels; asks nothing.

The record numbers firings as it takes them in, and an old log may be taken in years later. So a
log that was taken in goes by its date. What spyhole watched itself keeps its order, whatever the
clock of a Pi that had not heard from the network yet made of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from supervisor.record.rows import Firing, Mode


def fired_in_order(numbered: Iterable[Firing]) -> list[Firing]:
    """The firings, the oldest first; given in the order of their numbers.

    A log without a date stays behind the one that was taken in before it.
    """
    latest_watched = datetime.min.replace(tzinfo=UTC)
    before = latest_watched
    placed: list[tuple[datetime, Firing]] = []
    for firing in numbered:
        began = _began(firing)
        if firing.mode is not Mode.IMPORT:
            latest_watched = latest_watched if began is None else max(latest_watched, began)
            before = latest_watched
        elif began is not None:
            before = began
        placed.append((before, firing))
    return [firing for _, firing in sorted(placed, key=lambda one: one[0])]


def _began(firing: Firing) -> datetime | None:
    if firing.started_label is None:
        return None
    try:
        began = datetime.fromisoformat(firing.started_label)
    except ValueError:
        return None
    return began if began.tzinfo is not None else began.replace(tzinfo=UTC)
