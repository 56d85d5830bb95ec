"""Compared firings as lines over one common axis, for whoever draws them.

By time and from the peak the axis is seconds since what they have in common, and a line is °C. By
temperature the axis is °C on the way up, and a line is the rate of climb there, °C an hour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.compare.aligned import STEP_C, STEP_S, Align, passings, zero_s
from supervisor.core.compare.compare import Comparison
from supervisor.core.compare.subject import Subject

MOST_PLACES = 900
"""More places on the axis than a screen has columns are no use."""
_RATE_OVER_C = 20.0
"""A rate of climb is that of the stretch about its temperature, without the swing of a relay."""

Line = tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Overlay:
    """``at`` is the axis; ``lines`` are of the reference and the others, ``by`` of the others.

    ``by`` is other less reference: °C, or by temperature how many seconds later it came there.
    None where there is nothing.
    """

    at: tuple[float, ...]
    lines: tuple[Line, ...]
    by: tuple[Line, ...]


def overlaid(comparisons: Sequence[Comparison]) -> Overlay:
    """The lines of comparisons with one reference."""
    first = comparisons[0]
    subjects = (first.reference, *(one.other for one in comparisons))
    zeros = [zero_s(subject, first.align, first.from_c) for subject in subjects]
    if first.align is Align.TEMPERATURE:
        at = _degrees(subjects, first.from_c)
        lines = [
            (None,) * len(at) if zero is None else _rates(subject, zero, at)
            for subject, zero in zip(subjects, zeros, strict=True)
        ]
    else:
        at = _seconds(subjects, zeros, from_zero=first.align is Align.TIME)
        lines = [
            (None,) * len(at) if zero is None else _temps(subject, zero, at)
            for subject, zero in zip(subjects, zeros, strict=True)
        ]
    return Overlay(at, tuple(lines), tuple(_by(one, at) for one in comparisons))


def _degrees(subjects: Sequence[Subject], from_c: float) -> tuple[float, ...]:
    tops = [s.facts.peak.temp_c for s in subjects if s.facts.peak is not None]
    first, last = math.ceil(from_c / STEP_C), math.floor(max(tops, default=from_c) / STEP_C)
    return tuple(n * STEP_C for n in range(first, last + 1))


def _seconds(
    subjects: Sequence[Subject], zeros: Sequence[float | None], *, from_zero: bool
) -> tuple[float, ...]:
    spans = [
        (subject.trace.at_s[0] - zero, min(subject.trace.at_s[-1], subject.until_s) - zero)
        for subject, zero in zip(subjects, zeros, strict=True)
        if zero is not None
    ]
    if not spans:
        return ()
    from_s = 0.0 if from_zero else min(since for since, _ in spans)
    to_s = max(until for _, until in spans)
    step_s = STEP_S * max(1, math.ceil((to_s - from_s) / STEP_S / MOST_PLACES))
    first, last = math.ceil(from_s / step_s), math.floor(to_s / step_s)
    return tuple(n * step_s for n in range(first, last + 1))


def _temps(subject: Subject, zero: float, at: Sequence[float]) -> Line:
    trace = subject.trace
    from_s, to_s = trace.at_s[0], min(trace.at_s[-1], subject.until_s)
    return tuple(
        trace.temp_at(zero + place) if from_s <= zero + place <= to_s else None for place in at
    )


def _rates(subject: Subject, zero: float, at: Sequence[float]) -> Line:
    """The rate of climb about each temperature, from when it first was passed."""
    trace, peak = subject.trace, subject.facts.peak
    if peak is None:
        return (None,) * len(at)
    since, until = (
        passings(trace, [temp_c + off_c for temp_c in at], zero, peak.at_s)
        for off_c in (-_RATE_OVER_C / 2.0, _RATE_OVER_C / 2.0)
    )
    return tuple(
        None
        if since_s is None or until_s is None or until_s <= since_s
        else _RATE_OVER_C / (until_s - since_s) * 3600.0
        for since_s, until_s in zip(since, until, strict=True)
    )


def _by(one: Comparison, at: Sequence[float]) -> Line:
    if one.laid is None:
        return (None,) * len(at)
    known = dict(zip(one.laid.at, one.laid.by, strict=True))
    return tuple(known.get(place) for place in at)
