"""What was looked back on in the page's own shapes. Works nothing out."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.defects import Traced
from supervisor.core.defects import Verdict as CoreVerdict
from supervisor.core.refit import Suggestion
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
                    said=cause.said,
                    figures=dict(cause.figures),
                    next_time=cause.next_time,
                    source=cause.source,
                )
                for cause in one.causes
            ],
            outside=[
                page.OutsideCause(cause=cause.cause, source=cause.source) for cause in one.outside
            ],
        )
        for one in traced
    ]


def change_shapes(changes: Sequence[Suggestion]) -> list[page.Change]:
    """What may be changed for the next firing."""
    return [
        page.Change(
            name=one.name,
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
