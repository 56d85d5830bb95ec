"""When the ware was reduced: by the plan, and by what somebody wrote. No thermocouple tells it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from supervisor.core.review.energy import Said
from supervisor.core.review.facts import BandFacts, ReductionFacts, StepFacts
from supervisor.core.review.trace import Trace
from supervisor.core.schedule.model import Atmosphere, BandName, Schedule, Way

# English and German, as the page's own notes are.
_REDUCING = re.compile(r"\breduc(?:e|es|ed|ing|tion)\b|\w*reduktion\b|\breduzier\w*", re.IGNORECASE)
_ENDS = re.compile(
    r"\b(?:end(?:ed|s)?|over|stop(?:ped)?|done|finished|out of reduction|clear(?:ed|ing)?|"
    r"oxidi[sz](?:e|ed|ing)|oxidation|beendet|ende|vorbei|fertig|reduktion aus|oxidier\w*)\b",
    re.IGNORECASE,
)
_CLEARS = re.compile(
    r"\b(?:clear(?:ed|ing)? (?:the )?(?:smoke|kiln|flame|atmosphere)|oxidi[sz](?:e|ed|ing)|"
    r"oxidation|damper (?:is )?(?:out|open)|oxidier\w*|schieber (?:ist )?(?:auf|offen))\b",
    re.IGNORECASE,
)


def reduction_of(
    schedule: Schedule | None,
    steps: Sequence[StepFacts],
    bands: Sequence[BandFacts],
    remarks: Sequence[Said],
    trace: Trace,
) -> ReductionFacts | None:
    """None for a firing that neither its plan nor a note calls reduced."""
    is_planned = schedule is not None and schedule.atmosphere is Atmosphere.REDUCTION
    planned = _planned(steps, bands) if is_planned else (None, None)
    begun: Said | None = None
    ended: Said | None = None
    for remark in sorted(remarks, key=lambda one: one.elapsed_s):
        ends = bool(_ENDS.search(remark.text))
        if _REDUCING.search(remark.text) and not ends:
            begun = begun or remark
        elif begun is not None and ended is None and _is_of_the_end(remark.text):
            ended = remark
    if not is_planned and begun is None:
        return None
    return ReductionFacts(
        planned_from_s=planned[0],
        planned_to_s=planned[1],
        begun_s=None if begun is None else begun.elapsed_s,
        begun_said=None if begun is None else begun.text,
        begun_c=_temp(trace, begun),
        ended_s=None if ended is None else ended.elapsed_s,
        ended_said=None if ended is None else ended.text,
        ended_c=_temp(trace, ended),
    )


def _is_of_the_end(text: str) -> bool:
    return bool(_REDUCING.search(text) or _CLEARS.search(text))


def _planned(
    steps: Sequence[StepFacts], bands: Sequence[BandFacts]
) -> tuple[float | None, float | None]:
    """The step whose note speaks of reduction, or else the band of body reduction."""
    for step in steps:
        if _REDUCING.search(step.note) and step.actual is not None:
            return step.actual.start_s, step.actual.end_s
    for band in bands:
        if band.name == BandName.BODY_REDUCTION and band.way is Way.HEATING:
            return band.passage.entered_s, band.passage.left_s
    return None, None


def _temp(trace: Trace, said: Said | None) -> float | None:
    if said is None or not len(trace):
        return None
    return trace.temp_at(said.elapsed_s)
