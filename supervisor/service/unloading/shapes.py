"""What was looked back on in the page's own shapes. Works nothing out."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.defects import Traced
from supervisor.core.defects import Verdict as CoreVerdict
from supervisor.core.refit import Refit, Suggestion
from supervisor.core.review.cones import name_of_place
from web import unload as page

_VERDICTS = {
    CoreVerdict.SUPPORTED: page.Verdict.SUPPORTED,
    CoreVerdict.UNKNOWN: page.Verdict.UNKNOWN,
    CoreVerdict.RULED_OUT: page.Verdict.RULED_OUT,
}


def defect_shapes(traced: Sequence[Traced]) -> list[page.TracedDefect]:
    """What the ticks were traced to."""
    return [
        page.TracedDefect(
            key=one.defect.value,
            title=one.title,
            looks=one.looks,
            causes=[
                page.Cause(
                    name=cause.name,
                    cause=cause.cause,
                    verdict=_VERDICTS[cause.verdict],
                    saying=cause.saying,
                    said=cause.said,
                    figures=dict(cause.figures),
                    next_time=cause.next_time,
                    source=cause.source,
                )
                for cause in one.causes
            ],
            outside=[
                page.OutsideCause(key=cause.key, cause=cause.cause, source=cause.source)
                for cause in one.outside
            ],
        )
        for one in traced
    ]


def change_shapes(changes: Sequence[Suggestion]) -> list[page.Change]:
    """What may be changed for the next firing."""
    return [
        page.Change(
            name=one.name,
            advice=one.advice,
            reason=one.reason,
            change=one.change,
            figures=dict(one.figures),
            ways=[
                page.PlanWay(key=way.key, said=f"{way.said[0].upper()}{way.said[1:]}")
                for way in one.ways
            ],
        )
        for one in changes
    ]


def fit_shape(fitted: Refit, begun_s: float) -> page.PlanFit:
    """How well the plan repeats the firing, which began to climb at ``begun_s``."""
    apart = fitted.cones_apart
    return page.PlanFit(
        off_c=round(fitted.off_c, 1),
        off_at_s=round(fitted.off_at_s),
        swing_c=round(fitted.swing_c, 1) if fitted.swing_c > fitted.within_c else None,
        fired_cone=_cone(fitted.fired_place),
        cone=_cone(fitted.place),
        cones_apart=None if apart is None else round(abs(apart), 2),
        agrees=fitted.agrees,
        left_out=[
            page.LeftOut(
                what=page.LeftOutWhat(one.kind.value),
                since_s=round(max(one.from_s - begun_s, 0.0)),
                lasted_s=round(one.lasted_s),
                temp_c=round(one.temp_c, 1),
            )
            for one in fitted.left_out
        ],
    )


def _cone(place: float | None) -> str | None:
    return None if place is None else name_of_place(place)
