"""Whether the wall clock may be believed.

A Pi has no battery clock: after a power cut it goes on from where it was, hours behind, until
it has asked the network. Knows one mark of the system's; sets nothing, and asks nobody.
"""

from __future__ import annotations

from pathlib import Path

_TIMESYNC = Path("/run/systemd/timesync")
"""Kept by systemd-timesyncd, which Raspberry Pi OS sets its clock with; empty after a boot."""
_SYNCHRONIZED = "synchronized"
"""Touched there on each successful synchronization (systemd-timesyncd.service(8), Files)."""


def is_time_believed(timesync: Path = _TIMESYNC) -> bool | None:
    """True if the clock has been set since the boot, False if not yet, None if nobody says."""
    try:
        if (timesync / _SYNCHRONIZED).exists():
            return True
        return False if timesync.is_dir() else None
    except OSError:
        return None
