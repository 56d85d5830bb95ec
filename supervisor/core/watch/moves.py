"""What a kiln does by its plan, and the news of a plan that is followed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from supervisor.core.schedule import PlannedStep


class Activity(StrEnum):
    """What the kiln does, as the plan sees it."""

    WAITING = "waiting"
    CLIMBING = "climbing"
    HOLDING = "holding"
    COOLING = "cooling"
    FINISHED = "finished"


WAITING, CLIMBING, HOLDING = Activity.WAITING, Activity.CLIMBING, Activity.HOLDING
COOLING, FINISHED = Activity.COOLING, Activity.FINISHED
"""By these names where they are asked for at each look: to find a member by way of its class takes
three times as long as a call."""


@dataclass(frozen=True, slots=True)
class StepBegun:
    """The kiln has begun to move towards the top of ``step``; ``unseen_s`` is for how long nobody
    looked where the end of the heating before it was not seen, 0 where it was."""

    step: PlannedStep
    unseen_s: float = 0.0


@dataclass(frozen=True, slots=True)
class HoldDone:
    """The planned hold of ``step`` is complete; ``short_c`` is how far below its top the kiln
    stood by our thermocouple, 0 where it came up to it."""

    step: PlannedStep
    held_s: float
    short_c: float = 0.0


@dataclass(frozen=True, slots=True)
class PlanFinished:
    """The last step of the plan is complete; ``short_c`` is how far below its top the kiln let go
    by our thermocouple, 0 where it came up to it; ``unseen_s`` is as in ``StepBegun``."""

    step: PlannedStep
    short_c: float = 0.0
    unseen_s: float = 0.0


Move = StepBegun | HoldDone | PlanFinished
