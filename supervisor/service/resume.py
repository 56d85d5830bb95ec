"""What time it is in a firing that was left: after a crash, a kill, a reboot, a power cut.

On the same boot the machine's own clock has gone on, whatever the wall clock did. After a
reboot only the wall clock can tell how long it was dark, and it may be wrong; it is believed
when it tells of a gap that a firing can survive, and else the firing goes on where it stopped.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from supervisor.record.rows import Firing, Mode
from supervisor.record.store import Record
from supervisor.service.blind import LONGEST_S
from supervisor.service.clock import FiringClock, wall_now
from supervisor.service.setup import Setup

_UNKNOWN_GAP_S = 1.0


def clock_for(
    setup: Setup, record: Record, firing: Firing, *, wall: Callable[[], datetime] = wall_now
) -> tuple[FiringClock, bool]:
    """A clock that stands where the firing stands now, and whether it tells how long it was dark.

    ``wall`` is the wall clock.
    """
    clock = FiringClock(speed=setup.speed, wall=wall)
    extent = record.extent(firing.id)
    last_s = 0.0 if extent is None else extent.last_s
    same_speed = firing.settings.get("speed") == setup.speed
    if firing.boot_id is not None and firing.boot_id == clock.boot_id and same_speed:
        zero_s = firing.boottime_start_s
        if zero_s is not None:
            now_s = (clock.real_s() - zero_s) * setup.speed
            if now_s >= last_s:
                return FiringClock(now_s, speed=setup.speed, base=_base(firing), wall=wall), True
    gap_s = None
    if firing.mode is Mode.LIVE and extent is not None:
        gap_s = _gap_s(record, firing, last_s, wall())
    # A simulated kiln stands still while it is not watched.
    is_known = gap_s is not None or firing.mode is not Mode.LIVE
    start_s = last_s + (gap_s or _UNKNOWN_GAP_S)
    return FiringClock(start_s, speed=setup.speed, base=_base(firing), wall=wall), is_known


def _base(firing: Firing) -> datetime | None:
    """A simulated firing's own beginning; a real one's labels follow the wall clock of now."""
    if firing.mode is Mode.LIVE or firing.started_label is None:
        return None
    return datetime.fromisoformat(firing.started_label)


def _gap_s(record: Record, firing: Firing, last_s: float, now: datetime) -> float | None:
    """How long ago the last reading was by the wall clock; None when that can't be."""
    label = None
    for reading in record.readings(firing.id, from_s=last_s):
        label = reading.time
    if label is None:
        return None
    gap_s = (now - datetime.fromisoformat(label)).total_seconds()
    return gap_s if 0.0 < gap_s < LONGEST_S else None
