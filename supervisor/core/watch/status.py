"""What the watch knows at one instant, for the page, the MQTT status and the commands."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork import Correction
from supervisor.core.readings import FaultCause
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.moves import Activity


@dataclass(frozen=True, slots=True)
class ChannelStatus:
    """One thermocouple. ``temp_c`` and ``rate_c_per_h`` are filtered, None while not to be used."""

    name: str
    temp_c: float | None
    rate_c_per_h: float | None
    fault: FaultCause | None
    leads: bool


@dataclass(frozen=True, slots=True)
class PlanStatus:
    """Where in the plan the kiln is. ``late_s`` is negative when early; None while unknown.

    ``ends_in_s`` is None too while the climb has stalled or heat is being lost.
    """

    step: int | None
    steps: int
    activity: Activity
    target_c: float | None
    hold_s: float
    held_s: float
    late_s: float | None
    ends_in_s: float | None
    begun_s: float | None


@dataclass(frozen=True, slots=True)
class ConeStatus:
    """One cone: its calculated work (1 is down), when it went down or is expected to.

    ``forecast`` is None while the kiln waits or can't be seen, and of a cone that is down.
    """

    cone: str
    role: str
    work: float
    down_at_s: float | None
    forecast: ConeForecast | None

    @property
    def expected_in_s(self) -> float | None:
        """Seconds from now; None where it is down already, or not expected."""
        return None if self.forecast is None else self.forecast.expected_s


@dataclass(frozen=True, slots=True)
class WatchStatus:
    """Everything at one instant. ``temp_c`` is None while no channel can be trusted."""

    elapsed_s: float
    time: str | None
    temp_c: float | None
    rate_c_per_h: float | None
    channels: tuple[ChannelStatus, ...]
    plan: PlanStatus
    cones: tuple[ConeStatus, ...]
    correction: Correction | None = None
    """What is added to the leading channel's temperature for the cones; None: uncorrected."""
