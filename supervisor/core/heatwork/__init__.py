"""Heat-work: how far each pyrometric cone has softened, and when it will be down.

It is a calculation from a thermocouple; the witness cone decides.
"""

from supervisor.core.heatwork.cones import CONE_NAMES, CONES, WHOLE_CONE_NAMES, Cone, pack_around
from supervisor.core.heatwork.forecast import Leg, seconds_of_hold, seconds_until_down
from supervisor.core.heatwork.integral import HeatWork, Progress, work_along
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.heatwork.scale import cone_at, place_on_scale
from supervisor.core.heatwork.uncertainty import Correction, Wire, offset_sigma_c

__all__ = [
    "CONES",
    "CONE_NAMES",
    "WHOLE_CONE_NAMES",
    "Cone",
    "Correction",
    "HeatWork",
    "Leg",
    "Progress",
    "ThermalPath",
    "Wire",
    "cone_at",
    "offset_sigma_c",
    "pack_around",
    "place_on_scale",
    "seconds_of_hold",
    "seconds_until_down",
    "work_along",
]
