"""Between two firings: nothing is recorded, and the next climb is not missed.

The last hour is kept in memory. When the kiln begins to climb, the next firing begins with
what is kept, so that its log shows the start.
"""

from __future__ import annotations

from collections import deque

from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import Watch, WatchSettings

KEPT_S = 3600.0
_MOST_KEPT = 20_000


class Standby:
    """Looks at readings until the kiln begins to climb through the plan."""

    def __init__(
        self, schedule: Schedule, channels: tuple[str, ...], settings: WatchSettings
    ) -> None:
        self._watch = Watch(schedule, channels, settings)
        self._kept: deque[Reading] = deque(maxlen=_MOST_KEPT)

    def sees_a_beginning(self, reading: Reading) -> bool:
        """Take in a reading; whether a firing has begun with it."""
        kept = self._kept
        kept.append(reading)
        while kept[0].elapsed_s < reading.elapsed_s - KEPT_S:
            kept.popleft()
        self._watch.feed(reading)
        return self._watch.begun_s is not None

    def readings(self) -> list[Reading]:
        """What is kept, oldest first, on the clock it was fed with."""
        return list(self._kept)
