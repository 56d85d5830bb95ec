"""A sentence about a plan that knows which one it is. Knows no plans.

A terminal prints it as it stands; a page in another language says it anew from its name and its
figures.
"""

from __future__ import annotations

from enum import StrEnum

from supervisor.core.events import Value
from supervisor.core.phases.bands import Band


class PlanSaying(StrEnum):
    """Every sentence that may be said of a plan."""

    CLIMB = "climb"
    COOL = "cool"
    FULL_POWER = "full-power"
    COOL_BY_ITSELF = "cool-by-itself"
    HOLD = "hold"
    LENGTH = "length"
    ESTIMATED = "estimated"
    NO_CONE = "no-cone"
    CONE_DOWN = "cone-down"
    HOW_SURE = "how-sure"
    HOLD_WORTH = "hold-worth"
    ONE_CONE_LOW = "one-cone-low"
    HOLD_FOR = "hold-for"
    HOLD_NEEDLESS = "hold-needless"
    HOLD_TOO_LONG = "hold-too-long"
    HOLD_OVER_LIMIT = "hold-over-limit"
    PHASE = "phase"
    KIND_UNSAID = "kind-unsaid"
    LAST_STRETCH = "last-stretch"
    HURRY = "hurry"
    LATE = "late"
    DAWDLE = "dawdle"
    ENDS = "ends"
    OPENING = "opening"
    MONOXIDE = "monoxide"
    OVER_LIMIT = "over-limit"
    TOO_FAST = "too-fast"
    TOO_FAST_RAW = "too-fast-raw"
    NO_TARGET = "no-target"
    OVERFIRED = "overfired"
    UNDERFIRED = "underfired"
    OUT_OF_REACH = "out-of-reach"
    LONG_PEAK_HOLD = "long-peak-hold"
    LONG_HOLD = "long-hold"


class Line(str):
    """A sentence, its ``saying``, and the ``figures`` (°C, s, °C an hour) that it is made of.

    >>> line = Line(PlanSaying.HOLD, "hold 10 minutes", hold_s=600.0)
    >>> line.upper(), line.saying.value, line.figures
    ('HOLD 10 MINUTES', 'hold', {'hold_s': 600.0})
    """

    __slots__ = ("figures", "saying")

    saying: PlanSaying
    figures: dict[str, Value]

    def __new__(cls, saying: PlanSaying, text: str, **figures: Value) -> Line:
        line = super().__new__(cls, text)
        line.saying, line.figures = saying, figures
        return line


def of_band(band: Band) -> dict[str, Value]:
    """What a sentence about a band is made of: where it lies, and why it matters."""
    return {
        "band": str(band.name),
        "way": band.way.value,
        "from_c": band.from_c,
        "to_c": band.to_c,
        "why": band.why_key,
        "why_said": band.why,
        "why_at_c": band.at_c,
    }
