"""What the record says of one possible cause: for it, against it, or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from supervisor.core.defects.saying import Saying
from supervisor.core.events import Value
from supervisor.core.review import FiringFacts
from supervisor.core.watch.wording import Words


class Verdict(StrEnum):
    """How the record stands to a cause. Neither word is a proof: the ware has the last one."""

    SUPPORTED = "supported"
    """The firing was so as this cause would have it."""
    RULED_OUT = "ruled out"
    """The firing was not so, by the thermocouple."""
    UNKNOWN = "can't be told"
    """The record does not hold it, or lies between."""


@dataclass(frozen=True, slots=True)
class Case:
    """A firing, and the scale that its potter reads."""

    facts: FiringFacts
    words: Words


@dataclass(frozen=True, slots=True)
class Finding:
    """A verdict with the sentence that says why, and the figures (°C, s, °C/h) behind it.

    ``saying`` is which sentence that is; with the figures it can be said in another language.
    """

    verdict: Verdict
    saying: Saying
    said: str
    figures: Mapping[str, Value] = field(default_factory=dict)


def between(value: float, *, rules_out: float, supports: float) -> Verdict:
    """Which side of two limits a figure lies; what is between them tells nothing.

    >>> [between(x, rules_out=1.0, supports=2.0).value for x in (0.9, 1.5, 2.1)]
    ['ruled out', "can't be told", 'supported']
    >>> [between(x, rules_out=2.0, supports=1.0).value for x in (0.9, 1.5, 2.1)]
    ['supported', "can't be told", 'ruled out']
    """
    if supports > rules_out:
        if value >= supports:
            return Verdict.SUPPORTED
        return Verdict.RULED_OUT if value <= rules_out else Verdict.UNKNOWN
    if value <= supports:
        return Verdict.SUPPORTED
    return Verdict.RULED_OUT if value >= rules_out else Verdict.UNKNOWN
