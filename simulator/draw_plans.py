"""Schedules made up by dice: what potters fire, within what a given kiln can do.

Knows the ways of firing in broad strokes (common practice, no source) and how fast a kiln climbs
at full power. Cones' temperatures are the published equivalents at 60 °C/h.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from random import Random

from simulator.kiln import Kiln
from simulator.kiln_spec import KilnSpec
from supervisor.core.schedule import Atmosphere, FiringKind, Schedule, Step, starter, starter_names
from supervisor.core.units import Unit, c_from_f, f_from_c

CONE_C = {
    "018": 715.0,
    "010": 903.0,
    "06": 998.0,
    "05": 1031.0,
    "04": 1063.0,
    "01": 1119.0,
    "3": 1152.0,
    "5": 1186.0,
    "6": 1222.0,
    "8": 1249.0,
    "10": 1285.0,
}
"""Orton, Temperature Equivalents (°C), self-supporting cones, 60 °C/h, 2016."""

_SPARE = 0.7
"""A plan asks for no more than this part of the climb that is there at full power."""
_SLOWEST_C_PER_H = 25.0
_CLIMB_STEP_S = 30.0
_CLIMB_EVERY_C = 50.0
_IN_F = 0.3
"""The part of plans that is written in °F."""


@lru_cache(maxsize=64)
def climb_c_per_h(kiln: KilnSpec) -> tuple[tuple[float, float], ...]:
    """(temperature in °C, climb in °C/h) of a kiln at full power from cold, up to where it gives
    out."""
    live = Kiln(kiln, ambient_c=20.0)
    table = []
    before_c, since_s, next_c = live.chamber_c, 0.0, 100.0
    while live.chamber_c < 1350.0 and since_s < 3600.0:
        live.advance(live.available_w, _CLIMB_STEP_S)
        since_s += _CLIMB_STEP_S
        if live.chamber_c >= next_c:
            table.append((live.chamber_c, (live.chamber_c - before_c) * 3600.0 / since_s))
            before_c, since_s = live.chamber_c, 0.0
            next_c = live.chamber_c + _CLIMB_EVERY_C
    return tuple(table)


def reaches_c(kiln: KilnSpec) -> float:
    """How hot a plan for this kiln may go."""
    return max((temp_c for temp_c, rate in climb_c_per_h(kiln) if _SPARE * rate >= 60.0), default=0)


def within(schedule: Schedule, kiln: KilnSpec, start_c: float = 20.0) -> Schedule:
    """The schedule with no climb faster than the kiln can well do."""
    steps = []
    from_c = start_c
    for step in schedule.steps:
        rate = step.rate_c_per_h
        if rate is not None and step.to_c > from_c:
            there = [
                climb for temp_c, climb in climb_c_per_h(kiln) if temp_c <= step.to_c + 25.0
            ] or [1000.0]
            rate = max(_SLOWEST_C_PER_H, min(rate, _SPARE * min(there)))
        steps.append(replace(step, rate_c_per_h=None if rate is None else round(rate)))
        from_c = step.to_c
    return replace(schedule, steps=tuple(steps))


def drawn_plan(
    dice: Random, kiln: KilnSpec, *, by_hand: bool, reduction: bool, short_holds: bool
) -> Schedule:
    """A plan for this kiln.

    ``by_hand`` allows for no worked cooling, ``short_holds`` for no hold longer than a quarter
    of an hour, ``reduction`` asks for a reduction firing.
    """
    hottest_c = reaches_c(kiln)
    if reduction and hottest_c > 1230.0:
        plan = starter("highfire-reduction") if dice.random() < 0.4 else _reduction(dice, hottest_c)
    elif dice.random() < 0.3:
        plan = _starter(dice, hottest_c, by_hand=by_hand)
    else:
        makers: list[Callable[[Random, float], Schedule]] = [_bisque, _glaze, _glaze, _reglaze]
        if not by_hand:
            makers += [_fired_down, _long_hold, _slow_crystals, _natural]
        plan = dice.choice(makers)(dice, hottest_c)
    if short_holds:
        plan = replace(
            plan, steps=tuple(replace(step, hold_s=min(step.hold_s, 900.0)) for step in plan.steps)
        )
    plan = within(plan, kiln)
    return _in_f(plan) if dice.random() < _IN_F else plan


def raku_plan(dice: Random) -> Schedule:
    """A quick firing, to be opened hot."""
    top_c = dice.uniform(960.0, 1010.0)
    return Schedule(
        "Made up: raku",
        (Step(300.0, dice.uniform(200.0, 350.0)), Step(top_c, dice.uniform(350.0, 600.0), 300.0)),
        kind=FiringKind.GLAZE,
    )


def _starter(dice: Random, hottest_c: float, *, by_hand: bool) -> Schedule:
    fits = [
        one
        for one in map(starter, starter_names())
        if one.peak_c <= hottest_c and not (by_hand and one.peak_step < len(one.steps) - 1)
    ]
    return dice.choice(fits) if fits else _bisque(dice, hottest_c)


def _cone(dice: Random, hottest_c: float, lowest: str, highest: str) -> str:
    low_c, high_c = CONE_C[lowest], CONE_C[highest]
    fits = [cone for cone, temp_c in CONE_C.items() if low_c <= temp_c <= min(high_c, hottest_c)]
    return dice.choice(fits) if fits else "018"


def _made_up(
    what: str, steps: list[Step], cone: str, kind: FiringKind, atmosphere: Atmosphere | None = None
) -> Schedule:
    return Schedule(
        f"Made up: {what}",
        tuple(steps),
        kind=kind,
        atmosphere=atmosphere or Atmosphere.OXIDATION,
        target_cone=cone,
    )


def _last_climb(dice: Random, cone: str, hold_min: tuple[float, float] = (5.0, 25.0)) -> list[Step]:
    """Up to the cone at its own rate, and a hold that makes sure of it."""
    top_c = CONE_C[cone]
    return [
        Step(top_c - dice.uniform(80.0, 120.0), dice.uniform(100.0, 220.0)),
        Step(top_c, dice.uniform(50.0, 110.0), 60.0 * round(dice.uniform(*hold_min))),
    ]


def _bisque(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "010", "01")
    steps = [
        Step(
            round(dice.uniform(80.0, 110.0)), dice.uniform(30.0, 80.0), dice.choice([0.0, 7200.0])
        ),
        Step(dice.uniform(200.0, 300.0), dice.uniform(50.0, 100.0)),
        Step(dice.uniform(590.0, 650.0), dice.uniform(80.0, 130.0)),
        *_last_climb(dice, cone),
    ]
    return _made_up("bisque", steps, cone, FiringKind.BISQUE)


def _glaze(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "06", "10")
    steps = [
        Step(dice.uniform(100.0, 140.0), dice.uniform(60.0, 100.0), dice.choice([0.0, 900.0])),
        Step(dice.uniform(560.0, 650.0), dice.uniform(100.0, 200.0)),
        *_last_climb(dice, cone),
    ]
    return _made_up("glaze", steps, cone, FiringKind.GLAZE)


def _reglaze(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "018", "6")
    steps = [Step(dice.uniform(230.0, 260.0), dice.uniform(40.0, 70.0)), *_last_climb(dice, cone)]
    return _made_up("glazed ware fired again", steps, cone, FiringKind.GLAZE)


def _natural(dice: Random, hottest_c: float) -> Schedule:
    plan = _glaze(dice, hottest_c)
    steps = [replace(plan.steps[0], rate_c_per_h=None), *plan.steps[1:]]
    steps.append(Step(dice.uniform(900.0, 950.0), None, 60.0 * dice.randint(10, 40)))
    if plan.peak_c < 1000.0:
        steps.pop()
    return replace(plan, name="Made up: natural first step", steps=tuple(steps))


def _fired_down(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "04", "10")
    steps = [
        *_glaze(dice, CONE_C[cone]).steps[:2],
        *_last_climb(dice, cone),
        Step(CONE_C[cone] - dice.uniform(60.0, 120.0), dice.uniform(90.0, 200.0)),
        Step(dice.uniform(760.0, 850.0), dice.uniform(40.0, 90.0)),
    ]
    return _made_up("fired down", steps, cone, FiringKind.GLAZE)


def _long_hold(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c - 20.0, "05", "8")
    steps = [*_glaze(dice, CONE_C[cone]).steps[:2], *_last_climb(dice, cone, (60.0, 240.0))]
    return _made_up("a long hold", steps, cone, FiringKind.GLAZE)


def _slow_crystals(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "6", "10")
    steps = [
        *_glaze(dice, CONE_C[cone]).steps[:2],
        *_last_climb(dice, cone),
        Step(round(dice.uniform(1040.0, 1100.0)), None, 3600.0 * round(dice.uniform(1.0, 5.0), 1)),
        Step(dice.uniform(900.0, 1000.0), dice.uniform(20.0, 60.0)),
    ]
    if CONE_C[cone] < 1150.0:
        steps = steps[:-2]
    return _made_up("crystals grown slowly", steps, cone, FiringKind.GLAZE)


def _reduction(dice: Random, hottest_c: float) -> Schedule:
    cone = _cone(dice, hottest_c, "8", "10")
    steps = [
        Step(dice.uniform(100.0, 140.0), dice.uniform(60.0, 100.0)),
        Step(dice.uniform(860.0, 890.0), dice.uniform(110.0, 180.0)),
        Step(dice.uniform(940.0, 980.0), dice.uniform(30.0, 70.0), note="body reduction"),
        *_last_climb(dice, cone),
    ]
    return _made_up("reduction", steps, cone, FiringKind.GLAZE, Atmosphere.REDUCTION)


def _in_f(plan: Schedule) -> Schedule:
    """The same plan as somebody would write it in °F: whole and often round numbers."""
    steps = tuple(
        replace(
            step,
            to_c=c_from_f(5.0 * round(f_from_c(step.to_c) / 5.0)),
            rate_c_per_h=None
            if step.rate_c_per_h is None
            else max(1, round(step.rate_c_per_h * 1.8 / 5.0)) * 5.0 / 1.8,
        )
        for step in plan.steps
    )
    return replace(plan, steps=steps, units=Unit.F)
