"""What the page may ask of firings that are over, or were never fired: to be played once more.

Knows the narrow way to them and their shapes. A film holds everything that a page needs to play a
firing by itself, at any speed and from any place; the server has run it through the watch once.
Nothing of it is happening.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Protocol

from pydantic import Field

from supervisor.core.errors import InputError
from supervisor.core.events import Severity, State, Value
from supervisor.core.units import Unit
from web.models import (
    Channel,
    Cone,
    Correction,
    FiringState,
    Kiln,
    PlanLine,
    PlanPosition,
    Temps,
    Time,
)
from web.wire import Wire


class UnknownReplayError(InputError):
    """There is no firing and no scenario of that id."""


class Origin(StrEnum):
    """Where a film's readings come from."""

    FIRING = "firing"
    SCENARIO = "scenario"


class ReplayEntry(Wire):
    """Something that can be played."""

    id: str = Field(description="A firing's id, or \"scenario:\" and a scenario's name.")
    name: str = Field(description="The plan's name, or what happens in the scenario.")
    origin: Origin
    kiln: str | None = Field(default=None, description="The kiln's name.")
    started_at: Time = None
    lasted_s: float | None = Field(default=None, description="How long it lasted, seconds.")
    is_open: bool = Field(default=False, description="Whether its log is still being kept.")
    is_simulated: bool = Field(default=False, description="Whether there was no real kiln.")


class ReplayList(Wire):
    """Everything that can be played: the latest firings, newest first, then the scenarios."""

    firings: list[ReplayEntry]
    scenarios: list[ReplayEntry]


class Told(StrEnum):
    """Who speaks at a place of a film."""

    WATCH = "watch"
    NOTE = "note"


class FilmEvent(Wire):
    """Something that was said at one instant."""

    elapsed_s: float
    time: Time = None
    by: Told = Field(description="watch: it says so now, whatever it said then; note: a person.")
    kind: str = Field(description="The event's kind, such as stall; of a note: note.")
    severity: Severity
    state: State
    channel: str | None = None
    message: str = Field(description="The sentence, in the firing's own scale; a note's text.")
    data: dict[str, Value] = Field(
        default={}, description="The figures behind it, with units in their names."
    )


class Frame(Wire):
    """How the firing stood at one instant, as a snapshot has it."""

    elapsed_s: float
    time: Time = None
    state: FiringState
    sentence_c: str
    sentence_f: str
    channels: list[Channel]
    spread_c: float | None
    plan: PlanPosition
    cones: list[Cone]
    correction: Correction | None
    open: list[int] = Field(
        description="What stands at this instant, worst first: places in the film's events."
    )


class FilmChart(Wire):
    """The readings and the plan, as a chart has them."""

    elapsed_s: list[float]
    channels: dict[str, Temps]
    plan: PlanLine
    start_time: Time = None


class Film(Wire):
    """A whole firing, ready to be played."""

    entry: ReplayEntry
    kiln: Kiln
    units: Unit
    chart: FilmChart
    events: list[FilmEvent] = Field(description="In the order of time.")
    frames: list[Frame] = Field(description="In the order of time; each counts until the next.")


class Winding(Wire):
    """The film is being made; ask again in a second."""

    share: float = Field(ge=0, le=1, description="How much of it is done.")
    waiting: int = Field(ge=0, description="How many others are made before it.")


class Reels(Protocol):
    """Where firings are had to be played. Called from the page's event loop."""

    async def entries(self) -> ReplayList:
        """Everything that can be played."""
        ...

    async def film(self, replay_id: str) -> bytes | Winding:
        """The film as the JSON of a ``Film``, compressed with gzip, or how far it is.

        Raises UnknownReplayError, InputError for a firing without plan or readings, PeerError
        while too many wait.
        """
        ...
