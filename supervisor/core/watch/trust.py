"""When a channel that could not be believed may be believed again.

Knows what the channel read when it was last right, how the kiln has moved since, and how often
the fault came back. Knows nothing of how faults are found.
"""

from __future__ import annotations

from supervisor.core.readings import FaultCause
from supervisor.core.watch.shed import SHED_C

_GOOD_LOOKS = 3
_GOOD_S, _LEVEL_GOOD_S = 8.0, 120.0
_GOOD_AGAIN_S = (120.0, 600.0, 1800.0)
_RELAPSE_S = 3600.0
"""A loose terminal comes and goes: a fault that returns within the hour makes the channel behave
for longer each time, so that hours of it are a few messages (common practice, no source)."""
CALM_SHARE = 0.1
"""Less than this share of looks may be wild; see ``channel``."""
_LEVEL_C, _LEVEL_PART, _LEVEL_C_PER_S, _KNOWN_S = 50.0, 0.05, 100.0 / 3600.0, 3600.0
_WARMTH = 0.6
"""Back at the old level means: within two jumps of where the channel would be by what the others
have done since (a twentieth of which placement may change), or of a cold kiln, in which that would
be most of its warmth, within so much of it and one jump; or, alone, by its own old rate, which
is as unsure as a kiln's rate and means nothing after an hour (common practice, no source)."""
_ALONE_SETTLED_S, _ALONE_SETTLED_C = 7200.0, 200.0
"""Where no other channel speaks against it, two hours will do for a level so far off at most:
better a watch that may read wrongly, and said so, than one that is blind to the end."""
_OF_THE_LEVEL = frozenset({FaultCause.JUMP, FaultCause.SHORT})
_OF_THE_CIRCUIT = frozenset({FaultCause.OPEN, FaultCause.RANGE, FaultCause.BUS, FaultCause.TYPE})


class Trust:
    """The way back. ``others_moved_c`` and ``apart_c`` are for ``following`` to set.

    ``others_moved_c`` is how far the others have moved since the fault began, ``apart_c`` how
    far the channel is from them now; None where no other channel can say.
    """

    __slots__ = (
        "_before_c",
        "_cause",
        "_good_looks",
        "_good_off_c",
        "_good_since_s",
        "_lost_s",
        "_noted_rate_c_per_s",
        "_noted_s",
        "_rate_c_per_s",
        "_regained_s",
        "_relapses",
        "apart_c",
        "noted_c",
        "others_moved_c",
    )

    def __init__(self) -> None:
        self.others_moved_c: float | None = None
        self.apart_c: float | None = None
        self.noted_c: float | None = None
        """The temperature when a value last left it."""
        self._noted_s = 0.0
        self._noted_rate_c_per_s = 0.0
        self._before_c: float | None = None
        self._rate_c_per_s = 0.0
        self._lost_s = 0.0
        self._cause: FaultCause | None = None
        self._good_looks = 0
        self._good_since_s = 0.0
        self._good_off_c = 0.0
        self._regained_s: float | None = None
        self._relapses = 0

    def note(self, elapsed_s: float, temp_c: float, rate_c_per_s: float) -> None:
        """Remember where the channel was before a value left it."""
        self.noted_c, self._noted_s, self._noted_rate_c_per_s = temp_c, elapsed_s, rate_c_per_s

    def lose(
        self, elapsed_s: float, cause: FaultCause, before_c: float | None, rate_c_per_s: float
    ) -> None:
        """A fault begins; ``before_c`` is the last level that was right, None if none was."""
        if self._cause is None:
            self._before_c, self._lost_s, self._rate_c_per_s = before_c, elapsed_s, rate_c_per_s
            if before_c is not None and before_c == self.noted_c:
                self._lost_s, self._rate_c_per_s = self._noted_s, self._noted_rate_c_per_s
        if self._regained_s is not None and elapsed_s - self._regained_s < _RELAPSE_S:
            self._relapses = min(self._relapses + 1, len(_GOOD_AGAIN_S))
        else:
            self._relapses = 0
        self._cause = cause
        self.others_moved_c = self.apart_c = None
        self.disturb()

    def rename(self, cause: FaultCause) -> None:
        """The fault that stands has another name now."""
        self._cause = cause

    def regain(self, elapsed_s: float) -> None:
        """The fault is over."""
        self._cause = None
        self._regained_s = elapsed_s
        self.disturb()

    def disturb(self) -> None:
        """The channel does not behave at the moment."""
        self._good_looks = 0

    def is_back(self, elapsed_s: float, temp_c: float, wild: float) -> bool:
        """Take in one more look at which it behaved; whether that is enough."""
        if wild > CALM_SHARE:
            self._good_looks = 0
            return False
        off_c, within_c = self._off_c(elapsed_s, temp_c), self._within_c(elapsed_s)
        if self._good_looks == 0:
            self._good_since_s, self._good_off_c = elapsed_s, off_c
        self._good_looks += 1
        good_s = elapsed_s - self._good_since_s
        at_level = self._cause in _OF_THE_LEVEL
        least_s = _LEVEL_GOOD_S if at_level else _GOOD_S
        if self._relapses:
            # What a chip that holds its configuration says is right, however often it is not heard.
            most = 2 if self._cause is FaultCause.BUS else self._relapses
            least_s = _GOOD_AGAIN_S[min(self._relapses, most) - 1]
        if self._good_looks < _GOOD_LOOKS or good_s < least_s:
            return False
        beside = self.others_moved_c is not None
        if not at_level and not (beside and self._cause in _OF_THE_CIRCUIT):
            return True
        if off_c < within_c and (beside or elapsed_s - self._lost_s < _KNOWN_S):
            return True
        if self.apart_c is not None and abs(self.apart_c) < self._level_c():
            return good_s >= _GOOD_AGAIN_S[1]
        alone = not beside and self._cause is not FaultCause.SHORT
        return alone and good_s >= _ALONE_SETTLED_S and self._good_off_c < _ALONE_SETTLED_C

    def _off_c(self, elapsed_s: float, temp_c: float) -> float:
        """How far the channel is from where it should be."""
        if self._before_c is None:
            return 0.0
        moved_c = self.others_moved_c
        if moved_c is None:
            moved_c = self._rate_c_per_s * min(elapsed_s - self._lost_s, _KNOWN_S)
        return abs(temp_c - self._before_c - moved_c)

    def _level_c(self) -> float:
        if self._before_c is None:
            return _LEVEL_C
        return min(_LEVEL_C, max(_WARMTH * (self._before_c - SHED_C), _LEVEL_C / 2.0))

    def _within_c(self, elapsed_s: float) -> float:
        level_c = self._level_c()
        if self.others_moved_c is not None:
            return level_c + _LEVEL_PART * abs(self.others_moved_c)
        return level_c + _LEVEL_C_PER_S * min(elapsed_s - self._lost_s, _KNOWN_S)
