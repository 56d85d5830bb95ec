"""How far a kiln comes back by itself after a door that was open is shut. Knows no door."""

from __future__ import annotations

_FOR_S, _BACK_PART, _BACK_C = 3600.0, 1.3, 5.0
"""It comes back for so long, and not by more than it had lost beyond a shut one, give or take what
a shut one is taken to lose: the walls that warm it are no hotter than it was (common practice, no
source)."""
_CHILLED_S = 600.0
"""What was over before it was told was a draught about the probe, which is gone in so long."""


class ShutAgain:
    """What a kiln has lately lost beyond a shut one, and whether that explains a climb."""

    __slots__ = ("_for_s", "_lost_c", "_opened_at_s")

    def __init__(self) -> None:
        self._opened_at_s = float("-inf")
        self._lost_c = 0.0
        self._for_s = _CHILLED_S

    def look(self, elapsed_s: float, lost_c: float, *, is_told: bool) -> None:
        """Take in how far the kiln is now below a shut one, in °C; 0 where it is not opened.
        ``is_told``: it is called opened, and not only suspected to be."""
        if lost_c <= 0.0:
            return
        for_s = _FOR_S if is_told else _CHILLED_S
        if elapsed_s - self._opened_at_s < self._for_s:
            lost_c, for_s = max(self._lost_c, lost_c), max(self._for_s, for_s)
        self._opened_at_s, self._lost_c, self._for_s = elapsed_s, lost_c, for_s

    def explains(self, elapsed_s: float, climb_c: float) -> bool:
        """Whether a door that was open not long ago may be what the kiln comes back from."""
        is_recent = elapsed_s - self._opened_at_s < self._for_s
        return is_recent and climb_c < _BACK_PART * self._lost_c + _BACK_C
