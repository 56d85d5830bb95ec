"""Small changes for the next firing, each with its reason and its size. Applies none.

From the cones: how much longer a hold, or how many degrees at the top, bring the target down,
by the law of softening along the very plan that repeats the firing. From defects: for causes that
the record supports, what to change and how much time or heat that costs. One change at a time
tells most; so each is told as if it were the only one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from supervisor.core.defects import Traced, Verdict
from supervisor.core.refit.by_cause import BY_RULE
from supervisor.core.refit.by_cones import by_cones
from supervisor.core.refit.changeable import Changeable
from supervisor.core.refit.plan import Refit
from supervisor.core.refit.suggestion import PlanChange, Suggestion
from supervisor.core.review import FiringFacts
from supervisor.core.watch.wording import Words

BY_CONES = "cones"
"""The name of what the cones suggest; every other suggestion has its rule's."""


def suggestions(
    fitted: Refit,
    facts: FiringFacts,
    words: Words,
    *,
    traced: Sequence[Traced] = (),
    limit_c: float | None = None,
) -> tuple[Suggestion, ...]:
    """What might be changed, the cones first. ``limit_c`` is the kiln maker's limit, if told."""
    plan = Changeable(fitted, facts, words, limit_c)
    found = {BY_CONES: by_cones(plan)}
    supported = (cause.name for one in traced for cause in one.of(Verdict.SUPPORTED))
    found |= {name: BY_RULE[name](plan) for name in dict.fromkeys(supported) if name in BY_RULE}
    said: dict[str, Suggestion] = {}
    for name, one in found.items():
        if one is not None:
            said.setdefault(one.change, replace(one, name=name, ways=_named(name, one)))
    return tuple(said.values())


def _named(name: str, one: Suggestion) -> tuple[PlanChange, ...]:
    """Its ways, those without a key of their own under the rule's name."""
    return tuple(way if way.key else replace(way, key=name) for way in one.ways)
