"""The heat-work of one channel: which of its values count. Knows nothing of other channels.

A value counts when the channel took it up and nothing stands against the channel; it counts
filtered. What is left out is bridged by a straight line. A channel that has never moved may be
no thermocouple at all: what it showed counts from its first move on.
"""

from __future__ import annotations

from supervisor.core.heatwork import Correction, HeatWork, Wire
from supervisor.core.readings import FaultCause
from supervisor.core.watch.channel import ChannelTrack


class ChannelWork:
    """``track`` follows the channel, ``work`` adds up its heat-work.

    ``correction`` is added to the temperature for heat-work alone: the reading stays as it is.
    """

    __slots__ = ("_awaits", "_has_moved", "correction", "track", "wire", "work")

    def __init__(
        self, name: str, wire: Wire | None = None, correction: Correction | None = None
    ) -> None:
        self.track = ChannelTrack(name)
        self.wire = wire or Wire()
        self.correction = correction
        self._has_moved = False
        self._awaits: tuple[float, float] | None = None
        """The first value, until the channel has moved."""
        self.work = HeatWork(self.offset_c)

    @property
    def offset_c(self) -> float:
        """What is added to the temperature for heat-work."""
        return 0.0 if self.correction is None else self.correction.offset_c

    def correct(self, correction: Correction | None) -> None:
        """Take ``correction`` into force, for what is past as well; None takes it back."""
        self.correction = correction
        self.work.correct(self.offset_c)

    def look(self, elapsed_s: float, value_c: float | None, fault: FaultCause | None) -> bool:
        """Take in what the source saw; whether it was a value that the channel took up.

        ``elapsed_s`` is later than at the last look; ``value_c`` is None where the channel
        gave no value, ``fault`` what the hardware reports against it.
        """
        track = self.track
        temp_c = track.look(elapsed_s, value_c, fault)
        if temp_c is None:
            return False
        if track.fault is not None:
            self._awaits = None
            return True
        if not self._has_moved:
            if track.resolution_c is None:
                self._awaits = self._awaits or (elapsed_s, temp_c)
                return True
            self._has_moved = True
            if self._awaits is not None:
                self.work.add(*self._awaits)
        work = self.work
        for piece in work.path.add(elapsed_s, temp_c):
            work.count(piece)
        return True
