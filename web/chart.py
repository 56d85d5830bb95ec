"""The shapes of the chart: the firing so far, and what stands beside it. As ``web.models``."""

from __future__ import annotations

from pydantic import Field

from supervisor.core.events import Severity, State, Value
from web.wire import Time, Wire

Temps = list[float | None]


class PlanLine(Wire):
    """The planned timeline, placed on the firing's elapsed time; straight between points."""

    elapsed_s: list[float] = Field(description="Elapsed times, seconds, rising.")
    temp_c: list[float] = Field(description="Planned temperatures at those times, °C.")


class Chart(Wire):
    """The whole firing, thinned: the peaks of every channel are kept."""

    firing_id: str | None = Field(
        description="Firing that is drawn, as in the snapshot; null without one."
    )
    elapsed_s: list[float] = Field(description="Elapsed times, seconds, rising.")
    channels: dict[str, Temps] = Field(
        description="For each channel a temperature in °C for each time; null where it gave "
        "none. Where readings stopped, a row of nulls stands in the gap."
    )
    plan: PlanLine = Field(description="Empty without a plan.")
    start_time: Time = Field(default=None, description="Label of elapsed time 0.")
    chart_revision: int = Field(default=0, description="As in the snapshot.")
    revision: int = Field(ge=0, description="Revision that this chart shows.")


class Points(Wire):
    """What the chart gained since it was last sent."""

    firing_id: str | None = Field(
        description="Firing that these rows belong to; never added to another's."
    )
    elapsed_s: list[float] = Field(description="Elapsed times, seconds, rising.")
    channels: dict[str, Temps] = Field(description="As in the chart.")
    revision: int = Field(ge=0, description="Revision that these points reach.")


class Phase(Wire):
    """What the ware goes through, and when."""

    name: str = Field(description="One of the known phases, or of the schedule's own.")
    from_s: float = Field(description="Elapsed time at which it begins or began, seconds.")
    to_s: float = Field(description="And at which it ends.")


class ChartEvent(Wire):
    """Something that happened, to be marked in the chart."""

    elapsed_s: float = Field(description="When, elapsed seconds.")
    kind: str = Field(description="Kind of the event, such as stall.")
    severity: Severity = Field(description="info, warning or critical.")
    state: State = Field(description="raised, or cleared.")
    channel: str | None = Field(default=None, description="Channel concerned, if one is.")
    data: dict[str, Value] = Field(default={}, description="The figures behind it.")


class Ahead(Wire):
    """What the leading channel is expected to show from now on."""

    elapsed_s: list[float] = Field(description="Elapsed times, seconds, rising.")
    temp_c: list[float] = Field(description="Expected temperatures at those times, °C.")
    low_c: list[float] = Field(description="Four of five lie above this, °C ...")
    high_c: list[float] = Field(description="... and below this.")


class Course(Wire):
    """What stands in the chart beside readings and plan."""

    firing_id: str | None = Field(description="As in the chart.")
    ahead: Ahead | None = Field(default=None, description="null while nothing can be expected.")
    phases: list[Phase] = Field(default=[], description="By readings and forecast, in order.")
    events: list[ChartEvent] = Field(default=[], description="In order of time.")
    revision: int = Field(ge=0, description="Revision that this shows.")
