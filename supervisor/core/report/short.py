"""The firing in a few sentences, the most important first."""

from __future__ import annotations

from collections.abc import Iterator

from supervisor.core.events import Severity
from supervisor.core.report.cells import MINUS, signed
from supervisor.core.report.papers import Papers
from supervisor.core.review import FiringFacts, PlanFacts
from supervisor.core.review.cones import name_of_place, place_of_cone
from supervisor.core.units import Unit, difference_from_c
from supervisor.core.watch.wording import Words, show_duration

DECIDE = "calculated; the witness cones decide"
_ON_TIME_S = 600.0
_NEAR_C = 1.0
_NEAR_CONE = 0.15
_FAR_C = 40.0


def in_short(papers: Papers) -> tuple[str, ...]:
    """What came of the firing."""
    facts, words = papers.facts, Words(papers.unit)
    if facts.peak is None:
        return ("There is no temperature in this log that could be believed.",)
    said = list(_fired(facts, words))
    if facts.plan is not None and facts.is_whole:
        said += _beside_plan(facts.plan, facts, words)
    said += _warned(facts)
    if papers.is_open:
        said.append("The log is not closed yet: this is how far it has come.")
    return tuple(said)


def _fired(facts: FiringFacts, words: Words) -> Iterator[str]:
    peak, cones = facts.peak, facts.lead_cones
    assert peak is not None  # noqa: S101 - asked for by the caller
    if not facts.is_whole:
        yield (
            f"This was no whole firing: the kiln came to {words.temp(peak.temp_c)}, and the log "
            f"has {show_duration(facts.last_s - facts.first_s)} of it."
        )
        return
    held = f", held for {show_duration(peak.hold_s)}" if peak.hold_s >= 60.0 else ""
    level = f" at {words.temp(peak.level_c)}" if held and peak.temp_c - peak.level_c >= 2.0 else ""
    yield f"The peak was {words.temp(peak.temp_c)}{held}{level}."
    if cones is not None:
        target = None if facts.plan is None else facts.plan.target_cone
        yield f"{_cone(cones.place, target)} ({DECIDE})."


def _cone(place: float | None, target: str | None) -> str:
    if place is None:
        lacks = "" if target is None else f"; the target was cone {target}"
        return f"No cone is down{lacks}"
    said = f"It came to cone {name_of_place(place)}"
    if target is None:
        return said
    beyond = place - place_of_cone(target)
    if abs(beyond) < _NEAR_CONE:
        return f"{said}; the target was cone {target}"
    way = "beyond" if beyond > 0.0 else "short of"
    return f"{said}, {cones_off(abs(beyond))} {way} the target, cone {target}"


def cones_off(cones: float) -> str:
    """A difference on the scale of cones.

    >>> cones_off(0.4), cones_off(1.0), cones_off(2.53)
    ('0.4 of a cone', '1.0 cones', '2.5 cones')
    """
    return f"{cones:.1f} of a cone" if round(cones, 1) < 1.0 else f"{cones:.1f} cones"


def _beside_plan(plan: PlanFacts, facts: FiringFacts, words: Words) -> Iterator[str]:
    peak = facts.peak
    assert peak is not None  # noqa: S101 - asked for by the caller
    over_c = peak.level_c - plan.peak_c
    if plan.lasted_s is None and over_c < -_FAR_C:
        yield f"“{plan.name}” wants {words.temp(plan.peak_c)}; it was not fired to its end."
        return
    if abs(over_c) < _NEAR_C:
        yield f"It stood where “{plan.name}” wants it, at {words.temp(plan.peak_c)}."
    else:
        way = "above" if over_c > 0.0 else "below"
        yield (
            f"It stood {_degrees(abs(over_c), words.unit)} {way} the {words.temp(plan.peak_c)} "
            f"of “{plan.name}”."
        )
    if plan.lasted_s is None:
        yield "The plan was not fired to its end."
        return
    late_s = plan.lasted_s - plan.planned_s
    if abs(late_s) <= _ON_TIME_S:
        yield f"The plan took {show_duration(plan.lasted_s)}, as it should."
    else:
        way = "longer" if late_s > 0.0 else "less"
        yield (
            f"The plan took {show_duration(plan.lasted_s)}, {show_duration(abs(late_s))} {way} "
            f"than it should."
        )


def _degrees(difference_c: float, unit: Unit) -> str:
    return f"{signed(difference_from_c(difference_c, unit)).lstrip('+' + MINUS)} °{unit.value}"


def _warned(facts: FiringFacts) -> Iterator[str]:
    critical = sum(trouble.severity is Severity.CRITICAL for trouble in facts.troubles)
    count = len(facts.troubles)
    if count:
        things = "1 thing" if count == 1 else f"{count} things"
        grave = f", {critical} of them critical" if critical and count > 1 else ""
        if count == 1 and critical:
            grave = ", a critical one"
        yield f"spyhole warned of {things}{grave}."
    elif facts.plan is not None:
        yield "spyhole had nothing to warn of."
    blind_s = sum(gap.to_s - gap.from_s for gap in facts.gaps)
    if blind_s:
        yield f"Nobody saw the kiln for {show_duration(blind_s)}."
