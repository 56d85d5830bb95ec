"""The shapes of what the page reads, with units in every physical name.

Knows only how things look on the wire; where they come from is the desk's business (see
``web.interface``). Inside the program it is always °C and seconds, and the page converts for
the eye. ``null`` means unknown or not there. Every ``time`` is a label for people (ISO 8601
with offset) and is never computed with on this side.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import Field

from supervisor.core.events import Severity, Value
from supervisor.core.heatwork.tip import Stance
from supervisor.core.readings import FaultCause
from supervisor.core.units import Unit
from supervisor.core.watch import Activity
from web.chart import Chart as Chart
from web.chart import PlanLine as PlanLine
from web.chart import Points as Points
from web.chart import Temps as Temps
from web.wire import Time as Time
from web.wire import Why as Why
from web.wire import Wire as Wire
from web.wire import why_shape as why_shape

LOOKS_SHOWN = 20
"""How many of the latest looks at real cones a snapshot carries."""
NOTES_SHOWN = 20
"""How many of the latest notes a snapshot carries."""
EARLIER_SHOWN = 12
"""How many of the latest alerts that are over a snapshot carries."""


class Mode(StrEnum):
    """Whether a real kiln stands behind the readings."""

    LIVE = "live"
    SIMULATION = "simulation"
    REPLAY = "replay"


class FiringState(StrEnum):
    """How far the firing is."""

    WAITING = "waiting"
    FIRING = "firing"
    FINISHED = "finished"


class ChannelState(StrEnum):
    """Whether a channel's value can be used."""

    OK = "ok"
    FAULTY = "faulty"
    SILENT = "silent"


class ConeRole(StrEnum):
    """What a cone of the pack is there for."""

    GUIDE = "guide"
    TARGET = "target"
    GUARD = "guard"


class MqttState(StrEnum):
    """How the connection to the MQTT broker stands."""

    CONNECTED = "connected"
    AWAY = "away"
    OFF = "off"


class RecordState(StrEnum):
    """Whether readings, events and notes reach the disk."""

    OK = "ok"
    FAILING = "failing"


class LogState(StrEnum):
    """Whether readings are being kept."""

    ARMED = "armed"
    OPEN = "open"
    CLOSED = "closed"


class Kiln(Wire):
    """The kiln that is watched."""

    name: str = Field(description="What its owner calls it.")
    kind: str = Field(description="Electric, gas, wood, or the owner's own word.")


class Firing(Wire):
    """The firing that is going on, or that has just ended."""

    id: str = Field(description="Identifier in the record.")
    name: str = Field(description="Name of its schedule, or of the log that is replayed.")
    started_at: Time = Field(description="When it began: label, ISO 8601 with offset.")
    state: FiringState = Field(description="waiting: not yet heating.")


class Channel(Wire):
    """One thermocouple as it stands."""

    name: str = Field(description="Its name, as in the log's columns.")
    temp_c: float | None = Field(description="Filtered temperature, °C.")
    rate_c_per_h: float | None = Field(
        description="Rate of change, °C an hour; negative when falling."
    )
    state: ChannelState = Field(
        description="faulty: gives no trustworthy value; silent: gives no value at all."
    )
    fault: str | None = Field(
        default=None, description="What is wrong and where to look, in words; null when fine."
    )
    cause: FaultCause | None = Field(default=None, description="The fault's own word.")
    leads: bool = Field(
        default=False, description="Whether the plan and the cones are followed by this channel."
    )


class PlanPosition(Wire):
    """Where in the plan the kiln is, found from the readings alone."""

    step: int = Field(ge=1, description="Number of the step, from 1.")
    steps: int = Field(ge=1, description="How many steps the plan has.")
    activity: Activity = Field(description="What the kiln does, as the plan sees it.")
    target_c: float | None = Field(description="Temperature this step leads to or holds, °C.")
    late_s: float | None = Field(
        description="Seconds behind the plan; negative when ahead of it. Firing time."
    )
    ends_in_s: float | None = Field(
        description="Expected seconds until the plan's end; null where it has none yet, in a "
        "stall say. Firing time."
    )
    hold_left_s: float | None = Field(
        default=None,
        description="Seconds of the planned hold that are left, 0 when it is over; null where "
        "the step has no hold. Firing time.",
    )


class Cone(Wire):
    """One pyrometric cone, calculated from the leading thermocouple."""

    cone: str = Field(description='Cone number, such as "022", "6" or "5.5".')
    role: ConeRole = Field(description="guide: one below the target; guard: one above it.")
    work: float = Field(ge=0, description="Heat-work done as a share of what brings it down: 1.")
    tip_angle_deg: float = Field(
        ge=0,
        le=90,
        description="Angle of the line from its foot to its tip, against the vertical, by that "
        "work: about 8 standing, 90 down. Degrees.",
    )
    clock: str = Field(
        description='Its tip as the hand of a clock, to the half hour: "4:30"; or "upright", '
        '"touching".'
    )
    stance: Stance = Field(description="bending: seen to move, not yet touching.")
    down_at_s: float | None = Field(
        default=None, description="Elapsed time at which its work was complete, seconds."
    )
    expected_in_s: float | None = Field(
        default=None,
        description="Expected seconds until it is down, firing time; null when it is not expected "
        "to go down, or nothing is foreseen.",
    )
    is_forecast: bool = Field(
        default=False,
        description="Whether the figures below and above are a forecast: false while the kiln "
        "waits or can't be seen, and of a cone that is down.",
    )
    earliest_in_s: float | None = Field(
        default=None,
        description="Seconds until it may be down at the earliest: four of five go down between "
        "this and latest_in_s.",
    )
    latest_in_s: float | None = Field(
        default=None, description="At the latest; null: perhaps not at all."
    )
    if_plan_in_s: float | None = Field(
        default=None, description="Seconds until it is down if every planned rate is kept."
    )
    at_rate_in_s: float | None = Field(
        default=None, description="Seconds until it is down if the present rate went on."
    )
    hold_in_s: float | None = Field(
        default=None, description="Seconds until it is down if the present temperature were held."
    )


class Alert(Wire):
    """An open alert: raised and not yet cleared."""

    id: str = Field(description="Identifier by which it is acknowledged.")
    kind: str = Field(description="Kind of the event behind it, such as stall.")
    severity: Severity = Field(description="info, warning or critical.")
    channel: str | None = Field(default=None, description="Channel concerned, if one is.")
    message: str = Field(
        description="A whole sentence with what to go and look at, in English, in the scale of "
        "the firing."
    )
    data: dict[str, Value] = Field(
        default={}, description="The figures behind it, with units in their names."
    )
    raised_at_s: float = Field(description="Elapsed time at which it was raised, seconds.")
    time: Time = Field(default=None, description="Label of when it was raised.")
    cleared_at_s: float | None = Field(
        default=None, description="Elapsed time at which it cleared, seconds; null while open."
    )
    acknowledged_at: Time = Field(default=None, description="Label of when a person took note.")
    reminders: int = Field(default=0, ge=0, description="How often it was told again.")
    reminded_at: Time = Field(default=None, description="Label of when it was last told again.")
    escalated_at: Time = Field(
        default=None, description="Label of when it went to others, for nobody had taken note."
    )


class Note(Wire):
    """What a person wrote down during the firing."""

    id: str = Field(description="Its number in the record, by which it is taken back.")
    elapsed_s: float = Field(description="Elapsed time at which it was written, seconds.")
    time: Time = Field(default=None, description="Label of when it was written.")
    text: str = Field(description="The note itself, plain text.")
    by: str | None = Field(default=None, description="Who wrote it, if they said so.")


class Look(Wire):
    """What a person saw of a real cone."""

    number: int = Field(description="Number in the record, by which it is taken back.")
    elapsed_s: float = Field(description="Elapsed time at which it was seen, seconds.")
    time: Time = Field(default=None, description="Label of when it was seen.")
    cone: str = Field(description='Cone number, such as "6".')
    clock: str = Field(
        description='The tip as the hand of a clock, "4:30"; or "upright", "just touching", '
        '"touching".'
    )
    channel: str | None = Field(default=None, description="Channel beside which it stood.")
    shelf: str | None = Field(default=None, description="Where it stood, in a person's words.")
    by: str | None = Field(default=None, description="Who saw it, if they said so.")
    doubt: str | None = Field(
        default=None,
        description="Why it can't be and does not count, a whole sentence; null while nothing "
        "speaks against it. Shows in a later snapshot than the look itself.",
    )
    why: Why | None = Field(default=None, description="What `doubt` is made of.")


class Correction(Wire):
    """What is added to a temperature for the calculation of cones alone, never to a reading."""

    offset_c: float = Field(description="Degrees Celsius, a difference.")
    sigma_c: float = Field(ge=0, description="Its standard deviation, degrees Celsius.")


class Estimate(Correction):
    """What all witness cones of the kiln together say of a channel."""

    observations: int = Field(ge=0, description="How many looks at cones tell of it.")
    firings: int = Field(ge=0, description="In how many firings.")


class ChannelOffset(Wire):
    """A channel's offset: what the cones say, and what counts."""

    channel: str = Field(description="The channel.")
    estimate: Estimate | None = Field(
        default=None, description="What the cones say; null while none tells of this channel."
    )
    is_proposed: bool = Field(
        default=False, description="Whether accepting the estimate is worth while."
    )
    is_too_far: bool = Field(
        default=False,
        description="Whether the estimate is more than a sound thermocouple in its place is off.",
    )
    in_force: Correction | None = Field(
        default=None, description="What a person has accepted; null: uncorrected."
    )


class Log(Wire):
    """Whether this firing's readings are kept, and what would be kept next."""

    state: LogState = Field(
        description="armed: waits for the kiln to climb, nothing is kept yet; open: being kept; "
        "closed: ended."
    )
    next_plan: str | None = Field(
        default=None,
        description="Name of the plan with which the next log would begin; null while one is "
        "being kept, and when none can begin.",
    )
    chosen_plan: str | None = Field(
        default=None,
        description="Name of the plan that a person has chosen for the next log; null: the "
        "configuration's.",
    )


class Blind(Wire):
    """The latest time in this firing in which nobody watched, such as a power cut."""

    from_time: Time = Field(description="Label of the last reading before.")
    to_time: Time = Field(description="Label of the first reading after.")
    lasted_s: float | None = Field(
        description="How long, seconds of firing time; null while no clock can tell."
    )


class Snapshot(Wire):
    """Everything the page shows but the chart, at one instant."""

    kiln: Kiln
    mode: Mode = Field(description="live: a real kiln; otherwise nothing of this is happening.")
    speed: float = Field(default=1.0, gt=0, description="Firing seconds per real second.")
    units: Unit = Field(default=Unit.C, description="Scale the kiln's owner prefers.")
    firing: Firing | None = Field(description="null when no firing is watched.")
    recording: bool = Field(description="Whether readings are kept: the log is open.")
    log: Log = Field(default=Log(state=LogState.OPEN), description="The log and its next one.")
    blind: Blind | None = Field(default=None, description="null: it was watched all the time.")
    elapsed_s: float = Field(description="Elapsed time of the latest reading, seconds.")
    time: Time = Field(default=None, description="Label of the latest reading.")
    reading_age_s: float | None = Field(
        description="REAL seconds since the latest reading in which any channel had a value, "
        "whatever the speed; null before the first one. The page ages it further by the phone's "
        "own clock."
    )
    stale_after_s: float = Field(
        default=60.0, gt=0, description="Age in REAL seconds beyond which the page says: stale."
    )
    stale: bool = Field(description="Whether the service itself counts the readings as stale.")
    temp_c: float | None = Field(
        default=None, description="The kiln's one temperature, by the leading channel, °C."
    )
    rate_c_per_h: float | None = Field(default=None, description="Its rate, °C an hour.")
    sentence_c: str = Field(description="How the firing goes, one plain sentence, in °C.")
    sentence_f: str = Field(description="The same in °F.")
    channels: list[Channel] = Field(description="Every channel, in the order shown.")
    spread_c: float | None = Field(
        default=None, description="Hottest less coldest usable channel, degrees Celsius."
    )
    plan: PlanPosition | None = Field(default=None, description="null without a plan.")
    cones: list[Cone] = Field(default=[], description="Guide, target, guard, in this order.")
    correction: Correction | None = Field(
        default=None, description="What corrects these cones; null: uncorrected."
    )
    witness: list[Look] = Field(
        default=[],
        max_length=LOOKS_SHOWN,
        description="The latest looks at real cones in this firing, newest first.",
    )
    offsets: list[ChannelOffset] = Field(
        default=[], description="Every channel's offset, in the order of channels."
    )
    alerts: list[Alert] = Field(default=[], description="Open alerts, worst first.")
    earlier: list[Alert] = Field(
        default=[],
        max_length=EARLIER_SHOWN,
        description="The latest alerts of this firing that are over, newest first.",
    )
    notes: list[Note] = Field(
        default=[], max_length=NOTES_SHOWN, description="The latest notes, newest first."
    )
    mqtt: MqttState = Field(default=MqttState.OFF, description="State of the MQTT broker's link.")
    notify_failing: list[str] = Field(
        default=[],
        description="Addresses beside the broker that take no messages now, by their place in the "
        "configuration.",
    )
    record: RecordState = Field(default=RecordState.OK, description="State of the record on disk.")
    room_warning: str | None = Field(
        default=None,
        description="That the record's disk is filling, and what to do, long before it refuses; "
        "null while there is room.",
    )
    room_left_h: float | None = Field(
        default=None,
        ge=0,
        description="Hours of a firing that the disk has room for then, if nothing else is "
        "written to it; null while there is room.",
    )
    chart_revision: int = Field(
        default=0,
        description="Within one firing, changes when the chart must be fetched anew: other "
        "channels, a plan line that has moved. New points alone don't change it.",
    )
    revision: int = Field(ge=0, description="Grows with every change of anything in here.")


class Beat(Wire):
    """Sign of life when nothing has changed."""

    reading_age_s: int | None = Field(description="As in the snapshot, in whole seconds.")


class Accepted(Wire):
    """It is in memory, not yet on disk; there is no need to send it again."""

    accepted: Literal[True] = Field(default=True, description="It will be written.")
    message: str = Field(description="One sentence for a person.")


class Health(Wire):
    """Whether the daemon is alive, for a script or a supervisor."""

    status: Literal["ok"] = Field(default="ok", description="The page is served.")
    mode: Mode = Field(description="As in the snapshot.")
    recording: bool = Field(description="As in the snapshot.")
    reading_age_s: float | None = Field(description="As in the snapshot.")
    stale: bool = Field(description="As in the snapshot.")
    record: RecordState = Field(description="As in the snapshot.")
    mqtt: MqttState = Field(description="As in the snapshot.")
    revision: int = Field(ge=0, description="As in the snapshot.")


class Problem(Wire):
    """What went wrong."""

    code: str = Field(description="Short fixed word for programs, such as not_found.")
    message: str = Field(description="One sentence for a person.")
    field: str | None = Field(default=None, description="The part of the request concerned.")
    why: Why | None = Field(
        default=None,
        description="What `message` is made of; null where it is in no other language.",
    )


class ErrorAnswer(Wire):
    """The one shape of every answer that is not a success."""

    error: Problem
