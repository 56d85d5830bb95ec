"""How far a cone has bent at a share of its heat-work, and what a potter sees of that.

Published, by the Edward Orton Jr. Ceramic Foundation (text of the chart of temperature
equivalents, and the leaflet *Using Orton Pyrometric Cones*): the end point is the tip level
with the base; a cone bends over usually within 22 °C (40 °F), in 15 to 25 minutes, slowly at
first and fast after half way; the tip touching the shelf and the 4 o'clock position are 1 or
2 degrees apart. Everything between is our own curve, drawn so that it meets those statements:

    angle(work) = 8 + 12 work² + 70 work⁷   degrees, work from 0 to 1

``angle`` is that of the chord from the base to the tip, against the vertical. A self-supporting
cone stands leaning by about 8 degrees (from memory); 90 degrees is the published end point.

A potter reads the tip as the hand of a clock: 12 upright, 3 sideways, 6 touching the shelf. In a
cone bent into an arc the tip has turned twice as far as the chord, so that the hand is at
``angle / 15`` hours past 12: half past twelve standing, 4 o'clock at 60 degrees, 6 at 90.

Knows nothing of firings and temperatures.
"""

from __future__ import annotations

import math
import re
from enum import StrEnum

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason

STANDING_DEG = 8.0
"""Lean of a self-supporting cone that has not moved (from memory)."""
_SLOW_DEG, _FAST_DEG = 12.0, 70.0
_FAST_POWER = 7
LEVEL_DEG = 90.0
"""The tip level with the base: the published end point."""
FIRST_MOVEMENT_DEG = 2.0
"""Of the chord; less is not seen as a movement (common practice, no source)."""
DEG_PER_HOUR = 15.0
"""Chord for one hour of the clock hand, which turns twice as far."""
READING_ERROR_H = 0.5
"""How far off people read the hand: half an hour of the clock (common practice, no source)."""
JUST_TOUCHED_WORK = 1.15
"""Work of a tip that has only just touched: three minutes more at 60 °C/h (common practice, no
source)."""

UPRIGHT, JUST_TOUCHING, TOUCHING = "upright", "just touching", "touching"
_HAND = re.compile(r"(?P<hour>\d{1,2})(?::(?P<minute>[0-5]\d))?", re.ASCII)


class Stance(StrEnum):
    """How a cone stands."""

    UPRIGHT = "upright"
    BENDING = "bending"
    TOUCHING = "touching"


def tip_angle_deg(work: float) -> float:
    """Angle of the chord against the vertical, in degrees; ``work`` beyond 0 to 1 is cut off.

    >>> tip_angle_deg(0.0), tip_angle_deg(1.0), round(tip_angle_deg(0.93))
    (8.0, 90.0, 60)
    """
    share = min(max(work, 0.0), 1.0)
    return STANDING_DEG + _SLOW_DEG * share**2 + _FAST_DEG * share**_FAST_POWER


def work_at_angle(angle_deg: float) -> float:
    """The work, 0 to 1, that bends a cone to ``angle_deg``; angles beyond the curve are cut off.

    >>> round(work_at_angle(60.0), 3), work_at_angle(5.0), work_at_angle(100.0)
    (0.929, 0.0, 1.0)
    """
    if angle_deg >= LEVEL_DEG:
        return 1.0
    low, high = 0.0, 1.0
    if angle_deg <= STANDING_DEG:
        return low
    for _ in range(50):
        middle = (low + high) / 2.0
        if tip_angle_deg(middle) < angle_deg:
            low = middle
        else:
            high = middle
    return high


FIRST_MOVEMENT_WORK = work_at_angle(STANDING_DEG + FIRST_MOVEMENT_DEG)
"""Work at which a cone is first seen to move: about 0.4."""


def stance_of(work: float) -> Stance:
    """How a cone with so much work stands."""
    if work >= 1.0:
        return Stance.TOUCHING
    return Stance.UPRIGHT if work < FIRST_MOVEMENT_WORK else Stance.BENDING


def clock_of(work: float) -> str:
    """What a potter would see: "upright", the clock hand to the half hour, or "touching".

    A cone that is not down is never shown as touching.

    >>> clock_of(0.1), clock_of(0.8), clock_of(0.93), clock_of(0.999), clock_of(1.0)
    ('upright', '2', '4', '5:30', 'touching')
    """
    stance = stance_of(work)
    if stance is not Stance.BENDING:
        return stance.value
    half_hours = min(round(2.0 * tip_angle_deg(work) / DEG_PER_HOUR), 11)
    hour, half = divmod(half_hours, 2)
    return f"{hour or 12}:30" if half else f"{hour or 12}"


def parse_clock(text: str) -> str:
    """What a potter wrote of a tip, in its one spelling: "upright", "3:30", "just touching" ...

    Raises InputError for anything but an hour from 12 to 6 (``3``, ``3:30``) or one of those
    words.

    >>> parse_clock(" 3:30 "), parse_clock("03"), parse_clock("12"), parse_clock("6:00")
    ('3:30', '3', 'upright', 'touching')
    """
    said = " ".join(text.split()).lower()
    if said in (UPRIGHT, JUST_TOUCHING, TOUCHING):
        return said
    hand = _HAND.fullmatch(said)
    if hand is not None:
        hour, minute = int(hand["hour"]), int(hand["minute"] or 0)
        if (hour, minute) == (12, 0):
            return UPRIGHT
        if (hour, minute) == (6, 0):
            return TOUCHING
        if hour == 12 or 1 <= hour < 6:
            return f"{hour}:{minute:02}" if minute else f"{hour}"
    raise InputError(
        f'"{text[:40]}" is no place of a tip: give the hand of a clock from 12 (upright) to 6 '
        f"(touching the shelf), as 3 or 3:30, or {UPRIGHT}, {JUST_TOUCHING} or {TOUCHING}; mirror "
        f"a cone that bends to the left"
    ).because(Reason.NO_TIP, text=text[:40])


def work_range_of(clock: str) -> tuple[float, float]:
    """Least and most work of a cone that is seen so; what is read is true to half an hour.

    A cone that stands may have had any work that moves it by less than that, and of one that
    touches nothing more is seen: its work is about 1 or anything above (infinity). Raises
    InputError where ``clock`` can't be read.

    >>> work_range_of("touching")[1], work_range_of("upright")[0]
    (inf, 0.0)
    """
    said = parse_clock(clock)
    slack_deg = READING_ERROR_H * DEG_PER_HOUR
    if said in (TOUCHING, JUST_TOUCHING):
        most = math.inf if said == TOUCHING else JUST_TOUCHED_WORK
        return work_at_angle(LEVEL_DEG - slack_deg), most
    hour, _, minute = ("12" if said == UPRIGHT else said).partition(":")
    angle_deg = (int(hour) % 12 + int(minute or 0) / 60.0) * DEG_PER_HOUR
    # A cone leans as it stands: no hand is earlier than that.
    angle_deg = max(angle_deg, STANDING_DEG)
    high = work_at_angle(angle_deg + slack_deg)
    # Past the end of the curve the hand says no more than that the tip has hardly touched.
    if high >= 1.0:
        high = JUST_TOUCHED_WORK
    return work_at_angle(angle_deg - slack_deg), high
