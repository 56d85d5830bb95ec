"""Numbers on the command line: what each may be, said where it is not."""

from __future__ import annotations

import argparse


def port_number(text: str) -> int:
    """A TCP port; 0 is a free one."""
    return round(_within(text, 0, 65535, whole=True))


def speed_number(text: str) -> float:
    """Firing seconds per real second."""
    return _within(text, 1, 3600)


def interval_number(text: str) -> float:
    """Seconds between two readings of a log."""
    return _within(text, 0.1, 3600)


def _within(text: str, low: float, high: float, *, whole: bool = False) -> float:
    try:
        value = float(int(text)) if whole else float(text)
    except (ValueError, OverflowError):
        value = float("nan")
    if not low <= value <= high:
        raise argparse.ArgumentTypeError(f"{text[:40]!r} can't be used; give {low:g} to {high:g}")
    return value
