"""Which sentences a suggestion says, by a name that stays.

A program, or a page in another language, says them anew from this name and the suggestion's
figures.
"""

from __future__ import annotations

from enum import StrEnum


class Advice(StrEnum):
    """Every reason and change that may be suggested."""

    CONES = "cones"
    """Longer or hotter, or the other way, by what the cones tell: its ways say which."""
    CONES_BROKEN_OFF = "cones-broken-off"
    CONES_TOO_FAR = "cones-too-far"
    CLIMB_SLOWER = "climb-slower"
    COOL_SLOWER = "cool-slower"
    OPEN_LATER = "open-later"
    SOAK = "soak"
    SHORTER_AND_HOTTER = "shorter-and-hotter"
    LAST_CLIMB_SHORTER_HOLD = "last-climb-shorter-hold"
    LAST_CLIMB_LESS_FAR = "last-climb-less-far"
    GROW_CRYSTALS = "grow-crystals"
    NO_CRYSTALS = "no-crystals"
    FALL_SLOWER = "fall-slower"
    WARM_SLOWER = "warm-slower"
    REDUCE_THEN = "reduce-then"
