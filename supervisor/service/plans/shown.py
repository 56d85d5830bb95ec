"""A plan's explanation in the page's shapes. Words and figures are those of ``spyhole plan``."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.errors import InputError
from supervisor.core.heatwork.cones import ALLOWED_CONES
from supervisor.core.languages import Language
from supervisor.core.phases.explain import Explanation, explain
from supervisor.core.phases.line import Line
from supervisor.core.reasons import Reason
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.schedule.parse import cone_name
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.picture.drawing import NARROW, WIDE, draw_plan
from supervisor.picture.german import GermanPlan
from supervisor.picture.plan import Plan
from supervisor.picture.scene import Area, Picture, Scene, Text
from web import plans as page


def explained_shape(
    schedule: Schedule,
    units: Unit,
    *,
    limit_c: float | None,
    hold_for: str | None = None,
    without: Sequence[Line] = (),
    language: Language = Language.EN,
) -> page.PlanExplained:
    """Everything there is to say of ``schedule``, in words of ``units``, with its drawings.

    ``limit_c`` is what the kiln's maker allows; ``without`` are cautions that do not hold. In
    ``language`` are the words of the drawings alone. Raises InputError for a ``hold_for`` that is
    no cone.
    """
    cone = None if hold_for is None else cone_name(hold_for)
    if hold_for is not None and cone is None:
        raise InputError(f"“{hold_for}” is no cone; allowed are {ALLOWED_CONES}").because(
            Reason.NO_CONE, text=hold_for[:20]
        )
    timeline, words = Timeline(schedule), Words(units)
    said = explain(schedule, timeline, words, limit_c=limit_c, hold_for_cone=cone)
    drawn = GermanPlan if language is Language.DE else Plan
    plan = drawn(schedule, timeline, said.phases, said.progress, words)
    interval = said.interval
    cautions = [one for one in said.cautions if one not in without]
    return page.PlanExplained(
        name=said.name,
        summary=said.summary,
        total_s=round(timeline.total_s, 1),
        peak_c=round(schedule.peak_c, 2),
        target_cone=schedule.target_cone,
        cone=said.progress.cone,
        coolest=None if interval is None else interval.coolest,
        hottest=None if interval is None else interval.hottest,
        sections=[
            page.PlanSection(
                heading=heading, lines=_texts(lines), parts=[_part(one) for one in lines]
            )
            for heading, lines in said.sections
        ],
        cautions=_texts(cautions),
        caution_parts=[_part(one) for one in cautions],
        hold_for=_hold_shape(said, schedule),
        picture=page.PlanPicture(
            wide=_drawing_shape(draw_plan(plan, WIDE)),
            narrow=_drawing_shape(draw_plan(plan, NARROW)),
        ),
    )


def _texts(lines: Sequence[Line]) -> list[str]:
    return [str(line) for line in lines]


def _part(line: Line) -> page.PlanPart:
    return page.PlanPart(saying=line.saying, figures=line.figures)


def _drawing_shape(scene: Scene) -> page.Drawing:
    return page.Drawing(
        width=scene.width,
        height=scene.height,
        title=scene.title,
        description=scene.description,
        shapes=[
            page.PictureShape(
                role=shape.role.value,
                points=[round(length, 2) for length in shape.at],
                text=shape.text,
                size=shape.size,
                anchor=shape.anchor.value,
                is_bold=shape.bold,
            )
            if isinstance(shape, Text)
            else page.PictureShape(
                role=shape.role.value,
                points=[round(length, 2) for point in shape.points for length in point],
                is_area=isinstance(shape, Area),
            )
            for shape in scene.shapes
            if not isinstance(shape, Picture)  # a plan has no photos
        ],
    )


def _hold_shape(said: Explanation, schedule: Schedule) -> page.HoldFor | None:
    wanted = said.wanted
    if wanted is None:
        return None
    heat = next(lines for heading, lines in said.sections if heading == "Heat-work")
    peak = schedule.peak_step
    return page.HoldFor(
        cone=wanted.cone,
        hold_min=None if wanted.limit_c is not None else wanted.hold_min,
        step=peak,
        others=[
            place
            for place, step in enumerate(schedule.steps)
            if step.to_c == schedule.peak_c and place != peak
        ],
        sentence=str(heat[-1]),
        part=_part(heat[-1]),
    )
