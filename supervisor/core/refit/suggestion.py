"""One change for the next firing, and what of it a plan can hold. Knows no rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from supervisor.core.events import Value
from supervisor.core.refit.advice import Advice


@dataclass(frozen=True, slots=True)
class PlanChange:
    """A change as a plan can make it; ``changed`` makes it.

    ``said`` is the change in words, ``short`` what tells the plan from others in its name.
    ``hold_s``, ``top_c`` and ``rate_c_per_h`` are the peak's new hold, top and last climb, None for
    what stays. ``slower`` is a way from one temperature to another (°C, °C) that is to be gone no
    faster than at a rate (°C an hour). ``target_cone`` is the cone that it is to bring down, None
    for the one that the firing reached.
    """

    key: str
    said: str
    short: str
    hold_s: float | None = None
    top_c: float | None = None
    rate_c_per_h: float | None = None
    slower: tuple[float, float, float] | None = None
    target_cone: str | None = None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One change: why, what, and its figures (°C, s, °C an hour, cones).

    ``advice`` is which sentences those are; with the figures they can be said in another language.
    ``ways`` are the changes of a plan that do it, each by itself enough; none for what a person
    does at the kiln. ``name`` is the rule's, or "cones".
    """

    advice: Advice
    reason: str
    change: str
    figures: Mapping[str, Value] = field(default_factory=dict)
    ways: tuple[PlanChange, ...] = ()
    name: str = ""
