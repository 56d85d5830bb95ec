"""Where values lie that a filter does not follow. Knows them and the level that they left."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.watch.quick import JUMP_C

AGREE_COUNT = 3
"""So many values in a row beyond the gate that agree are a level."""


def turns_back(noted_c: float | None, first_c: float, last_c: float) -> bool:
    """Whether what left its level comes back from afar: the first of it was a spike."""
    if noted_c is None or abs(last_c - first_c) <= JUMP_C:
        return False
    return (last_c - first_c) * (first_c - noted_c) < 0.0


def is_away(noted_c: float | None, values_c: Sequence[float], needed: int) -> bool:
    """Whether the last ``needed`` values are where no quick move of the kiln has put them: two of
    them on one side, for a spike may follow a spike."""
    if noted_c is None:
        return False
    off_c = [c - noted_c for c in values_c[-AGREE_COUNT:]]
    if len(off_c) == AGREE_COUNT and min(map(abs, off_c)) > JUMP_C:
        return True
    off_c = off_c[-needed:]
    return min(off_c) > JUMP_C or max(off_c) < -JUMP_C
