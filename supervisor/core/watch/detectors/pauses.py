"""How long this kiln has paused and climbed on: what a stall must last longer than.

A controller pauses at a corner, a person who looks elsewhere between two turns of a tap, a fire
between two charges. Each pause that is over tells how long the next may last. Knows nothing of
what a pause is measured by.
"""

from __future__ import annotations

from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.moment import Moment

_MARGIN, _LONGEST_S = 1.25, 560.0
"""A kiln that swings, between two stokes say, has been seen to fall short for so long and climb
on. What counts of it is capped, so that a real stall stays within a quarter of an hour."""
LONGEST_CHARGE_S = 1080.0
"""A fire that is stoked in charges climbs and falls with each, and climbs as planned over a whole
one. When a charge is missed is known only after the longest that it lately took."""
_RHYTHM_S, _RHYTHM = 5400.0, 2
"""So many pauses in so long are a rhythm, whatever fire it is (common practice, no source); no
element is stoked."""
_TOLD_S, _FADES_S = 3600.0, 5 * 3600.0
_FIRST_S: dict[str | None, float] = {"wood": 720.0, "gas": 300.0}
FIRES = frozenset(_FIRST_S)
WARM_C = 300.0
"""Above it a kiln that stands loses what it has gained."""
_BY_HAND = 0.5
"""A kiln of a kind that nobody told, and that wanders so, may be a fire (common practice)."""


class Pauses:
    """Feed it with ``fade`` as time goes by and with ``remember`` for each pause that is over."""

    __slots__ = ("_ended_s", "_longest")

    def __init__(self) -> None:
        self._longest: Swing | None = None
        """How long this kiln has fallen short and climbed on, in seconds."""
        self._ended_s: list[float] = []
        """When the last pauses ended, in elapsed seconds."""

    def fade(self, moment: Moment) -> None:
        """Time has gone by, in which what was seen before counts a little less."""
        if self._longest is None:
            first_s = _FIRST_S.get(moment.kiln_kind, 0.0)
            self._longest = Swing(first_s, least=first_s, fades_s=_FADES_S)
        self._longest.fade(moment.moved_s)

    def remember(self, moment: Moment, lasted_s: float, *, was_told: bool) -> None:
        """A pause is over that lasted so long; ``was_told`` where it was called a stall."""
        if self._longest is None:
            return
        self._ended_s = [*self._ended_s[1 - _RHYTHM :], moment.elapsed_s]
        longest_s = self._longest_s(moment)
        # A stall that was told of a cold kiln and passed by itself is not told again there.
        if was_told and moment.temp_c is not None and moment.temp_c < WARM_C:
            longest_s = _TOLD_S
        self._longest.learn(lasted_s, longest_s)

    def patience_s(self, moment: Moment) -> float:
        """How long the next may last, and be none but that."""
        pause_s = 0.0 if self._longest is None else self._longest.size
        if moment.kiln_kind is None:
            pause_s = max(pause_s, _FIRST_S.get(fired_with(moment), 0.0))
        if (moment.temp_c or 0.0) >= WARM_C:
            pause_s = min(pause_s, self._longest_s(moment))
        return _MARGIN * pause_s

    def _longest_s(self, moment: Moment) -> float:
        """How long a pause may be that says nothing of a fault, however often it was seen."""
        ended_s = self._ended_s
        recent = len(ended_s) >= _RHYTHM and moment.elapsed_s - ended_s[-_RHYTHM] < _RHYTHM_S
        if moment.kiln_kind == "electric":
            return _LONGEST_S
        return LONGEST_CHARGE_S if fired_with(moment) == "wood" or recent else _LONGEST_S


def fired_with(moment: Moment) -> str | None:
    """What the kiln may be heated with, for all that is known: a fire asks for most patience."""
    kind = moment.kiln_kind
    return "wood" if kind is None and moment.habits.looseness > _BY_HAND else kind
