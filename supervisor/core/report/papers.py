"""Everything about one firing that its report is made from. Knows values, not where they lie."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from supervisor.core.events import Kind, Value
from supervisor.core.report.blocks import Photo
from supervisor.core.review import FiringFacts
from supervisor.core.review.trace import Trace
from supervisor.core.schedule import Timeline
from supervisor.core.units import Unit


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alert as it was handled; times are seconds of the firing, None where it never came."""

    kind: Kind
    channel: str | None
    data: Mapping[str, Value]
    raised_s: float
    ended_s: float | None
    acknowledged_s: float | None
    acknowledged_by: str | None
    reminders: int
    escalated_s: float | None


@dataclass(frozen=True, slots=True)
class Told:
    """Something that a person wrote, when and who."""

    at_s: float
    text: str
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """A tick at unloading: what, where in the kiln (empty: everywhere), how much of it, 1 to 10."""

    what: str
    where: str = ""
    level: int = 1
    text: str = ""


def _no_clock(_: float) -> str | None:
    return None


@dataclass(frozen=True, slots=True)
class Papers:
    """A firing with its facts, its trace and what people had to do with it.

    ``alarms`` is None where nobody was told at all, as in a recorded log. ``clock`` gives the
    time of day of a second of the firing, None where no clock was known. ``begun`` is the day and
    hour of second 0 in words. ``timeline`` is the plan on its own clock. ``accounts`` are what
    people tell of load and result, heading and text.
    """

    firing: str
    kiln: str
    name: str
    unit: Unit
    facts: FiringFacts
    trace: Trace
    timeline: Timeline | None = None
    alarms: tuple[Alarm, ...] | None = None
    notes: tuple[Told, ...] = ()
    accounts: tuple[tuple[str, str], ...] = ()
    findings: tuple[Found, ...] = ()
    photos: tuple[Photo, ...] = ()
    begun: str | None = None
    clock: Callable[[float], str | None] = _no_clock
    is_open: bool = False
    is_simulated: bool = False
    messages_unit: Unit = Unit.C
    """The scale in which the watch's own sentences were kept."""
