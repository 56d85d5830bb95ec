"""Whether a fall has quickened: what went on steadily for minutes is steeper by half, and stays so.

A shut kiln without heat falls ever more slowly (Newton's law of cooling), so that nothing but an
opening quickens it. Knows one fall, as a part of the excess over the shed; whether the heat was
off before is for others to say.
"""

from __future__ import annotations

from collections import deque

_BLOCK_S = 30.0
_OLD, _NEW = 8, 6
"""Blocks that show the old pace, and the new one: four minutes, and three. A look through the
spyhole is over by then (common practice, no source)."""
LASTS_S = _NEW * _BLOCK_S
_QUICKER, _STAYS = 1.6, 1.3
"""The new pace to the old one, of all of it and of all its blocks but one."""
_STEADY, _EVEN = 1.25, 1.7
"""The later half of the old pace to the earlier one, at most; and each of its blocks to their
mean."""


class Quickening:
    """Feed it at each look of a fall; ``forget`` what was before it.

    ``old_per_s`` is the pace before, as a part of the excess; 0 while none is known.
    """

    __slots__ = ("_blocks", "_lost", "_over_s", "by_per_s", "old_per_s")

    def __init__(self) -> None:
        self._blocks: deque[float] = deque(maxlen=_OLD + _NEW)
        self._lost = self._over_s = 0.0
        self.by_per_s = self.old_per_s = 0.0

    def forget(self) -> None:
        """Another fall begins."""
        self._blocks.clear()
        self._lost = self._over_s = 0.0
        self.by_per_s = self.old_per_s = 0.0

    def is_kept(self, slow_per_s: float, fast_per_s: float) -> bool:
        """Whether the last four minutes lay between two paces, each half of them."""
        if len(self._blocks) < _OLD:
            return False
        early, late = _halves(list(self._blocks)[-_OLD:])
        return slow_per_s < min(early, late) and max(early, late) < fast_per_s

    def look(self, moved_c: float, dt_s: float, excess_c: float) -> bool:
        """Take in a move; whether the fall has just been seen to quicken, by ``by_per_s``."""
        self._lost -= moved_c / excess_c
        self._over_s += dt_s
        if self._over_s < _BLOCK_S:
            return False
        self._blocks.append(self._lost / self._over_s)
        self._lost = self._over_s = 0.0
        if len(self._blocks) < _OLD + _NEW:
            return False
        blocks = list(self._blocks)
        early, late = _halves(blocks[:_OLD])
        old, new = 0.5 * (early + late), _mean(blocks[_OLD:])
        self.old_per_s, self.by_per_s = old, new - old
        if late > _STEADY * early:
            return False
        if min(blocks[:_OLD]) < old / _EVEN or max(blocks[:_OLD]) > _EVEN * old:
            return False
        # A chill falls within a minute or so, and then stands and comes back.
        return new > _QUICKER * old and sorted(blocks[_OLD:])[1] > _STAYS * old


def _halves(blocks: list[float]) -> tuple[float, float]:
    half = len(blocks) // 2
    return _mean(blocks[:half]), _mean(blocks[half:])


def _mean(blocks: list[float]) -> float:
    return sum(blocks) / len(blocks)
