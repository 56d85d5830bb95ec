"""One change for the next firing. Knows no rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from supervisor.core.events import Value


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One change: why, what, and its figures (°C, s, °C an hour, cones)."""

    reason: str
    change: str
    figures: Mapping[str, Value] = field(default_factory=dict)
