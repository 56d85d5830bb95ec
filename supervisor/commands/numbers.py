"""Numbers on the command line: what each may be, said where it is not."""

from __future__ import annotations

import argparse

from supervisor.core.water import ALTITUDE_RANGE_M, METRES_PER_FOOT, PRESSURE_RANGE_HPA

LARGEST_SEED = 2**63 - 1


def port_number(text: str) -> int:
    """A TCP port; 0 is a free one."""
    return round(_within(text, 0, 65535, whole=True))


def speed_number(text: str) -> float:
    """Firing seconds per real second."""
    return _within(text, 1, 3600)


def interval_number(text: str) -> float:
    """Seconds between two readings of a log."""
    return _within(text, 0.1, 3600)


def altitude_number(text: str) -> float:
    """Metres above the sea."""
    return _within(text, *ALTITUDE_RANGE_M)


def altitude_ft_number(text: str) -> float:
    """Feet above the sea."""
    low, high = (round(end / METRES_PER_FOOT, -2) for end in ALTITUDE_RANGE_M)
    return _within(text, low, high)


def pressure_number(text: str) -> float:
    """Pressure of the air in hPa."""
    return _within(text, *PRESSURE_RANGE_HPA)


def count_number(text: str) -> int:
    """How many of something."""
    return round(_within(text, 1, 1_000_000, whole=True))


def seed_number(text: str) -> int:
    """A seed of the simulator's noise: what a scenario file may name too."""
    try:
        value = int(text)
    except ValueError:
        value = -1
    if not 0 <= value <= LARGEST_SEED:
        raise argparse.ArgumentTypeError(
            f"{text[:40]!r} can't be used; give a whole number from 0 to {LARGEST_SEED}"
        )
    return value


def _within(text: str, low: float, high: float, *, whole: bool = False) -> float:
    try:
        value = float(int(text)) if whole else float(text)
    except (ValueError, OverflowError):
        value = float("nan")
    if not low <= value <= high:
        raise argparse.ArgumentTypeError(
            f"{text[:40]!r} can't be used; give {low:,.9g} to {high:,.9g}"
        )
    return value
