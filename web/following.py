"""What the page may ask of a kiln's firings one after the other, and the shapes of the answer.

Knows the narrow way to it. A trend is told from five firings on; what is not told apart from
chance is said so. All in °C, seconds and kWh.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Protocol

from pydantic import Field

from supervisor.core.errors import InputError
from web.models import Time
from web.wire import Wire

LAST_USUAL, LAST_MOST = 40, 200
"""So many firings back are looked at; older ones tell of another kiln."""


class UnknownKilnError(InputError):
    """The record has no firing of that kiln."""


class TrendVerdict(StrEnum):
    """Whether there is a trend."""

    RISES = "rises"
    FALLS = "falls"
    NONE_TOLD = "none_told"
    TOO_FEW = "too_few"


class TrendValue(Wire):
    """One firing's figure."""

    number: int = Field(ge=1, description="The firing's number among those looked at, from 1.")
    firing: str = Field(description="Its id.")
    started_at: Time = Field(description="Label of its second 0.")
    value: float = Field(description="The figure, in the trend's unit.")
    is_at_least: bool = Field(description="Whether the firing shows only that it was not less.")


class TrendLine(Wire):
    """A robust line through the figures that are measured."""

    slope: float = Field(description="Change with each firing.")
    low: float | None = Field(description="Nine in ten: at least so much; null: too few firings.")
    high: float | None = Field(description="And at most so much.")
    first: float = Field(description="The line at the first firing that is measured.")
    last: float = Field(description="And at the last.")


class TrendForecast(Wire):
    """When a limit is come to, as numbers of firings like `number`; nine in ten lie between."""

    now: int = Field(description="Number of the latest firing.")
    earliest: float
    expected: float | None
    latest: float | None


class KilnTrend(Wire):
    """One thing that is followed from firing to firing."""

    kind: str = Field(description="climb, drift, evenness, late, energy or losses.")
    of: str | None = Field(description="Its channel or its plan; null: the whole kiln.")
    unit: str = Field(description="c_per_h, c, s, kwh, or empty for a count.")
    verdict: TrendVerdict
    is_worth_a_warning: bool
    values: list[TrendValue]
    line: TrendLine | None
    at_c: float | None = Field(description="Of a climb: the temperature that it is told for.")
    limit: float | None = Field(description="Of a climb: what it must not come to.")
    limit_c_per_h: float | None = Field(description="And for which last climb of the plan.")
    is_short: bool = Field(description="Whether that was no longer kept in the latest firing.")
    forecast: TrendForecast | None
    sentences_c: list[str] = Field(description="All of it in plain English, in °C.")
    sentences_f: list[str] = Field(description="And in °F.")


class TrendsAnswer(Wire):
    """What changes from firing to firing of one kiln, what is worth a warning first."""

    kiln: str | None = Field(description="The kiln; null: the record has no firings.")
    kilns: list[str] = Field(description="Every kiln that has firings.")
    firings: int = Field(ge=0, description="How many were looked at.")
    waiting: int = Field(ge=0, description="How many more are still being summed up.")
    trends: list[KilnTrend]


class Following(Protocol):
    """Where a kiln is followed over its firings. Called from the event loop, reads in a thread."""

    async def trends(self, kiln: str | None, since: str | None, last: int) -> TrendsAnswer:
        """The trends of a kiln, None: that of the latest firing.

        ``since`` is the first firing that counts, ``last`` how many are looked at. Raises
        UnknownKilnError, NoSuchFiringError, InputError, RecordError.
        """
        ...
