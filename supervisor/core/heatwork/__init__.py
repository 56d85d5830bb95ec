"""Heat-work: how far each pyrometric cone has softened, and when it will be down.

It is a calculation from a thermocouple; the witness cone decides.
"""

from supervisor.core.heatwork.cones import CONE_NAMES, CONES, Cone, pack_around
from supervisor.core.heatwork.forecast import seconds_until_down
from supervisor.core.heatwork.integral import HeatWork, Progress

__all__ = [
    "CONES",
    "CONE_NAMES",
    "Cone",
    "HeatWork",
    "Progress",
    "pack_around",
    "seconds_until_down",
]
