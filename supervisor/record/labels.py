"""Wall-clock labels of readings, kept as stretches instead of one by one.

A label almost always runs on with elapsed time, so only its beginning is stored: a *segment*
says "from this reading on, labels count from here". A reading whose own label is not exactly
what its segment gives (the clock was set, the label has another form, or there is none) begins
a new segment. Whatever the labels are, they come back letter for letter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

_SHAPE = re.compile(
    r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(?P<fraction>\.\d{3}|\.\d{6})?(?P<zone>Z|[+-]\d\d:\d\d)?"
)
_STEP_US = {None: 1_000_000, 4: 1_000, 7: 1}
"""Microseconds that one step of the label's last digit is worth, by length of the fraction."""


@dataclass(frozen=True, slots=True)
class Segment:
    """Labels from one reading on: ``label`` belongs to ``elapsed_s``; ``None`` means no label."""

    elapsed_s: float
    label: str | None

    def label_at(self, elapsed_s: float) -> str | None:
        """The label that runs on from this segment's beginning, ``None`` if none can.

        >>> Segment(10.0, "2026-11-25T23:59:59+00:00").label_at(12.02)
        '2026-11-26T00:00:01+00:00'
        """
        if self.label is None or elapsed_s == self.elapsed_s:
            return self.label
        return _run_on(self.label, elapsed_s - self.elapsed_s)


def _run_on(label: str, by_s: float) -> str | None:
    shape = _SHAPE.fullmatch(label)
    if shape is None:
        return None
    fraction, zone = shape["fraction"], shape["zone"]
    # Rounded, because a label of whole seconds has lost its own fraction, and cutting off would
    # make every second label differ with the sampling's jitter.
    step_us = _STEP_US[None if fraction is None else len(fraction)]
    steps = round(by_s * 1e6 / step_us)
    try:
        moved = datetime.fromisoformat(label) + timedelta(microseconds=steps * step_us)
    except (ValueError, OverflowError):
        return None
    timespec = {1_000_000: "seconds", 1_000: "milliseconds", 1: "microseconds"}[step_us]
    text = moved.isoformat(sep=label[10], timespec=timespec)
    return f"{text[: -len('+00:00')]}Z" if zone == "Z" else text
