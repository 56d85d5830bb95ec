"""The whole report put together: which firing, what came of it, and its sections in order."""

from __future__ import annotations

from supervisor.core.report.blocks import Report
from supervisor.core.report.cones import cones_section
from supervisor.core.report.fired import evenness_section, heat_section, steps_section
from supervisor.core.report.papers import Papers
from supervisor.core.report.people import (
    accounts_section,
    blind_section,
    events_section,
    findings_section,
    notes_section,
    photos_section,
    readings_section,
    words_section,
)
from supervisor.core.report.short import DECIDE, in_short
from supervisor.core.report.ware import (
    cooling_section,
    energy_section,
    guarded_section,
    reduction_section,
    ware_section,
)
from supervisor.core.schedule.model import Atmosphere, FiringKind
from supervisor.core.watch.wording import show_clock

_IN_ORDER = (
    steps_section,
    cones_section,
    ware_section,
    cooling_section,
    heat_section,
    evenness_section,
    reduction_section,
    energy_section,
    events_section,
    words_section,
    blind_section,
    notes_section,
    accounts_section,
    findings_section,
    photos_section,
    readings_section,
)


_WALL = (
    steps_section,
    events_section,
    cones_section,
    guarded_section,
    reduction_section,
    accounts_section,
    findings_section,
    blind_section,
    evenness_section,
    cooling_section,
    notes_section,
    energy_section,
)
"""Phases are on the chart; on the wall only the guarded ones have their figures."""


def report_of(papers: Papers) -> Report:
    """Everything there is to tell of a firing, in the reader's scale."""
    wall = [section for make in _WALL if (section := make(papers)) is not None]
    return Report(
        title=papers.name or f"A firing of {papers.kiln}",
        about=_about(papers),
        short=in_short(papers),
        sections=tuple(section for make in _IN_ORDER if (section := make(papers)) is not None),
        # Nothing to warn of is said in short already.
        wall=tuple(s for s in wall if s.key != "events" or papers.facts.troubles),
        foot=f"{papers.kiln}, firing {papers.firing}; cones are {DECIDE}",
    )


def _about(papers: Papers) -> tuple[str, ...]:
    facts = papers.facts
    when = f", begun {papers.begun};" if papers.begun else ""
    length = f" {show_clock(facts.last_s - facts.first_s)} h of log"
    simulated = ", simulated" if papers.is_simulated else ""
    lines = [f"{papers.kiln}{when or ','}{length}{simulated} (firing {papers.firing})"]
    plan = facts.plan
    if plan is None:
        lines.append("No plan is known, so nothing is compared with one, and no rate is guarded.")
    else:
        kind = "" if plan.kind is FiringKind.OTHER else f"{plan.kind.value} firing, "
        air = "reduction" if plan.atmosphere is Atmosphere.REDUCTION else "oxidation"
        cone = f", for cone {plan.target_cone}" if plan.target_cone else ""
        named = "" if plan.name == papers.name else f"plan “{plan.name}”, "
        lines.append(
            f"{named}{kind}{air}{cone}".capitalize() if not named else f"{named}{kind}{air}{cone}"
        )
    return tuple(lines)
