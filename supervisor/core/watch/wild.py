"""How many looks at a channel can't be true, of late. Knows nothing of what was wrong with them."""

from __future__ import annotations

_REMEMBERED_S, _MOST_WEIGHT, _FORGOTTEN = 300.0, 0.08, 1e-3
WILD_LOOKS, TOO_WILD = 3, 0.3
"""Looks that can't be true count in a leaky share of all looks; a stretch of them counts with its
first three, as it has rules of its own. A third of them is an erratic channel; one garbled look
in ten is not (common practice, no source)."""


def wild_share(share: float, since_s: float, *, is_wild: bool) -> float:
    """The share after one more look, ``since_s`` after the last.

    >>> wild_share(0.0, 10.0, is_wild=True) > wild_share(0.0, 1.0, is_wild=True) > 0.0
    True
    """
    weight = since_s / _REMEMBERED_S
    if weight > _MOST_WEIGHT:
        weight = _MOST_WEIGHT
    share += weight * (is_wild - share)
    return 0.0 if share < _FORGOTTEN and not is_wild else share
