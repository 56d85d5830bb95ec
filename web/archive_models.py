"""The shapes of past firings on the wire, with units in every physical name.

As in ``web.models``: °C and seconds, ``null`` for what is not known, ``time`` a label for people.
"""

from __future__ import annotations

from typing import Any

from pydantic import Field

from supervisor.core.events import Severity, State, Value
from supervisor.core.units import Unit
from web.models import Alert, Look, Mode, Note, PlanLine, Temps, Time
from web.wire import Wire


class ChannelReach(Wire):
    """What one channel of a firing came to."""

    name: str = Field(description="The channel.")
    values: int = Field(ge=0, description="Readings in which it gave a value.")
    peak_c: float | None = Field(description="Highest temperature that its filter believed, °C.")
    cone: str | None = Field(description="Hardest cone that is down by calculation.")
    next_cone: str | None = Field(description="The one after it.")
    toward_next: float = Field(ge=0, description="Share of the next cone's heat-work: 1 is down.")
    offset_c: float = Field(description="What was added for the cones alone, degrees Celsius.")


class FiringRow(Wire):
    """One firing of a list."""

    id: str = Field(description="Identifier in the record.")
    kiln: str = Field(description="The kiln's name.")
    name: str = Field(description="Name of its plan, or of the log.")
    mode: Mode = Field(description="live: a real kiln; replay: a log that was taken in.")
    is_open: bool = Field(description="Whether it goes on.")
    units: Unit = Field(description="Scale its plan was written in.")
    started_at: Time = Field(description="Label of its elapsed second 0.")
    ended_at: Time = Field(description="Label of its end.")
    length_s: float | None = Field(description="From its first reading to its last, seconds.")
    readings: int = Field(ge=0, description="How many readings are recorded.")
    channels: list[str] = Field(description="Its channels, in the order shown.")
    lead: str | None = Field(
        description="Channel that speaks for the firing; null until it is summed up, which is soon "
        "after its end."
    )
    peak_c: float | None = Field(description="That channel's highest temperature, °C.")
    cone: str | None = Field(
        description="Hardest cone down by calculation from that channel; the witness cones decide."
    )
    next_cone: str | None = Field(description="The one after it.")
    toward_next: float | None = Field(description="Share of the next cone's heat-work.")
    critical: int = Field(ge=0, description="Critical alerts.")
    warnings: int = Field(ge=0, description="Warnings.")
    notes: int = Field(ge=0, description="Notes, those of a log's other columns too.")
    looks: int = Field(ge=0, description="Looks at real cones.")
    findings: int = Field(ge=0, description="Findings at unloading.")
    photos: int = Field(ge=0, description="Photos.")


class FiringPage(Wire):
    """One page of a list of firings, the latest first."""

    total: int = Field(ge=0, description="How many firings match, on all pages.")
    offset: int = Field(ge=0, description="How many of them come before this page.")
    firings: list[FiringRow] = Field(description="The firings of this page.")
    kilns: list[str] = Field(description="Every kiln that has firings, whatever was asked for.")


class FiredStep(Wire):
    """A step of the plan and what was fired in its place; null: not known, or not reached.

    Differences are what was fired less what was planned.
    """

    number: int = Field(ge=1, description="Number of the step, from 1.")
    note: str = Field(description="The plan's note.")
    is_complete: bool = Field(description="False where it was not reached, or broken off.")
    planned_from_c: float = Field(description="°C at its planned beginning.")
    planned_to_c: float = Field(description="°C that it leads to.")
    planned_rate_c_per_h: float | None = Field(
        description="Planned rate, °C an hour, always positive; null: as the kiln goes."
    )
    planned_s: float = Field(description="Planned length with its hold, seconds.")
    planned_hold_s: float = Field(description="Planned hold, seconds.")
    begun_s: float | None = Field(description="When it really began, elapsed seconds.")
    reached_s: float | None = Field(description="When the kiln was where it leads.")
    ended_s: float | None = Field(description="When the kiln left it.")
    from_c: float | None = Field(description="°C at its beginning.")
    to_c: float | None = Field(description="°C when it was there.")
    rate_c_per_h: float | None = Field(
        description="Mean rate from the beginning until it was there, always positive."
    )
    held_s: float | None = Field(description="How long the kiln stood there, seconds.")
    late_s: float | None = Field(description="How late its end was, seconds.")
    rate_off_c_per_h: float | None = Field(description="Difference of the rates.")
    hold_off_s: float | None = Field(description="Difference of the holds, seconds.")
    top_off_c: float | None = Field(description="Difference of where it led, degrees Celsius.")


class EventRow(Wire):
    """Something that the watch said, once."""

    elapsed_s: float = Field(description="Elapsed time, seconds.")
    time: Time = Field(description="Its label.")
    kind: str = Field(description="Kind, such as stall.")
    severity: Severity = Field(description="info, warning or critical.")
    state: State = Field(description="raised or cleared.")
    channel: str | None = Field(description="Channel concerned, if one is.")
    message: str = Field(description="A whole sentence.")
    data: dict[str, Value] = Field(description="The figures behind it.")


class HandledAlert(Alert):
    """An alert with what became of it."""

    acknowledged_at_s: float | None = Field(
        default=None, description="Elapsed time at which a person took note, seconds."
    )
    acknowledged_by: str | None = Field(default=None, description="Who, if they said so.")
    cleared_at: Time = Field(default=None, description="Label of when it cleared.")
    cleared_message: str | None = Field(default=None, description="What was said then.")
    escalated_at_s: float | None = Field(
        default=None, description="Elapsed time at which it went to others, seconds."
    )


class Offset(Wire):
    """An offset of a channel, for its cones alone."""

    channel: str = Field(description="The channel.")
    offset_c: float | None = Field(description="Degrees Celsius; null: withdrawn.")
    sigma_c: float | None = Field(description="Its standard deviation.")
    elapsed_s: float | None = Field(
        description="When in the firing it was changed; null: in force from its beginning."
    )
    at: Time = Field(description="Label of when a person accepted it.")


class Account(Wire):
    """What a person tells of a firing under a topic."""

    topic: str = Field(description="Such as load, glazes, result.")
    text: str = Field(description="Plain text.")
    by: str | None = Field(default=None, description="Who, if they said so.")
    time: Time = Field(default=None, description="Label of when it was written.")


class Finding(Wire):
    """A tick at unloading."""

    key: str = Field(description="What was found, such as a defect's key.")
    level: int = Field(ge=0, description="How much of it; 0 is never shown.")
    place: str = Field(default="", description="Where in the kiln; empty: the whole load.")
    text: str | None = Field(default=None, description="A few words about it.")
    by: str | None = Field(default=None, description="Who, if they said so.")
    time: Time = Field(default=None, description="Label of when it was written.")


class Photo(Wire):
    """A photo of a firing; its bytes are at `…/photos/{number}`, a small one at `…/small`."""

    number: int = Field(description="Its number in the record.")
    media_type: str = Field(description="image/jpeg, image/png or image/webp.")
    bytes: int = Field(ge=0, description="Size of its file.")
    width_px: int = Field(description="Width as stored, before its orientation is applied.")
    height_px: int = Field(description="Height as stored.")
    caption: str | None = Field(default=None, description="What it shows.")
    by: str | None = Field(default=None, description="Who took or sent it.")
    time: Time = Field(default=None, description="Label of when it was sent.")


class ArchivedFiring(FiringRow):
    """Everything about one firing but its readings."""

    schedule_toml: str | None = Field(description="The plan as it was written; null: none.")
    settings: dict[str, Any] = Field(description="The tolerances and what else was kept with it.")
    reach: list[ChannelReach] = Field(description="Every channel; empty until it is summed up.")
    steps: list[FiredStep] = Field(description="The plan's steps beside what was fired.")
    facts: dict[str, Any] = Field(
        description="What the firing was, in figures: bands crossed, peak, times above, cooling, "
        "evenness, cones calculated and seen, and more; while it goes on, so far and roughly."
    )
    events: list[EventRow] = Field(description="All that the watch said, in its order.")
    alerts: list[HandledAlert] = Field(description="What people were told of, and what they did.")
    notes_written: list[Note] = Field(description="All notes, in the order of writing.")
    witness: list[Look] = Field(description="What was seen of real cones, in the order of time.")
    offsets: list[Offset] = Field(description="What corrected its cones, and when that changed.")
    accounts: list[Account] = Field(description="Load, glazes, result: the latest of each.")
    found: list[Finding] = Field(description="What stands of the findings at unloading.")
    pictures: list[Photo] = Field(description="Its photos.")


class ArchivedChart(Wire):
    """A firing's readings, thinned: the peaks of every channel are kept."""

    firing_id: str = Field(description="Firing that is drawn.")
    elapsed_s: list[float] = Field(description="Elapsed times, seconds, rising.")
    channels: dict[str, Temps] = Field(
        description="For each channel a temperature in °C for each time; null where it gave none. "
        "Where readings stopped, a row of nulls stands in the gap."
    )
    plan: PlanLine = Field(description="The plan where it lay in the firing; empty without one.")
    start_time: Time = Field(description="Label of elapsed second 0.")
