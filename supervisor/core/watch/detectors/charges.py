"""How deep and for how long a fire falls between two charges, learned in this firing.

No charge is like another, but each burns down in its time: a fall that has lasted for much longer
than any of the last hours, and is deeper, is not one more of them. Knows falls, not their causes.
"""

from __future__ import annotations

_LAST_S, _LEAST_COUNT, _LEAST_C = 7200.0, 12, 1.0
"""Falls of the last two hours tell, from so many on, and smaller ones are noise."""
_LONGER, _LEAST_S, _DEEPER, _LEAST_DEPTH_C = 2.0, 300.0, 1.2, 7.0
"""So many times as long as the longest and as deep as the deepest of them, for so long and by so
much at least: who stokes late lets one fall last half as long again, and deeper too (common
practice, no source)."""


class Charges:
    """The falls that a fire has made good lately."""

    __slots__ = ("_falls",)

    def __init__(self) -> None:
        self._falls: list[tuple[float, float, float]] = []
        """When each was over, how deep it was and how long it had gone on till then."""

    def made_good(self, elapsed_s: float, deepest_c: float, falling_s: float) -> None:
        """A fall is over that went on for ``falling_s`` down to ``deepest_c`` below its highest."""
        if deepest_c > _LEAST_C:
            self._falls = [*self._lately(elapsed_s), (elapsed_s, deepest_c, falling_s)]

    def longest_s(self, elapsed_s: float, least_c: float) -> float:
        """For how long the longest of them went on that were deeper than ``least_c``; 0 if none."""
        return max((fall[2] for fall in self._lately(elapsed_s) if fall[1] > least_c), default=0.0)

    def missed_c(self, elapsed_s: float, falling_s: float) -> float | None:
        """How deep a fall that has gone on for ``falling_s`` must be to be more than one of these;
        None where it may be one, or too few are known."""
        falls = self._lately(elapsed_s)
        if len(falls) < _LEAST_COUNT:
            return None
        if falling_s < max(_LEAST_S, _LONGER * max(fall[2] for fall in falls)):
            return None
        return max(_LEAST_DEPTH_C, _DEEPER * max(fall[1] for fall in falls))

    def _lately(self, elapsed_s: float) -> list[tuple[float, float, float]]:
        return [fall for fall in self._falls if fall[0] > elapsed_s - _LAST_S]
