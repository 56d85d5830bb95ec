"""Which made-up firings may be looked at while the watch is tuned, and which only at the end.

A watch that is tuned on the firings that it is measured by proves nothing. So a third of all
seeds is held out: for the final figures, and for nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, islice

_OUT_OF, _HELD = 3, 2


def is_held_out(seed: int) -> bool:
    """Whether this seed is for final figures only.

    >>> [seed for seed in range(9) if is_held_out(seed)]
    [2, 5, 8]
    """
    return seed % _OUT_OF == _HELD


def seeds(how_many: int, start: int, *, held_out: bool) -> tuple[int, ...]:
    """The first ``how_many`` seeds from ``start`` on that are held out, or that are not.

    >>> seeds(4, 10, held_out=False), seeds(2, 10, held_out=True)
    ((10, 12, 13, 15), (11, 14))
    """
    return tuple(islice(_all(start, held_out=held_out), how_many))


def _all(start: int, *, held_out: bool) -> Iterator[int]:
    return (seed for seed in count(start) if is_held_out(seed) is held_out)
