"""What the page may ask of a firing whose ware has come out, and the shapes of the answers.

Knows the narrow way to what the record says of defects, and to a plan that repeats the firing.
What people write of it goes by ``web.archive``; plans are kept by ``web.plans``. Sentences of
causes and changes come in the words of ``spyhole unload`` and ``spyhole repeat``, in English;
beside each stand its name and its figures, from which a page says it in another language.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Protocol

from pydantic import Field, StringConstraints

from supervisor.core.defects import Saying
from supervisor.core.events import Value
from supervisor.core.languages import Language
from supervisor.core.refit import Advice
from supervisor.core.units import Unit
from web.archive_models import Account, Finding, FiringRow, Photo
from web.models import Look
from web.plans import PlanDraft, PlanExplained
from web.requests import Name
from web.wire import Wire

ChangeKey = Annotated[str, StringConstraints(max_length=60)]


class Unloading(Wire):
    """A firing as its ware comes out: what it was, and what people have told of it."""

    firing: FiringRow
    target_cone: str | None = Field(description="The cone that its plan was for.")
    cones: list[str] = Field(description="The cones of its pack, the softest first.")
    accounts: list[Account] = Field(description="Load, glazes, result: the latest of each.")
    found: list[Finding] = Field(description="What stands of the findings at unloading.")
    witness: list[Look] = Field(description="What was seen of real cones, in the order of time.")
    pictures: list[Photo] = Field(description="Its photos.")


class Verdict(StrEnum):
    """How the record stands to a cause; no proof in either case."""

    SUPPORTED = "supported"
    UNKNOWN = "unknown"
    RULED_OUT = "ruled_out"


class Cause(Wire):
    """A possible cause in the firing, held against its record."""

    name: str = Field(description="The rule's name, by which `cause` and `next_time` are known.")
    cause: str = Field(description="What may have been, a clause.")
    verdict: Verdict
    saying: Saying = Field(description="Which sentence `said` is, by a name that stays.")
    said: str = Field(description="Why, a whole sentence with figures.")
    figures: dict[str, Value] = Field(description="The figures behind it, °C, seconds, °C an hour.")
    next_time: str = Field(description="What to do next time, a clause.")
    source: str = Field(description="Who describes it.")


class OutsideCause(Wire):
    """A cause outside the firing, of which the record knows nothing."""

    key: str = Field(description="Its name, by which `cause` is known.")
    cause: str = Field(description="What may have been, a clause.")
    source: str = Field(description="Who describes it.")


class TracedDefect(Wire):
    """One defect that was ticked, and what may be behind it."""

    key: str = Field(description="The defect's name.")
    title: str
    looks: str = Field(description="What it looks like.")
    causes: list[Cause] = Field(description="Those that the record supports first.")
    outside: list[OutsideCause]


class PlanWay(Wire):
    """A change that a plan can make."""

    key: str = Field(description="What `change` is to be to have it in the plan.")
    said: str = Field(description="The change in words.")


class Change(Wire):
    """A change suggested for the next firing."""

    name: str = Field(description='The rule\'s name, or "cones".')
    advice: Advice = Field(
        description="Which sentences `reason`, `change` and each way's `said` are, by a name that "
        "stays."
    )
    reason: str = Field(description="Why, a whole sentence.")
    change: str = Field(description="What, a whole sentence.")
    figures: dict[str, Value] = Field(description="The figures behind it, °C, seconds, °C an hour.")
    ways: list[PlanWay] = Field(
        description="How a plan can do it, each by itself enough; empty for what a person does."
    )


class TracedFiring(Wire):
    """What the record says of the defects that are ticked, and what may be changed next time."""

    firing_id: str
    is_whole: bool = Field(description="Whether the kiln was hot in it; else there is no more.")
    is_open: bool = Field(description="Whether it goes on: then all of it is so far.")
    defects: list[TracedDefect]
    changes: list[Change] = Field(description="What the cones say first.")
    looks: int = Field(description="How many looks at real cones there are.")
    seen_cone: str | None = Field(
        description="What the real cones make of the firing, as 5.4; null: they leave it open."
    )


class LeftOutWhat(StrEnum):
    """Why a plan does not repeat a part of the firing."""

    HEAT_LOST = "heat_lost"
    STALL = "stall"


class LeftOut(Wire):
    """What of the firing a plan does not repeat."""

    what: LeftOutWhat
    since_s: float = Field(description="Seconds from the plan's beginning.")
    lasted_s: float = Field(description="For how long, seconds.")
    temp_c: float = Field(description="Where the kiln was, °C.")


class PlanFit(Wire):
    """How well a plan repeats the firing; the figures behind `remarks`."""

    off_c: float = Field(description="How far it is off at the most up to the end of its peak, °C.")
    off_at_s: float = Field(description="When that is, seconds of the firing.")
    swing_c: float | None = Field(
        description="Up to how many °C of dips and swings it passes over; null: over none."
    )
    fired_cone: str | None = Field(
        description="The firing's heat-work up to there, as 5.4; null: it brought no cone down."
    )
    cone: str | None = Field(description="The plan's own; null: there is nothing to compare.")
    cones_apart: float | None = Field(ge=0, description="How far apart the two are, in cones.")
    agrees: bool = Field(description="Whether that is within a tenth of a cone.")
    left_out: list[LeftOut]


class AgainPlan(Wire):
    """A plan that repeats the firing, as it may be kept; nothing is written by asking for it."""

    firing_id: str
    change: str | None = Field(description="The change in it; null: as it was fired.")
    draft: PlanDraft = Field(description="As `POST /api/plans` takes it.")
    remarks: list[str] = Field(
        description="How well it repeats the firing, and what of the firing it leaves out."
    )
    fit: PlanFit
    cone_by_cones: str | None = Field(
        description="The cone that the plan comes to by the firing's real cones, as 6.1; null: "
        "they say nothing of it."
    )
    by_cones: str | None = Field(
        description="What the firing's real cones say of the plan, which its explanation does not "
        "know; null: nothing."
    )
    explained: PlanExplained


class TracedRequest(Wire):
    """What the ticks are traced to is to be kept with the firing."""

    by: Name | None = Field(default=None, description="Who ticked, if they say so.")


class UnloadDesk(Protocol):
    """Where a firing is looked back on when its kiln is unloaded.

    Called from the page's event loop; whoever implements it works in a thread. Whatever names a
    firing raises NoSuchFiringError for an id that the record does not have, RecordError where the
    record can't be read, and PeerError while too many ask.
    """

    async def unloading(self, firing_id: str | None) -> Unloading:
        """A firing with what was told of it; None: the latest that is over, or else goes on."""
        ...

    async def traced(self, firing_id: str, units: Unit) -> TracedFiring:
        """What the record says of what is ticked, in words of ``units``."""
        ...

    async def keep_traced(self, firing_id: str, by: str | None) -> None:
        """Keep with the firing what its ticks are traced to, in its own scale."""
        ...

    async def again(
        self, firing_id: str, units: Unit, change: str | None, language: Language
    ) -> AgainPlan:
        """The plan that repeats the firing in the scale ``units``, with one change or none.

        Raises InputError for a firing that never was hot, and a change that is not suggested.
        """
        ...

    async def withdraw_look(self, firing_id: str, number: int) -> None:
        """Let a look at a cone count no longer. Raises UnknownLookError."""
        ...
