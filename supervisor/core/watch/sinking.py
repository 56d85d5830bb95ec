"""Whether a kiln, some degrees short of its top, has come down too slowly and for too long.

A big kiln that is let go falls slowly; but one that was turned down on its way has turned by then.
Knows one fall, and not whether the step may be over.
"""

from __future__ import annotations

from supervisor.core.watch.step_end import LEFT_C

_SINKS_C_PER_H, _SINKS_S = 20.0, 480.0
"""So fast, and for so long (common practice, no source)."""


class Sinking:
    """Looks at one step of the plan; ``forget`` what was before it."""

    __slots__ = ("_since_s",)

    def __init__(self) -> None:
        self._since_s: float | None = None

    def forget(self) -> None:
        """A step begins."""
        self._since_s = None

    def look(self, elapsed_s: float, fallen_c: float, rate_c_per_h: float) -> bool:
        """Take in how far the kiln is below its highest; whether it has sunk for long enough."""
        if fallen_c <= LEFT_C or rate_c_per_h >= -_SINKS_C_PER_H:
            self._since_s = None
        elif self._since_s is None:
            self._since_s = elapsed_s
        return self._since_s is not None and elapsed_s - self._since_s >= _SINKS_S
