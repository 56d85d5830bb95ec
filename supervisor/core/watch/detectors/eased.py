"""Whether a pace that was too fast has eased, for long enough to say so. Knows one pace."""

from __future__ import annotations

_EASED, _EASED_S = 1.2, 300.0
"""No faster than so many times what it should be, for so long (common practice, no source)."""


class Eased:
    """Feed it with ``look`` as long as an alert stands; ``forget`` when one is raised."""

    __slots__ = ("_since_s",)

    def __init__(self) -> None:
        self._since_s: float | None = None

    def forget(self) -> None:
        """Another alert begins."""
        self._since_s = None

    def look(self, elapsed_s: float, pace_c_per_h: float, planned_c_per_h: float) -> bool:
        """Take in the pace, and what it should be, both without their sign."""
        if pace_c_per_h > _EASED * planned_c_per_h:
            self._since_s = None
            return False
        if self._since_s is None:
            self._since_s = elapsed_s
        return elapsed_s - self._since_s >= _EASED_S
