"""Whether the kiln hurried where the ware bears no hurry, by the rule of plan and watch."""

from __future__ import annotations

from supervisor.core.defects.conditions.shared import figures_of, rates, unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.defects.saying import Saying
from supervisor.core.review import BandFacts
from supervisor.core.schedule.model import BandName, FiringKind, Way

_FAST, _MODERATE = 1.0, 0.8
"""Of the rule for guarded bands (``supervisor.core.phases.pace``): 1 is its limit."""
_SHELF_FAST_C_PER_H, _SHELF_SLOW_C_PER_H = 250.0, 180.0
_SHELF_BELOW_C = 650.0


def _band(case: Case, name: BandName, way: Way) -> Finding:
    band = case.facts.band(name, way)
    if band is None or band.passage.mean_c_per_h is None:
        return unknown(
            Saying.NOT_PASSED, "The record does not show the kiln going through those temperatures."
        )
    said = rates(case, band.passage)
    figures = figures_of(band.passage)
    if band.too_fast is None or band.allowed_c_per_h is None:
        return Finding(
            Verdict.UNKNOWN,
            Saying.PACE_FREE,
            f"{said}; this plan says nothing of how fast it may go there.",
            figures,
        )
    allowed = case.words.rate(band.allowed_c_per_h)
    figures |= {"allowed_c_per_h": band.allowed_c_per_h, "too_fast": round(band.too_fast, 2)}
    return Finding(
        between(band.too_fast, rules_out=_MODERATE, supports=_FAST),
        Saying.PACE,
        f"{said}; more than {allowed} is hurried.",
        figures,
    )


def dried_too_fast(case: Case) -> Finding:
    """Whether the first hundred degrees were hurried."""
    return _band(case, BandName.DRYING, Way.HEATING)


def clay_water_too_fast(case: Case) -> Finding:
    """Whether the water that clay is built with was driven out in a hurry."""
    return _band(case, BandName.CHEMICAL_WATER, Way.HEATING)


def quartz_too_fast_up(case: Case) -> Finding:
    """Whether quartz was made to turn in a hurry on the way up."""
    return _band(case, BandName.QUARTZ_TURNS, Way.HEATING)


def burnt_out_too_fast(case: Case) -> Finding:
    """Whether carbon and sulphur were given too little time to burn out."""
    plan = case.facts.plan
    if plan is not None and plan.kind is FiringKind.GLAZE:
        return unknown(
            Saying.BURNS_IN_BISQUE,
            "They burn out in the bisque, which is another firing: `spyhole unload` that one.",
        )
    return _band(case, BandName.BURNING_OUT, Way.HEATING)


def gases_too_fast(case: Case) -> Finding:
    """Whether gases had too little time to leave before the glaze sealed."""
    return _band(case, BandName.GASES_LEAVE, Way.HEATING)


def quartz_too_fast_down(case: Case) -> Finding:
    """Whether the kiln fell too fast where quartz turns back."""
    return _band(case, BandName.QUARTZ_TURNS_BACK, Way.COOLING)


def cristobalite_too_fast_down(case: Case) -> Finding:
    """Whether the kiln fell too fast where cristobalite turns back."""
    return _band(case, BandName.CRISTOBALITE_TURNS_BACK, Way.COOLING)


def shelf_heated_too_fast(case: Case) -> Finding:
    """Whether cold shelves were heated in a hurry."""
    low = [
        band
        for band in case.facts.bands
        if band.way is Way.HEATING
        and band.passage.to_c <= _SHELF_BELOW_C
        and band.passage.fastest_c_per_h is not None
    ]
    if not low:
        return unknown(Saying.NOT_WARMED, "The record does not show the kiln warming up.")
    fastest: BandFacts = max(low, key=lambda band: band.passage.fastest_c_per_h or 0.0)
    rate = fastest.passage.fastest_c_per_h or 0.0
    below = case.words.temp(_SHELF_BELOW_C)
    return Finding(
        between(rate, rules_out=_SHELF_SLOW_C_PER_H, supports=_SHELF_FAST_C_PER_H),
        Saying.WARMED,
        f"Below {below} it climbed {case.words.rate(rate)} at its fastest.",
        {"below_c": _SHELF_BELOW_C, "fastest_c_per_h": round(rate, 1)},
    )
