"""Whether a lone thermocouple may have slipped: it fell as no shut kiln falls, and is not back.

Beside others such a channel is found out (``following``). Alone it might be the kiln: that is told
as lost heat at once, with the slip named. What the probe shows afterwards, from where it hangs, is
no climb of the kiln's to miss anything of. Knows one temperature, nothing of plans.
"""

from __future__ import annotations

FELL_C, FELL_PART, _WITHIN_S = 50.0, 0.08, 300.0
"""So far, or by this part of its excess over the air where that is more, and in so short a time,
does a probe fall that leaves its place: as ``following`` has it. A kiln in which nothing is opened
takes longer, but for the smallest."""
BACK_PART = 0.5
"""A door that was opened and shut again, or a look through the plug, is made good by so much within
minutes (common practice, no source)."""
_LOOK_S = 20.0


class Slipped:
    """Feed it with ``look`` in order of time."""

    __slots__ = ("_before", "_from_c", "_low_c")

    def __init__(self) -> None:
        self._before: list[tuple[float, float]] = []
        """The last looks, without those after which it was as hot again: the first is hottest."""
        self._from_c: float | None = None
        self._low_c = 0.0

    def look(self, elapsed_s: float, temp_c: float, ambient_c: float) -> bool:
        """Take in where the channel is; whether it may hang outside the kiln by now."""
        before = self._before
        if before and 0.0 <= elapsed_s - before[-1][0] < _LOOK_S:
            return self._from_c is not None
        while before and before[-1][1] <= temp_c:
            del before[-1]
        before.append((elapsed_s, temp_c))
        while elapsed_s - before[0][0] > _WITHIN_S:
            del before[0]
        high_c = before[0][1]
        if self._from_c is None:
            fell_c = high_c - temp_c
            if fell_c >= FELL_C and fell_c >= FELL_PART * (high_c - ambient_c):
                self._from_c, self._low_c = high_c, temp_c
            return self._from_c is not None
        self._low_c = min(self._low_c, temp_c)
        if temp_c > self._low_c + BACK_PART * (self._from_c - self._low_c):
            self._from_c = None
            before.clear()
        return self._from_c is not None
