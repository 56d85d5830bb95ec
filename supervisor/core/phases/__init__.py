"""What the ware goes through at which temperatures, and what a plan does to it."""

from supervisor.core.phases.bands import BANDS, Band, bands_of
from supervisor.core.phases.cautions import cautions_for, cone_cautions
from supervisor.core.phases.passage import PlannedPhase, phases_of
from supervisor.core.phases.worth import heatwork_of, hold_for, hold_worth

__all__ = [
    "BANDS",
    "Band",
    "PlannedPhase",
    "bands_of",
    "cautions_for",
    "cone_cautions",
    "heatwork_of",
    "hold_for",
    "hold_worth",
    "phases_of",
]
