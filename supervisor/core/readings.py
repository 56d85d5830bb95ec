"""What a thermocouple source hands to the watch, and what a source must be able to do.

Knows nothing of chips, files or simulators: those stand in ``hardware`` and ``simulator``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol


class FaultCause(StrEnum):
    """Why a channel's value can't be used."""

    OPEN = "open"
    """The circuit is broken: probe, lead or terminal."""
    SHORT = "short"
    """The leads touch each other or something they should not."""
    VOLTAGE = "voltage"
    """The input is outside what a thermocouple can give: it may touch a live part."""
    RANGE = "range"
    """The converter says that the value is outside the thermocouple type's range."""
    COLD_JUNCTION = "cold_junction"
    """The terminals are too hot or too cold for a trustworthy value."""
    BUS = "bus"
    """The converter chip does not answer."""
    FROZEN = "frozen"
    """The value has not moved at all for longer than a real signal could stand still."""
    JUMP = "jump"
    """The value moved faster than a probe in a kiln can."""
    REVERSED = "reversed"
    """The value falls as the kiln heats: swapped leads."""
    TYPE = "type"
    """The values fit a thermocouple of another type than the configured one."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One look at all the channels at one instant.

    ``elapsed_s`` counts seconds from the start of the log on a clock that never jumps.
    ``temps_c`` has every channel of the source, in order, and ``None`` where the channel gave
    no value. ``faults`` has the channels for which the hardware itself reports a fault; such
    a channel's temperature is ``None``. ``time`` is the wall-clock label (ISO 8601 with
    offset) and is never computed with.
    """

    elapsed_s: float
    temps_c: Mapping[str, float | None]
    faults: Mapping[str, FaultCause] = field(default_factory=dict)
    time: str | None = None


class Source(Protocol):
    """Where readings come from: the rig, a recorded log, the simulator.

    A source is used from one thread at a time. It never blocks for longer than one look at
    its hardware takes, and a bad channel is a value of the reading, not an exception.
    """

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the channels, in the order in which they are shown."""
        ...

    def due_s(self, after_s: float | None) -> float | None:
        """When the next reading is due, in elapsed seconds.

        ``after_s`` is the elapsed time of the last reading, ``None`` before the first.
        ``None`` as an answer means that no reading will come any more (a log's end).
        """
        ...

    def read(self, elapsed_s: float) -> Reading:
        """Look at the channels now; ``elapsed_s`` is the time it is.

        The reading's own ``elapsed_s`` is this time for a rig, and the recorded time for a
        log. Raises RigError only when the hardware as a whole can't be reached.
        """
        ...

    def close(self) -> None:
        """Let go of the hardware or the file. May be called twice."""
        ...
