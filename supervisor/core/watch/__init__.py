"""The watch: readings in, events out. ``Watch.feed`` is the one way through it."""

from supervisor.core.watch.moves import Activity
from supervisor.core.watch.settings import WatchSettings
from supervisor.core.watch.status import ChannelStatus, ConeStatus, PlanStatus, WatchStatus
from supervisor.core.watch.watch import Watch

__all__ = [
    "Activity",
    "ChannelStatus",
    "ConeStatus",
    "PlanStatus",
    "Watch",
    "WatchSettings",
    "WatchStatus",
]
