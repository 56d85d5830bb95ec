"""How long this kiln has paused and climbed on: what a stall must last longer than.

A controller pauses at a corner, a person who looks elsewhere between two turns of a tap, a fire
between two charges. Each pause that is over tells how long the next may last. Knows nothing of
what a pause is measured by.
"""

from __future__ import annotations

import math

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
_SWINGS, _SWINGS_C, _LONGEST_SWING_S, _NO_SWING = 12, 1.5, 240.0, 2.0
"""One that has fallen short so often within three hours, by more than noise, swings about its climb
by itself, if each is over in fewer minutes than a charge takes: what lasts for more than twice the
longest of these is none of them, nor does it take the patience of a kiln that is worked in fits and
starts (common practice, no source)."""
_TOLD_S, _FADES_S = 3600.0, 5 * 3600.0
_FIRST_S: dict[str | None, float] = {"wood": 690.0, "gas": 300.0}
_KNOWN_S, _KNOWN_FIRST_S, _LONGER, _UNSEEN_S = 10800.0, 660.0, 1.2, 900.0
"""How a fire climbs is known when it has been watched doing so for three hours, without a silence
longer than the last: then its next pause is supposed to last no more than a fifth longer than the
longest of these, but for the second time at least (common practice, no source)."""
_KEPT, _EVEN_C = 0.1, 1.5
"""A fire that has been seen to wander and to swing by no more is not stoked in charges (common
practice, no source)."""
FIRES = frozenset(_FIRST_S)
WARM_C = 300.0
"""Above it a kiln that stands loses what it has gained."""
_BY_HAND = 0.5
"""A kiln of a kind that nobody told, and that wanders so, may be a fire (common practice)."""


class Pauses:
    """Feed it with ``fade`` as time goes by and with ``remember`` for each pause that is over."""

    __slots__ = ("_ended_s", "_longest", "_seen_s", "_short", "_since_s", "_swung_s")

    def __init__(self) -> None:
        self._longest = Swing(0.0, fades_s=_FADES_S)
        """How long this kiln has fallen short and climbed on, in seconds."""
        self._short: list[tuple[float, float]] = []
        """When it last did so, by however little, and for how long: the longest of each time."""
        self._swung_s: list[tuple[float, float]] = []
        """The same of the last times by more than noise."""
        self._since_s = self._seen_s = -math.inf
        """Since when it has been watched climbing, and until when."""
        self._ended_s: list[float] = []
        """When the last pauses ended, in elapsed seconds."""

    def fade(self, moment: Moment) -> None:
        """Time has gone by, in which what was seen before counts a little less."""
        elapsed_s = moment.elapsed_s
        if elapsed_s - self._seen_s > _UNSEEN_S:
            self._since_s = elapsed_s
        self._seen_s = elapsed_s
        self._longest.fade(moment.moved_s)

    def remember(self, moment: Moment, lasted_s: float, *, was_told: bool) -> None:
        """A pause is over that lasted so long; ``was_told`` where it was called a stall."""
        self._ended_s = [*self._ended_s[1 - _RHYTHM :], moment.elapsed_s]
        longest_s = self._longest_s(moment)
        # A stall that was told of a cold kiln and passed by itself is not told again there.
        if was_told and moment.temp_c is not None and moment.temp_c < WARM_C:
            longest_s = _TOLD_S
        self._longest.learn(lasted_s, longest_s)

    def patience_s(self, moment: Moment) -> float:
        """How long the next may last, and be none but that."""
        pause_s = max(self._longest.size, self._supposed_s(moment))
        if (moment.temp_c or 0.0) >= WARM_C:
            pause_s = min(pause_s, self._longest_s(moment))
        return _MARGIN * pause_s

    def _supposed_s(self, moment: Moment) -> float:
        """How long a pause is supposed to last before one was seen; and what counts of those that
        were, where none has been long."""
        first_s = _FIRST_S.get(fired_with(moment), 0.0)
        if not self._is_known(moment):
            return first_s
        longest_s = max((lasted_s for _, lasted_s in self._lately(moment.elapsed_s)), default=0.0)
        return min(first_s, max(_KNOWN_FIRST_S, _LONGER * longest_s))

    def _is_known(self, moment: Moment) -> bool:
        return moment.elapsed_s - self._since_s >= _KNOWN_S

    def are_known_short(self, moment: Moment) -> bool:
        """Whether a climb measured over a quarter of an hour tells of what may be a fire, too: it
        swings faster than that, or has for hours kept its plan as a controller does, and hardly
        swung, and is fed with oil or pellets and not in charges."""
        habits = moment.habits
        is_even = habits.looseness <= _KEPT and habits.swing_c <= _EVEN_C
        is_fed_evenly = is_even and self._is_known(moment)
        return is_fed_evenly or self.swings_for_s(moment.elapsed_s) is not None

    def _lately(self, elapsed_s: float) -> list[tuple[float, float]]:
        return [short for short in self._short if short[0] > elapsed_s - _KNOWN_S]

    def fell_short(self, elapsed_s: float, lasted_s: float, deepest_c: float) -> None:
        """The kiln has made less than its pace for so long, by however little, and climbs on."""
        longer = [short for short in self._lately(elapsed_s) if short[1] > lasted_s]
        self._short = [*longer, (elapsed_s, lasted_s)]
        if deepest_c >= _SWINGS_C:
            self._swung_s = [*self._swung_s[1 - _SWINGS :], (elapsed_s, lasted_s)]

    def swings_for_s(self, elapsed_s: float) -> float | None:
        """How long a pause would be that is none of the controller's swings; None where the kiln
        does not swing all the time."""
        swung_s = self._swung_s
        if len(swung_s) < _SWINGS or elapsed_s - swung_s[0][0] > _KNOWN_S:
            return None
        longest_s = max(lasted_s for _, lasted_s in swung_s)
        return _NO_SWING * longest_s if longest_s <= _LONGEST_SWING_S else None

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
