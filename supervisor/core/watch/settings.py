"""The tolerances that a person may set, each with a default that suits most studios."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field

from supervisor.core.heatwork import Correction, Wire
from supervisor.core.units import Unit
from supervisor.core.watch.detectors.uneven import DEFAULT_UNEVEN_C
from supervisor.core.watch.sensitivity import DEFAULT_PER_1000_H
from supervisor.core.watch.shed import SHED_C

KILN_KINDS = ("electric", "gas", "wood")
"""How a kiln may be heated."""


@dataclass(frozen=True, slots=True)
class WatchSettings:
    """Tolerances of the watch. Temperatures in °C, times in seconds.

    The defaults are common practice, no source, but for ``cone_near_s``: a cone takes 15 to
    25 minutes from its first movement to its full bend (Orton, text of the chart of
    temperature equivalents), so a call 20 minutes before finds it moving.
    """

    units: Unit = Unit.C
    false_alarms_per_1000_h: float = DEFAULT_PER_1000_H
    """The one sensitivity: so many false alarms in 1,000 firing hours are accepted; more makes a
    livelier watch. From 0.01 to 100; see ``sensitivity``."""
    kiln_kind: str | None = None
    """One of ``KILN_KINDS``: what a fault usually is, and where to look, differs. None: not told,
    and messages speak of power and fire alike."""
    lagging_s: float = 30 * 60.0
    """Later than this against its plan is worth a word."""
    overshoot_c: float = 10.0
    """This far above the top of a step is too hot."""
    uneven_c: float = DEFAULT_UNEVEN_C
    """Channels of a hot kiln this far apart are worth a look; see ``detectors.uneven``."""
    cone_near_s: float = 20 * 60.0
    """A cone expected to be down within this time is worth a walk to the kiln."""
    no_readings_s: float = 120.0
    """Blind for this long is worth a warning."""
    ambient_c: float = SHED_C
    """The air about the kiln, down to which it cools; nobody measures it."""
    limit_c: float | None = None
    """The kiln maker's limit, if told."""
    open_below_c: float = 65.0
    """Ware below this can be held in the hand (common practice, no source)."""
    wires: Mapping[str, Wire] = field(default_factory=dict)
    """The thermocouple wire of each channel; one that is not named is standard type K."""
    corrections: Mapping[str, Correction] = field(default_factory=dict)
    """What real cones have shown of a channel, where the potter has accepted it."""

    @property
    def is_stoked(self) -> bool:
        """Whether the kiln is known to be fired with wood."""
        return self.kiln_kind == "wood"

    def kept(self) -> dict[str, object]:
        """The tolerances as JSON values, to be kept with a firing; ``of_kept`` reads them."""
        return {**asdict(self), "units": self.units.value}

    @classmethod
    def of_kept(cls, kept: object) -> WatchSettings | None:
        """The tolerances that ``kept`` wrote; None where they are none, or of another time."""
        if not isinstance(kept, Mapping):
            return None
        try:
            values = {**kept, "units": Unit(kept["units"])}
            for key, kind in (("wires", Wire), ("corrections", Correction)):
                values[key] = {name: kind(**one) for name, one in values.get(key, {}).items()}
            return cls(**values)
        except (KeyError, TypeError, ValueError):
            return None
