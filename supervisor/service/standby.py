"""Before a firing and between two: nothing is recorded, and the next climb is not missed.

The last hour is kept in memory. When the kiln begins to climb, the next firing begins with
what is kept, so that its log shows the start.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass

from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import Watch, WatchSettings

KEPT_S = 3600.0
REST_S, REST_RISE_C = 900.0, 5.0
"""A kiln that has risen by less in so long does not climb (common practice, no source)."""
FALLEN_C = 50.0
"""So far below where it was, a kiln has stopped climbing meanwhile; no stoker's swing is so deep
(common practice, no source)."""
_MOST_KEPT = 20_000
_TURN_AFTER = 100
"""Readings between two turns of the event loop while what is kept is looked at anew."""


@dataclass(frozen=True, slots=True)
class Unrested:
    """A log that was ended in a climb, and what its channels read then; the climb may go on."""

    firing_id: str
    ended_at_c: Mapping[str, float | None]


class Standby:
    """Looks at readings until the kiln begins to climb through the plan.

    With ``after_rest`` it must first have stopped climbing: whoever ended the log of a kiln that
    still climbs does not want the same climb to begin the next one.
    """

    def __init__(
        self,
        schedule: Schedule,
        channels: tuple[str, ...],
        settings: WatchSettings,
        *,
        after_rest: bool = False,
        ended_at_c: Mapping[str, float | None] | None = None,
    ) -> None:
        """``ended_at_c`` is what was read a restart ago, when the log was ended: a kiln that is
        far below that has rested while nobody looked.
        """
        self._channels, self._settings = channels, settings
        self._watch = Watch(schedule, channels, settings)
        self._kept: deque[Reading] = deque(maxlen=_MOST_KEPT)
        self._waits_for_rest = after_rest
        self._ended_at_c = dict(ended_at_c or {})

    @property
    def waits_for_rest(self) -> bool:
        """Whether the kiln has not yet stopped climbing."""
        return self._waits_for_rest

    def sees_a_beginning(self, reading: Reading) -> bool:
        """Take in a reading; whether a firing has begun with it."""
        kept = self._kept
        kept.append(reading)
        while kept[0].elapsed_s < reading.elapsed_s - KEPT_S:
            kept.popleft()
        if self._waits_for_rest:
            self._waits_for_rest = not (self._has_fallen(reading) or self._rests())
            return False
        self._watch.feed(reading)
        return self._watch.begun_s is not None

    async def follow(self, schedule: Schedule) -> None:
        """Look for the beginning of another plan; the event loop gets its turn in between."""
        watch = Watch(schedule, self._channels, self._settings)
        for count, reading in enumerate(list(self._kept), start=1):
            watch.feed(reading)
            if count % _TURN_AFTER == 0:
                await asyncio.sleep(0)
        self._watch = watch

    def readings(self) -> list[Reading]:
        """What is kept, oldest first, on the clock it was fed with."""
        return list(self._kept)

    def _has_fallen(self, reading: Reading) -> bool:
        """Whether every channel that can tell is far below where it was."""
        fallen = [
            temp_c < ended_c - FALLEN_C
            for name, temp_c in reading.temps_c.items()
            if temp_c is not None and (ended_c := self._ended_at_c.get(name)) is not None
        ]
        return bool(fallen) and all(fallen)

    def _rests(self) -> bool:
        """Whether no channel has risen by much for a quarter of an hour."""
        kept, now = self._kept, self._kept[-1]
        if now.elapsed_s - kept[0].elapsed_s < REST_S:
            return False
        lately = [r for r in kept if r.elapsed_s >= now.elapsed_s - REST_S]
        has_value = False
        for name, temp_c in now.temps_c.items():
            before_c = [c for r in lately if (c := r.temps_c.get(name)) is not None]
            if temp_c is not None and before_c:
                has_value = True
                if temp_c - min(before_c) >= REST_RISE_C:
                    return False
        return has_value
