"""Whether the wall clock may be believed.

A Pi has no battery clock: after a power cut it goes on from where it was, hours behind, until
it has asked the network. Knows one mark of the system's; sets nothing, and asks nobody.
"""

from __future__ import annotations

from pathlib import Path

from supervisor.service.clock import Clock

TIMESYNC = Path("/run/systemd/timesync")
"""Kept by systemd-timesyncd, which Raspberry Pi OS sets its clock with; empty after a boot."""
_SYNCHRONIZED = "synchronized"
"""Touched there on each successful synchronization (systemd-timesyncd.service(8), Files)."""


def is_time_believed(timesync: Path = TIMESYNC) -> bool | None:
    """True if the clock has been set since the boot, False if nobody knows of it, None if nobody
    on this machine would say."""
    try:
        if (timesync / _SYNCHRONIZED).exists():
            return True
        return False if timesync.is_dir() else None
    except OSError:
        # It is there, and what it says can't be read.
        return False


def is_label_believed(clock: Clock) -> bool | None:
    """Whether the labels of this clock may be; those of a speeded-up firing are made up: None."""
    return is_time_believed() if clock.speed == 1.0 else None
