"""What the watch told of in a firing, each from when to when. Knows events and their pairs."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.review.facts import Trouble
from supervisor.core.review.trace import Trace

_NAMED = ("cone", "band", "cause", "step")
"""Of these there may be several at once; which one it is stands among the figures."""
_ALSO = frozenset({Kind.LAGGING})
"""Told as information at first, and yet a trouble."""


def troubles_of(events: Sequence[Event], trace: Trace) -> tuple[Trouble, ...]:
    """Every warning, and every word of lateness, in order of its beginning."""
    standing: dict[tuple[object, ...], Event] = {}
    ended: dict[int, float] = {}
    raised: list[Event] = []
    for event in events:
        key = (event.kind, event.channel, *(event.data.get(name) for name in _NAMED))
        if event.state is State.CLEARED:
            first = standing.pop(key, None) or _alike(standing, event)
            if first is not None:
                ended[id(first)] = event.elapsed_s
        elif event.severity is not Severity.INFO or event.kind in _ALSO:
            raised.append(event)
            standing[key] = event
    return tuple(
        Trouble(
            event.kind,
            event.severity,
            event.channel,
            event.elapsed_s,
            ended.get(id(event)),
            trace.temp_at(event.elapsed_s) if len(trace) else None,
            event.message,
            dict(event.data),
        )
        for event in raised
    )


def _alike(standing: dict[tuple[object, ...], Event], event: Event) -> Event | None:
    """The condition of the same kind and channel that this event ends, where one alone can be."""
    keys = [key for key in standing if key[0] is event.kind and key[1] == event.channel]
    return standing.pop(keys[-1]) if len(keys) == 1 else None
