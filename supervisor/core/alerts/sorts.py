"""Which events become alerts, and what tells one alert of a firing from another."""

from __future__ import annotations

import re
from typing import TypeAlias

from supervisor.core.alerts.alert import NOTICES, Alert
from supervisor.core.events import Event, Kind, Severity, Value

PASSING = frozenset({Kind.CONE_NEAR})
"""The notices that are over by an event of their own."""
_OF_A_CONE = frozenset({Kind.CONE_NEAR, Kind.CONE_DOWN})
"""The kinds of which each cone has its own, told apart by ``data["cone"]``."""
_OF_A_BAND = frozenset({Kind.FAST_HEATING, Kind.FAST_COOLING})
"""The kinds of which each band of the ware has its own, told apart by ``data["band"]``."""

RANK = {Severity.INFO: 0, Severity.WARNING: 1, Severity.CRITICAL: 2}

Key: TypeAlias = tuple[Kind, str | None, Value]


def key_of(what: Event | Alert) -> Key:
    """What tells one alert from another: each cone and each band is a matter of its own."""
    which = None
    if what.kind in _OF_A_CONE:
        which = what.data.get("cone")
    elif what.kind in _OF_A_BAND:
        which = what.data.get("band")
    return (what.kind, what.channel, which)


def concerns_a_person(event: Event) -> bool:
    """True for every warning, and for information worth a walk.

    Of the holds, only the one at the peak is.
    """
    if event.severity is not Severity.INFO:
        return True
    if event.kind is Kind.HOLD_DONE and event.data.get("is_peak") is False:
        return False
    return event.kind in NOTICES


def slug(channel: str | None) -> str:
    """The channel's name in an id; two names that come out alike share one count."""
    return "kiln" if channel is None else re.sub(r"[^A-Za-z0-9_-]+", "-", channel) or "-"
