"""Made-up courses, point by point, for the rules that say what is owed and what is so.

A course is written down as its temperatures; nothing is simulated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from simulator.draw import draw_firing
from simulator.faults import FaultKind, FaultSpec
from simulator.operation import Operation
from simulator.scenario_model import Scenario
from simulator.thermocouple import SensorSpec
from supervisor.core.schedule import Schedule, Step
from supervisor.fleet.course import GRID_S, Aim, Course

PEAK_C = 1000.0
RATE_C_PER_H = 100.0
PLAN = Schedule("made up", (Step(PEAK_C, RATE_C_PER_H, 3600.0),))


def made_up(kind: FaultKind | None, *, channels: int = 1, **spec: object) -> Scenario:
    """A firing of ``PLAN`` with probes that are right, with that fault or none."""
    faults = () if kind is None else (FaultSpec(kind, at_s=0.0, **spec),)  # type: ignore[arg-type]
    return replace(
        draw_firing(0),
        schedule=PLAN,
        operation=Operation(),
        start_delay_s=0.0,
        faults=faults,
        sensors=tuple(SensorSpec(f"probe{n}", "middle", offset_c=0.0) for n in range(channels)),
    )


def course(
    scenario: Scenario,
    temp_c: Callable[[float], float | tuple[float, ...]],
    hours: float,
    *,
    onset_s: float | None = None,
    aim: Callable[[float], Aim] = lambda hour: Aim.CLIMBING,
    step: Callable[[float], int] = lambda hour: 0,
) -> Course:
    """A course whose junctions are at ``temp_c`` of the hour."""
    made = Course(scenario)
    for point in range(round(hours * 3600.0 / GRID_S)):
        hour = point * GRID_S / 3600.0
        temps = temp_c(hour)
        made.temps_c.append(temps if isinstance(temps, tuple) else (temps,))
        made.aims.append(aim(hour))
        made.steps.append(step(hour))
    made.onset_s = onset_s
    return made


def planned_c(hour: float) -> float:
    """On the plan."""
    return min(20.0 + RATE_C_PER_H * hour, PEAK_C)


def planned_aim(hour: float) -> Aim:
    """What the operator is at, on the plan."""
    return Aim.CLIMBING if hour < 9.8 else Aim.HOLDING if hour < 10.8 else Aim.FINISHED
