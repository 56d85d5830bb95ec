"""The plan of a firing: what a schedule says, when it should be where, and how it is written."""

from supervisor.core.schedule.model import Atmosphere, FiringKind, Schedule, Step
from supervisor.core.schedule.parse import parse_schedule
from supervisor.core.schedule.starters import starter, starter_names, starter_text
from supervisor.core.schedule.timeline import PlannedStep, Timeline

__all__ = [
    "Atmosphere",
    "FiringKind",
    "PlannedStep",
    "Schedule",
    "Step",
    "Timeline",
    "parse_schedule",
    "starter",
    "starter_names",
    "starter_text",
]
