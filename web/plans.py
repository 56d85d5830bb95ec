"""What the page may ask of firing plans, and their shapes on the wire.

Knows the narrow way to the plans and what passes through it: look at one, have a draft explained,
keep a draft as a new file, choose what is fired next. Nothing that is there is ever rewritten.
Figures of a draft are as a person typed them; the answer says which of them do not fit.
"""

from __future__ import annotations

from typing import Annotated, Protocol

from pydantic import Field, StringConstraints

from supervisor.core.errors import InputError
from supervisor.core.events import Value
from supervisor.core.languages import Language
from supervisor.core.phases.line import PlanSaying
from supervisor.core.units import Unit
from web.wire import Why, Wire

MOST_STEPS = 200
"""More steps than any plan may have, so that the answer can say so."""
_TEXT_MAX_CHARS = 2000

Typed = Annotated[str, StringConstraints(max_length=_TEXT_MAX_CHARS)]
Figure = float | Annotated[str, StringConstraints(max_length=40)] | None
PlanId = Annotated[str, StringConstraints(min_length=1, max_length=255)]


class UnknownPlanError(InputError):
    """There is no plan of that id."""


class PlanEntry(Wire):
    """One plan in the list."""

    id: str = Field(description='A starter\'s name, or the name of a file: "my-glaze.toml".')
    name: str = Field(description="What its writer calls it.")
    is_starter: bool = Field(description="Whether it comes with spyhole.")
    kind: str | None = Field(default=None, description="bisque, glaze or other.")
    atmosphere: str | None = Field(default=None, description="oxidation or reduction.")
    target_cone: str | None = Field(default=None, description="The cone that it is for.")
    peak_c: float | None = Field(default=None, description="Its highest temperature, °C.")
    total_s: float | None = Field(default=None, description="How long it takes, seconds.")
    problem: str | None = Field(
        default=None, description="Why the file is no plan, a whole sentence; null when it is one."
    )
    why: Why | None = Field(default=None, description="What `problem` is made of.")


class NextPlan(Wire):
    """What the next log begins with."""

    chosen_id: str | None = Field(
        default=None, description="The plan that was chosen on the page; null: none was."
    )
    chosen_name: str | None = Field(default=None, description="What its writer calls it.")
    usual_name: str = Field(description="The plan that is used when none is chosen.")


class PlanList(Wire):
    """Every plan, the starters first."""

    plans: list[PlanEntry]
    folder: str = Field(description="Where the files lie.")
    next: NextPlan


class DraftStep(Wire):
    """One step as it stands in the form."""

    rate: Figure = Field(
        default=None, description="Degrees an hour; null or empty: as fast as the kiln goes."
    )
    to: Figure = Field(default=None, description="Where it leads, degrees.")
    hold_min: Figure = Field(default=None, description="How long it holds there, minutes.")
    note: Typed = Field(default="", description="What it is for.")


class PlanDraft(Wire):
    """A plan as it stands in the form, in its own scale."""

    name: Typed = Field(description="What its writer calls it; the file is named after it.")
    units: Unit = Field(description="Every temperature and rate in it is in this scale.")
    kind: Annotated[str, StringConstraints(max_length=40)] = "other"
    atmosphere: Annotated[str, StringConstraints(max_length=40)] = "oxidation"
    target_cone: Annotated[str, StringConstraints(max_length=40)] | None = None
    steps: Annotated[list[DraftStep], Field(max_length=MOST_STEPS)]
    bands: Annotated[list[dict[str, bool | float | Typed]], Field(max_length=MOST_STEPS)] = Field(
        default=[],
        description="Bands that it changes, under the keys of the file. The form shows and keeps "
        "them.",
    )


class PlanMistake(Wire):
    """What does not fit, and where."""

    field: str = Field(description='"name", "step.0.to", "band.1": steps count from 0.')
    message: str = Field(description="One sentence for a person.")
    why: Why | None = Field(
        default=None,
        description="What `message` is made of; null where it is in no other language.",
    )


class PlanPart(Wire):
    """What a sentence about a plan is made of: from it a page says it in another language."""

    saying: PlanSaying = Field(description="Which sentence it is, by a name that stays.")
    figures: dict[str, Value] = Field(description="Its figures, °C, seconds, °C an hour.")


class HoldFor(Wire):
    """How long the peak is to be held for a cone."""

    cone: str
    hold_min: int | None = Field(
        description="Whole minutes in place of the plan's own; null when no hold is proposed."
    )
    step: int = Field(ge=0, description="The step that holds, from 0.")
    others: list[int] = Field(
        description="Other steps at the peak, whose holds are then to be nothing."
    )
    sentence: str = Field(description="The same in words.")
    part: PlanPart = Field(description="What `sentence` is made of.")


class PlanSection(Wire):
    """A part of the explanation."""

    heading: str
    lines: list[str] = Field(description="Whole sentences; some begin with times of the plan.")
    parts: list[PlanPart] = Field(description="What each of `lines` is made of.")


class PictureShape(Wire):
    """A line, an area or a text of a drawing, in the drawing's own lengths, y downwards."""

    role: str = Field(description="What it is for; the style sheet says how that looks.")
    points: list[float] = Field(description="x and y of each corner in turn; of a text, its place.")
    is_area: bool = Field(default=False, description="Whether it is closed and filled.")
    text: str | None = Field(default=None, description="null for lines and areas.")
    size: float | None = Field(default=None, description="Height of the letters.")
    anchor: str | None = Field(default=None, description="start, middle or end of a text.")
    is_bold: bool = False


class Drawing(Wire):
    """A drawing as its shapes, in the order of painting."""

    width: float
    height: float
    title: str
    description: str = Field(description="The drawing in words.")
    shapes: list[PictureShape]


class PlanPicture(Wire):
    """The plan drawn."""

    wide: Drawing = Field(description="For large screens.")
    narrow: Drawing = Field(description="For a phone held upright.")


class PlanExplained(Wire):
    """Everything that there is to say of a plan, in the scale that was asked for."""

    name: str
    summary: str
    total_s: float
    peak_c: float
    target_cone: str | None
    cone: str | None = Field(description="The hardest cone that goes down by calculation.")
    coolest: str | None = Field(
        description="In four firings of five the hardest cone down lies between this and hottest; "
        "null: perhaps none."
    )
    hottest: str | None
    sections: list[PlanSection]
    cautions: list[str]
    caution_parts: list[PlanPart] = Field(description="What each of `cautions` is made of.")
    hold_for: HoldFor | None
    picture: PlanPicture


class PlanShown(Wire):
    """One plan."""

    entry: PlanEntry
    draft: PlanDraft | None = Field(description="null for a file that is no plan.")
    explained: PlanExplained | None = Field(description="null for a file that is no plan.")


class PlanAnswer(Wire):
    """What there is to say of a draft: its mistakes, or the whole explanation."""

    mistakes: list[PlanMistake]
    explained: PlanExplained | None = Field(description="null while there are mistakes.")


class ExplainRequest(Wire):
    """A draft that is to be explained."""

    draft: PlanDraft
    units: Unit = Field(description="Scale of the answer's words.")
    hold_for: Annotated[str, StringConstraints(max_length=20)] | None = Field(
        default=None, description="A cone whose hold at the peak is asked for."
    )
    language: Language = Field(default=Language.EN, description="Language of the drawing's words.")


class SaveRequest(Wire):
    """A draft that is to be kept as a new file."""

    draft: PlanDraft


class SaveAnswer(Wire):
    """What became of it."""

    mistakes: list[PlanMistake]
    saved: PlanEntry | None = Field(description="null while there are mistakes.")


class ChooseRequest(Wire):
    """What is to be fired next."""

    id: PlanId | None = Field(description="The plan's id; null: the usual one.")


class PlanDesk(Protocol):
    """Where plans are looked at, tried and kept. Called from the page's event loop."""

    async def plans(self) -> PlanList:
        """Every plan there is now."""
        ...

    async def plan(
        self, plan_id: str, units: Unit, hold_for: str | None, language: Language
    ) -> PlanShown:
        """One plan, explained in words of ``units``, with the hold for a cone if one is named.

        Raises UnknownPlanError, InputError for what is no cone.
        """
        ...

    async def explain(self, request: ExplainRequest) -> PlanAnswer:
        """What there is to say of a draft. Raises PeerError while too many are asked for."""
        ...

    async def save(self, draft: PlanDraft) -> SaveAnswer:
        """Keep a draft as a new file; on disk, and read back, when this returns.

        A name that is taken is a mistake like any other. Raises PeerError when the disk refuses.
        """
        ...

    async def choose(self, plan_id: str | None) -> NextPlan:
        """Begin the next log with this plan, None for the usual one; on disk when this returns.

        A log that is being kept does not change. Raises UnknownPlanError, InputError for a file
        that is no plan, PeerError or RecordError when the disk refuses.
        """
        ...
