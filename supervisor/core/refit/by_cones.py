"""How much hold, or how many degrees at the top, bring the target cone down next time."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.core.events import Value
from supervisor.core.refit.advice import Advice
from supervisor.core.refit.again import ON_ITS_CONE
from supervisor.core.refit.changeable import Changeable
from supervisor.core.refit.suggestion import PlanChange, Suggestion
from supervisor.core.review.cones import name_of_place, place_of_cone
from supervisor.core.watch.wording import show_duration

_JUST_DOWN = 0.1
"""A cone that is just down may as well not be: a tenth of a cone more makes sure."""
_SHORT, _BEYOND = ON_ITS_CONE, 0.9
"""By real cones, from so many cones short of the target or beyond it a change is worth while."""
_SHORT_BY_CALCULATION, _BEYOND_BY_CALCULATION = 0.4, 1.15
_LONG_HOLD_S = 3600.0
"""A hold so much longer comes behind some degrees more: common practice, no source."""


def by_cones(plan: Changeable) -> Suggestion | None:
    """None where the firing was on its cone, or nobody can tell."""
    fired = plan.facts.plan
    target, place = None if fired is None else fired.target_cone, plan.reached
    if fired is None or target is None or place is None:
        return None
    aim = place_of_cone(target)
    short, beyond = (
        (_SHORT, _BEYOND) if plan.by_real_cones else (_SHORT_BY_CALCULATION, _BEYOND_BY_CALCULATION)
    )
    if aim - place < short and place - aim < beyond:
        return None
    how = "by the real cones" if plan.by_real_cones else "by calculation from the thermocouple"
    reason = f"The firing was cone {name_of_place(place)} {how}; the plan wants cone {target}."
    figures: dict[str, Value] = {
        "cones": round(aim - place, 2),
        "cone": name_of_place(place),
        "target": target,
        "by_real_cones": plan.by_real_cones,
    }
    if fired.finished_s is None and place < aim:
        return Suggestion(
            Advice.CONES_BROKEN_OFF,
            f"{reason} It did not complete that plan.",
            "Find what stopped the heat before you change anything: `spyhole trends` tells "
            "whether elements or burner are tired.",
            figures,
        )
    wanted = aim + _JUST_DOWN - plan.after_peak
    hold_s, top_c = plan.hold_for(wanted), plan.top_for(wanted)
    if top_c is not None and plan.limit_c is not None and top_c > plan.limit_c:
        top_c = None
    ways = [*_hold_way(plan, hold_s, target), *_top_way(plan, top_c, target)]
    if hold_s is not None and hold_s - plan.hold_s > _LONG_HOLD_S:
        ways.reverse()
    if not ways:
        return Suggestion(
            Advice.CONES_TOO_FAR,
            reason,
            "No hold of four hours and no top near this one gives that: another plan does.",
            figures,
        )
    return Suggestion(
        Advice.CONES,
        reason,
        _sentence(ways),
        {
            **figures,
            "cones": round(aim + _JUST_DOWN - place, 2),
            "old_top_c": round(plan.top_c, 1),
            "hold_s": hold_s,
            "hold_by_s": None if hold_s is None else hold_s - plan.hold_s,
            "top_c": None if top_c is None else round(top_c, 1),
            "top_by_c": None if top_c is None else round(top_c - plan.top_c, 1),
        },
        tuple(ways),
    )


def _sentence(ways: Sequence[PlanChange]) -> str:
    text = ", or ".join(way.said for way in ways)
    return f"{text[0].upper()}{text[1:]}."


def _hold_way(plan: Changeable, hold_s: float | None, target: str) -> list[PlanChange]:
    if hold_s is None or hold_s == plan.hold_s:
        return []
    by_s = hold_s - plan.hold_s
    how = "longer" if by_s > 0.0 else "shorter"
    said = (
        f"hold {show_duration(abs(by_s))} {how} at {plan.words.temp(plan.top_c)} "
        f"({show_duration(hold_s)} in all)"
    )
    short = f"hold {show_duration(hold_s)}"
    return [PlanChange("cones-hold", said, short, hold_s=hold_s, target_cone=target)]


def _top_way(plan: Changeable, top_c: float | None, target: str) -> list[PlanChange]:
    if top_c is None or top_c == plan.top_c:
        return []
    by_c = top_c - plan.top_c
    how = "hotter" if by_c > 0.0 else "cooler"
    by, top = plan.words.difference(abs(by_c)), plan.words.temp(top_c)
    said = f"go {by} {how}, to {top}, with the same hold"
    return [PlanChange("cones-top", said, f"top {top}", top_c=top_c, target_cone=target)]
