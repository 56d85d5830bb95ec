"""Plans to draw, and what the file of each would be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from supervisor.core.phases import PlannedPhase, heatwork_of, phases_of
from supervisor.core.schedule import FiringKind, Schedule, Step, Timeline, starter, starter_names
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.picture import write_plan
from supervisor.picture.plan import Plan

SLOW_COOL = Schedule(
    "Cone 6, cooled slowly",
    (
        Step(120.0, 80.0, 1200.0, "let it dry"),
        Step(600.0, 130.0),
        Step(1090.0, 160.0),
        Step(1205.0, 60.0, 1800.0),
        Step(1030.0, None, 1500.0),
        Step(780.0, 70.0, note="crystals grow"),
        Step(90.0, None),
    ),
    kind=FiringKind.GLAZE,
    target_cone="6",
)
ONE_STEP = Schedule("One step", (Step(1000.0, 150.0),))
NO_TIME = Schedule("It is there already", (Step(20.0, None),))
HUNDRED = Schedule(
    "A hundred steps",
    tuple(Step(20.0 + 12.0 * n, 60.0 + n, 300.0 if n % 3 else 0.0) for n in range(1, 101)),
    target_cone="6",
)
LONG = Schedule(
    "Sixty hours",
    (
        Step(120.0, 30.0, 6 * 3600.0),
        Step(600.0, 40.0, 3600.0),
        Step(1280.0, 60.0, 2 * 3600.0),
        Step(1100.0, None, 3600.0),
        Step(700.0, 25.0),
        Step(60.0, None),
    ),
    target_cone="9",
)
ENDS_HOT = Schedule(
    "Cone 6 falls when the plan is over",
    (Step(1222.0, 150.0, 600.0),),
    target_cone="6",
)
PLANS = {
    **{name: starter(name) for name in starter_names()},
    "slow cool": SLOW_COOL,
    "fahrenheit": replace(SLOW_COOL, units=Unit.F),
    "one step": ONE_STEP,
    "no time": NO_TIME,
    "hundred": HUNDRED,
    "long": LONG,
    "ends hot": ENDS_HOT,
}


def plan_of(schedule: Schedule, phases: Sequence[PlannedPhase] | None = None) -> Plan:
    """All that a picture of ``schedule`` shows."""
    timeline = Timeline(schedule)
    if phases is None:
        phases = phases_of(schedule, timeline)
    return Plan(schedule, timeline, phases, heatwork_of(timeline), Words(schedule.units))


def crowd(schedule: Schedule, count: int = 14) -> list[PlannedPhase]:
    """``count`` phases that overlap one another, each with a name of its own."""
    timeline = Timeline(schedule)
    model = phases_of(schedule, timeline)[0]
    each_s = timeline.total_s / count
    return [
        replace(
            model,
            band=replace(model.band, name=f"what happens {n} of all"),
            start_s=n * each_s,
            end_s=(n + 0.1 + n % 4) * each_s,
        )
        for n in range(count)
    ]


def draw(
    path: Path,
    schedule: Schedule = SLOW_COOL,
    sections: Sequence[tuple[str, Sequence[str]]] = (),
    phases: Sequence[PlannedPhase] | None = None,
) -> None:
    """``schedule`` drawn into ``path``."""
    plan = plan_of(schedule, phases)
    write_plan(
        path,
        schedule=schedule,
        timeline=plan.timeline,
        phases=plan.phases,
        progress=plan.progress,
        words=plan.words,
        sections=sections,
    )
