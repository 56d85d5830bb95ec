"""What the page may ask of firings held against each other, and the shapes of the answer.

Knows the narrow way to it. The lines lie over one common axis; all in °C, seconds and cones. The
cones are calculated from a thermocouple; the witness cones decide.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Protocol

from pydantic import Field

from web.models import Time
from web.wire import Wire

MOST = 6
"""More lines over each other nobody can tell apart."""

Values = list[float | None]


class Alignment(StrEnum):
    """What firings have in common when they are laid over each other."""

    TIME = "time"
    TEMPERATURE = "temperature"
    PEAK = "peak"


class ComparedLine(Wire):
    """One firing of a comparison, or the plan."""

    letter: str = Field(description='What sentences call it: "A" to "F", or "the plan".')
    id: str | None = Field(description="The firing's id; null: a plan.")
    name: str = Field(description="Name of its plan, or of the log.")
    kiln: str | None = Field(description="The kiln's name; null: a plan.")
    started_at: Time = Field(description="Label of its second 0.")
    is_open: bool = Field(description="Whether it goes on: then all of it is so far.")
    cone: str | None = Field(description="How far its heat-work is by calculation, such as 6.3.")
    peak_c: float | None = Field(
        description="Where it stood at its hottest, °C; null: nowhere, or not yet."
    )
    values: Values = Field(
        description="For each place of `at`: its °C; by temperature its rate of climb, °C an hour."
    )


class PartingStep(Wire):
    """The reference's step in which they parted."""

    number: int = Field(ge=1, description="Number of the step, from 1.")
    doing: str = Field(description="hold, climb or way down.")
    to_c: float = Field(description="°C that it leads to, or was held at.")


class Parting(Wire):
    """A difference that lasts. Places are as in `at`, differences as in `by`."""

    at: float = Field(description="Where it began.")
    until: float | None = Field(description="Where it was over; null: to the end of both.")
    by: float = Field(description="Difference at the worst.")
    worst_at: float = Field(description="Where that was.")
    temp_c: float | None = Field(description="The reference there, °C; null by temperature.")
    step: PartingStep | None = Field(description="null: none, or none is known.")


class Farthest(Wire):
    """Where they are farthest apart on the climb."""

    at: float
    by: float


class Difference(Wire):
    """One thing that differs, or does not."""

    what: str = Field(
        description="cones, peak, hold, climb, last 100 °C, evenness, opened, warnings, holds on "
        "the way down, or a range of the cooling."
    )
    unit: str = Field(description="c, s, c_per_h, cones or empty.")
    reference: float | None = Field(description="What the reference has; null: not at all.")
    other: float | None = Field(description="What the other has.")
    is_alike: bool = Field(description="Whether it is too small to be worth a word.")
    reference_cone: str | None = Field(description="Of cones: the reference's in words.")
    other_cone: str | None = Field(description="And the other's.")
    parts: dict[str, float] = Field(
        description="Of cones: what climb, hold and cooling give of the difference."
    )
    only_reference: list[str] = Field(description="Kinds of warnings that it alone had.")
    only_other: list[str] = Field(description="And the other alone.")


class SoFar(Wire):
    """How far a firing that still goes on has come beside another. °C, and seconds since both
    began to climb."""

    name: str = Field(description="Which goes on, as sentences call it.")
    against: str = Field(description="The other.")
    has_peaked: bool = Field(
        description="Whether its peak is behind it; if not, nothing is compared of peak, hold, "
        "cones and cooling."
    )
    at_s: float | None = Field(description="Now; null: it has not begun to climb.")
    temp_c: float | None = Field(description="How hot it is now.")
    against_c: float | None = Field(
        description="How hot the other was after as long; null: it did not last so long."
    )
    reached_c: float | None = Field(description="The hottest that it was so far.")
    later_s: float | None = Field(
        description="How much later than the other it came there; null: the other never did."
    )


class Against(Wire):
    """One firing held against the reference."""

    letter: str = Field(description="Which.")
    so_far: list[SoFar] = Field(description="Of those of the two that still go on.")
    by: Values = Field(
        description="For each place of `at`: how much hotter than the reference, degrees Celsius; "
        "by temperature how much later it came there, seconds."
    )
    has_common: bool = Field(description="Whether they have any temperatures in common.")
    beyond: float = Field(description="What a difference must exceed to be more than noise.")
    both_s: float | None = Field(description="For how long both have readings, seconds.")
    peaks_apart_c: float = Field(description="From the peak: how far the peaks are apart.")
    partings: list[Parting] = Field(description="Where they parted; empty: they did not.")
    farthest: Farthest | None = Field(description="Where that is worth a word.")
    differences: list[Difference] = Field(description="The biggest first.")
    sentences_c: list[str] = Field(description="All of it in plain English, in °C.")
    sentences_f: list[str] = Field(description="And in °F.")


class ComparisonAnswer(Wire):
    """Firings laid over each other."""

    align: Alignment
    from_c: float = Field(description="The temperature at which all are taken to begin, °C.")
    at: list[float] = Field(
        description="The common axis: seconds since they began, or since the peak; or °C."
    )
    lines: list[ComparedLine] = Field(description="The reference, then the others.")
    against: list[Against] = Field(description="The others, in that order.")


class Comparing(Protocol):
    """Where firings are held against each other. Called from the event loop, reads in a thread."""

    async def compare(
        self, firing_ids: list[str], align: Alignment, *, with_plan: bool
    ) -> ComparisonAnswer:
        """Each of the firings against the first; ``with_plan``: all against the first's plan.

        Raises NoSuchFiringError, InputError for what can't be compared, RecordError.
        """
        ...
