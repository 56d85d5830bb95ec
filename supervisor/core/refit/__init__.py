"""Do that again: a plan from an actual firing, and small changes for the next one."""

from supervisor.core.refit.advice import Advice
from supervisor.core.refit.changed import by_real_cones, changed, cone_by_real_cones
from supervisor.core.refit.course import Course, LeftOut, course_of
from supervisor.core.refit.plan import (
    AGREES_CONES,
    LEAST_WITHIN_C,
    MOST_WITHIN_C,
    USUAL_WITHIN_C,
    About,
    Refit,
    refit,
)
from supervisor.core.refit.polyline import fewest_pieces
from supervisor.core.refit.suggest import suggestions
from supervisor.core.refit.suggestion import PlanChange, Suggestion

__all__ = [
    "AGREES_CONES",
    "LEAST_WITHIN_C",
    "MOST_WITHIN_C",
    "USUAL_WITHIN_C",
    "About",
    "Advice",
    "Course",
    "LeftOut",
    "PlanChange",
    "Refit",
    "Suggestion",
    "by_real_cones",
    "changed",
    "cone_by_real_cones",
    "course_of",
    "fewest_pieces",
    "refit",
    "suggestions",
]
