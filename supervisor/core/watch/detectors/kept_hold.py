"""Whether a cold kiln has left the level at which its controller kept it. Knows that level only.

At 80 °C a kiln without heat loses a degree in minutes, which is neither steep nor deep: but nobody
lets go by degrees what has stood for long.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment

_EVERY_S, _STOOD, _LATELY = 300.0, 4, 2
"""For so many times as long it has stood, until so many before now."""
_STANDS_C, _LEAVES_C, _LEFT_C = 1.5, 1.0, 2.5
"""It has stood where it moved by no more than the first, and has left that level by the last, which
is more than it swung there; a chill that is over within minutes has not left it by the second some
minutes before (common practice, no source)."""
_SIGMAS = 2.0


class KeptHold:
    """Feed it with ``look`` at each look of a hold."""

    __slots__ = ("_marks_c", "_next_s")

    def __init__(self) -> None:
        self._marks_c: list[float] = []
        self._next_s = 0.0

    def forget(self) -> None:
        """The kiln does not hold."""
        self._marks_c.clear()

    def look(self, moment: Moment, temp_c: float) -> bool:
        """Take in the kiln; whether it has stood for long, and has then fallen on and on."""
        marks_c = self._marks_c
        if moment.elapsed_s >= self._next_s or not marks_c:
            self._next_s = moment.elapsed_s + _EVERY_S
            marks_c.append(temp_c)
            del marks_c[: -(_STOOD + _LATELY)]
        if len(marks_c) < _STOOD + _LATELY or not marks_c[-2] > marks_c[-1] >= temp_c:
            return False
        doubt_c = _SIGMAS * moment.sigma_c
        stood_c = marks_c[:_STOOD]
        if max(stood_c) - min(stood_c) > _STANDS_C + doubt_c:
            return False
        lowest_c = min(stood_c)
        return marks_c[-1] < lowest_c - _LEAVES_C and temp_c < lowest_c - _LEFT_C - doubt_c
