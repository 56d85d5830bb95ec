"""How long to wait before what has failed is tried again."""

from __future__ import annotations

from collections.abc import Callable


def pause_s(failures: int, first_s: float, longest_s: float, chance: Callable[[], float]) -> float:
    """Seconds: twice as long after each failure, up to a limit, less up to a half by chance.

    ``chance`` gives a number from 0 to 1, so that many who fail together don't come back together.

    >>> [pause_s(failures, 1.0, 60.0, lambda: 0.0) for failures in (0, 1, 2, 9)]
    [1.0, 2.0, 4.0, 60.0]
    """
    return min(first_s * 2.0 ** min(failures, 16), longest_s) * (1.0 - 0.5 * chance())
