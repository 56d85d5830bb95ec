"""What to change for causes of defects that the record supports, and what it costs."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from supervisor.core.events import Value
from supervisor.core.refit.advice import Advice
from supervisor.core.refit.changeable import Changeable
from supervisor.core.refit.suggestion import PlanChange, Suggestion
from supervisor.core.review.cooling import CRYSTALS_C
from supervisor.core.schedule.model import BandName, Way
from supervisor.core.watch.wording import show_duration

_SOAK_S = 15 * 60.0
_OPEN_C = 100.0
_SLOWER = 0.75
_CRYSTALS_C_PER_H, _CRYSTALS_FROM_C, _CRYSTALS_TO_C = 70.0, 1030.0, 780.0
"""As the starter midfire-slow-cool (common practice, no source)."""
_SHELF_C_PER_H, _SHELF_BELOW_C = 180.0, 650.0
_FIRST_C, _FIRST_C_PER_H = 100.0, 280.0
_REDUCE_C = 880.0
"""Sizes without another source are common practice, no source."""


def _slower(
    plan: Changeable, said: str, from_c: float, to_c: float, rate_c_per_h: float
) -> tuple[PlanChange, ...]:
    words = plan.words
    short = f"{words.rate(rate_c_per_h)} from {words.temp(from_c)} to {words.temp(to_c)}"
    return (PlanChange("", said, short, slower=(from_c, to_c, rate_c_per_h)),)


def _slower_in(name: BandName, way: Way) -> Callable[[Changeable], Suggestion | None]:
    def suggest(plan: Changeable) -> Suggestion | None:
        band = plan.facts.band(name, way)
        took_s = None if band is None else band.passage.time_s
        if band is None or band.allowed_c_per_h is None or took_s is None:
            return None
        words, passage = plan.words, band.passage
        width_c = abs(passage.to_c - passage.from_c) * min(passage.part, 1.0)
        longer_s = max(width_c / band.allowed_c_per_h * 3600.0 - took_s, 0.0)
        verb = "Climb" if way is Way.HEATING else "Cool"
        span = f"from {words.temp(passage.from_c)} to {words.temp(passage.to_c)}"
        fastest = words.rate(passage.fastest_c_per_h or 0.0)
        change = (
            f"{verb} no faster than {words.rate(band.allowed_c_per_h)} {span}: "
            f"{show_duration(longer_s)} more."
        )
        return Suggestion(
            Advice.CLIMB_SLOWER if way is Way.HEATING else Advice.COOL_SLOWER,
            f"It went up to {fastest} {span}.",
            change,
            {
                "from_c": passage.from_c,
                "to_c": passage.to_c,
                "fastest_c_per_h": round(passage.fastest_c_per_h or 0.0, 1),
                "rate_c_per_h": band.allowed_c_per_h,
                "longer_s": round(longer_s),
            },
            _slower(plan, change, passage.from_c, passage.to_c, band.allowed_c_per_h),
        )

    return suggest


def _open_later(plan: Changeable) -> Suggestion | None:
    cooling = plan.facts.cooling
    if cooling is None or cooling.opened is None or cooling.opened.temp_c <= _OPEN_C:
        return None
    opened, words = cooling.opened, plan.words
    later_s = None
    if opened.shut_c_per_h:
        constant_s = (opened.temp_c - cooling.ambient_c) / opened.shut_c_per_h * 3600.0
        later_s = constant_s * math.log(
            (opened.temp_c - cooling.ambient_c) / (_OPEN_C - cooling.ambient_c)
        )
    how_long = "" if later_s is None else f": about {show_duration(later_s)} later, shut as it was"
    return Suggestion(
        Advice.OPEN_LATER,
        f"It was opened at {words.temp(opened.temp_c)}.",
        f"Leave it shut down to {words.temp(_OPEN_C)}{how_long}; and never open it before the "
        f"kiln maker allows it.",
        {
            "opened_c": round(opened.temp_c, 1),
            "open_c": _OPEN_C,
            "later_s": None if later_s is None else round(later_s),
        },
    )


def _soak(plan: Changeable) -> Suggestion | None:
    place = plan.place()
    if place is None:
        return None
    hold_s = plan.hold_s + _SOAK_S
    top_c = plan.top_for(place, hold_s=hold_s)
    if top_c is None or top_c >= plan.top_c:
        return None
    words = plan.words
    change = (
        f"Hold {show_duration(hold_s)} there, {words.difference(plan.top_c - top_c)} cooler, at "
        f"{words.temp(top_c)}: the heat-work stays."
    )
    return Suggestion(
        Advice.SOAK,
        f"It stood {show_duration(plan.hold_s)} at its top.",
        change,
        _peak_figures(plan, hold_s, top_c),
        _another_peak(change, hold_s, words.temp(top_c), top_c),
    )


def _peak_figures(plan: Changeable, hold_s: float, top_c: float) -> dict[str, Value]:
    return {
        "old_hold_s": plan.hold_s,
        "hold_s": hold_s,
        "top_c": round(top_c, 1),
        "top_by_c": round(top_c - plan.top_c, 1),
    }


def _another_peak(said: str, hold_s: float, top: str, top_c: float) -> tuple[PlanChange, ...]:
    short = f"hold {show_duration(hold_s)} at {top}"
    return (PlanChange("", said, short, hold_s=hold_s, top_c=top_c),)


def _shorter_and_hotter(plan: Changeable) -> Suggestion | None:
    place = plan.place()
    if place is None or plan.hold_s < 2.0 * _SOAK_S:
        return None
    hold_s = round(plan.hold_s / 120.0) * 60.0
    top_c = plan.top_for(place, hold_s=hold_s)
    if top_c is None or (plan.limit_c is not None and top_c > plan.limit_c):
        return None
    words = plan.words
    change = (
        f"Hold {show_duration(hold_s)} in place of {show_duration(plan.hold_s)}, and "
        f"{words.difference(top_c - plan.top_c)} hotter, at {words.temp(top_c)}: the heat-work "
        f"stays."
    )
    return Suggestion(
        Advice.SHORTER_AND_HOTTER,
        "The body was hot for long.",
        change,
        _peak_figures(plan, hold_s, top_c),
        _another_peak(change, hold_s, words.temp(top_c), top_c),
    )


def _slower_last_climb(plan: Changeable) -> Suggestion | None:
    place, rate = plan.place(), plan.rate_c_per_h
    even = plan.facts.evenness
    if place is None or rate is None or even is None or even.peak_apart_c is None:
        return None
    slower = _SLOWER * rate
    words = plan.words
    reason = f"At the top the channels were {words.difference(even.peak_apart_c)} apart."
    hold_s = plan.hold_for(place, rate_c_per_h=slower)
    short = f"last climb {words.rate(slower)}"
    figures: dict[str, Value] = {
        "apart_c": round(even.peak_apart_c, 1),
        "old_rate_c_per_h": round(rate, 1),
        "rate_c_per_h": round(slower, 1),
    }
    if hold_s is not None and 0.0 <= hold_s <= plan.hold_s:
        change = (
            f"Make the last climb {words.rate(slower)} in place of {words.rate(rate)} and hold "
            f"{show_duration(plan.hold_s - hold_s)} shorter: the heat-work stays."
        )
        return Suggestion(
            Advice.LAST_CLIMB_SHORTER_HOLD,
            reason,
            change,
            {**figures, "hold_s": hold_s, "hold_by_s": hold_s - plan.hold_s},
            (PlanChange("", change, short, hold_s=hold_s, rate_c_per_h=slower),),
        )
    top_c = plan.top_for(place, rate_c_per_h=slower)
    if top_c is None:
        return None
    change = (
        f"Make the last climb {words.rate(slower)} in place of {words.rate(rate)} and go "
        f"{words.difference(abs(plan.top_c - top_c))} less far, to {words.temp(top_c)}: the "
        f"heat-work stays."
    )
    return Suggestion(
        Advice.LAST_CLIMB_LESS_FAR,
        reason,
        change,
        {**figures, "top_c": round(top_c, 1), "top_by_c": round(top_c - plan.top_c, 1)},
        (PlanChange("", change, short, top_c=top_c, rate_c_per_h=slower),),
    )


def _grow_crystals(plan: Changeable) -> Suggestion | None:
    cooling = plan.facts.cooling
    passage = None if cooling is None else cooling.crystals
    if passage is None or passage.mean_c_per_h is None:
        return None
    words = plan.words
    width_c = _CRYSTALS_FROM_C - _CRYSTALS_TO_C
    longer_s = width_c * (1.0 / _CRYSTALS_C_PER_H - 1.0 / passage.mean_c_per_h) * 3600.0
    change = (
        f"Cool it with heat on, {words.rate(_CRYSTALS_C_PER_H)}, from "
        f"{words.temp(_CRYSTALS_FROM_C)} to {words.temp(_CRYSTALS_TO_C)}: "
        f"{show_duration(longer_s)} more."
    )
    return Suggestion(
        Advice.GROW_CRYSTALS,
        f"From {words.temp(CRYSTALS_C[0])} to {words.temp(CRYSTALS_C[1])} it fell "
        f"{words.rate(passage.mean_c_per_h)}.",
        change,
        {
            "fell_from_c": CRYSTALS_C[0],
            "fell_to_c": CRYSTALS_C[1],
            "fell_c_per_h": round(passage.mean_c_per_h, 1),
            "from_c": _CRYSTALS_FROM_C,
            "to_c": _CRYSTALS_TO_C,
            "rate_c_per_h": _CRYSTALS_C_PER_H,
            "longer_s": round(longer_s),
        },
        _slower(plan, change, _CRYSTALS_FROM_C, _CRYSTALS_TO_C, _CRYSTALS_C_PER_H),
    )


def _no_crystals(plan: Changeable) -> Suggestion | None:
    cooling = plan.facts.cooling
    passage = None if cooling is None else cooling.crystals
    if passage is None or passage.time_s is None:
        return None
    words = plan.words
    return Suggestion(
        Advice.NO_CRYSTALS,
        f"It took {show_duration(passage.time_s)} from {words.temp(CRYSTALS_C[0])} to "
        f"{words.temp(CRYSTALS_C[1])}.",
        f"Let it fall by itself, shut, from the top to {words.temp(CRYSTALS_C[1])}: leave out the "
        f"steps that hold it back there.",
        {"time_s": round(passage.time_s), "from_c": CRYSTALS_C[0], "to_c": CRYSTALS_C[1]},
    )


def _fall_slower(plan: Changeable) -> Suggestion | None:
    cooling = plan.facts.cooling
    if cooling is None or not cooling.first_c_per_h:
        return None
    words = plan.words
    longer_s = _FIRST_C * (1.0 / _FIRST_C_PER_H - 1.0 / cooling.first_c_per_h) * 3600.0
    if longer_s <= 0.0:
        return None
    change = (
        f"Let it fall no faster than {words.rate(_FIRST_C_PER_H)} for the first "
        f"{words.difference(_FIRST_C)}, shut: {show_duration(longer_s)} more."
    )
    return Suggestion(
        Advice.FALL_SLOWER,
        f"From the top it fell {words.rate(cooling.first_c_per_h)} at first.",
        change,
        {
            "fell_c_per_h": round(cooling.first_c_per_h, 1),
            "first_c": _FIRST_C,
            "rate_c_per_h": _FIRST_C_PER_H,
            "longer_s": round(longer_s),
        },
        _slower(plan, change, plan.top_c, plan.top_c - _FIRST_C, _FIRST_C_PER_H),
    )


def _warm_slower(plan: Changeable) -> Suggestion | None:
    words = plan.words
    change = (
        f"Climb no faster than {words.rate(_SHELF_C_PER_H)} below {words.temp(_SHELF_BELOW_C)}."
    )
    return Suggestion(
        Advice.WARM_SLOWER,
        "Cold shelves were heated in a hurry.",
        change,
        {"rate_c_per_h": _SHELF_C_PER_H, "below_c": _SHELF_BELOW_C},
        _slower(plan, change, 0.0, _SHELF_BELOW_C, _SHELF_C_PER_H),
    )


def _reduce_then(plan: Changeable) -> Suggestion | None:
    reduction = plan.facts.reduction
    if reduction is None or reduction.begun_c is None:
        return None
    words = plan.words
    return Suggestion(
        Advice.REDUCE_THEN,
        f"By the notes reduction began at {words.temp(reduction.begun_c)}.",
        f"Begin it at about {words.temp(_REDUCE_C)}. Smoke is carbon monoxide: air the room, have "
        f"an alarm for it, and go by the kiln maker and the local codes.",
        {"begun_c": round(reduction.begun_c, 1), "begin_c": _REDUCE_C},
    )


BY_RULE: Mapping[str, Callable[[Changeable], Suggestion | None]] = {
    "dried-fast": _slower_in(BandName.DRYING, Way.HEATING),
    "clay-water": _slower_in(BandName.CHEMICAL_WATER, Way.HEATING),
    "quartz-up": _slower_in(BandName.QUARTZ_TURNS, Way.HEATING),
    "burnt-out-fast": _slower_in(BandName.BURNING_OUT, Way.HEATING),
    "gases-fast": _slower_in(BandName.GASES_LEAVE, Way.HEATING),
    "quartz-down": _slower_in(BandName.QUARTZ_TURNS_BACK, Way.COOLING),
    "cristobalite-down": _slower_in(BandName.CRISTOBALITE_TURNS_BACK, Way.COOLING),
    "opened-hot": _open_later,
    "no-soak": _soak,
    "long-hot": _shorter_and_hotter,
    "dropped-fast": _fall_slower,
    "crystals-no-time": _grow_crystals,
    "crystals-time": _no_crystals,
    "cool-corner": _slower_last_climb,
    "hot-corner": _slower_last_climb,
    "uneven": _slower_last_climb,
    "shelf-heated-fast": _warm_slower,
    "reduced-late": _reduce_then,
    "reduced-early": _reduce_then,
}
"""What to change for which cause; for the others the cones have said it, or nobody knows a size."""
