"""What changes from firing to firing of one kiln, and whether it is more than chance."""

from supervisor.core.trends.heating import Cooling, Heating, heating_of
from supervisor.core.trends.point import Apart, FiringPoint, point_of
from supervisor.core.trends.theil_sen import Line, theil_sen
from supervisor.core.trends.trends import (
    Forecast,
    Trend,
    TrendKind,
    Value,
    Verdict,
    trends_of,
    usual_cooling,
)
from supervisor.core.trends.wording import say

__all__ = [
    "Apart",
    "Cooling",
    "FiringPoint",
    "Forecast",
    "Heating",
    "Line",
    "Trend",
    "TrendKind",
    "Value",
    "Verdict",
    "heating_of",
    "point_of",
    "say",
    "theil_sen",
    "trends_of",
    "usual_cooling",
]
