"""What looks without a value prove: that the channel is at fault, and which fault it is.

Knows one channel's bad looks, one after the other, and nothing of its values.
"""

from __future__ import annotations

from math import ceil, log10

from supervisor.core.readings import FaultCause

FAULT_LOOKS, _FAULT_S = 2, 4.0
BLANK_LOOKS, _BLANK_S, _BLANK_PACES, _FIRST_PACE_S = 3, 30.0, 1.5, 60.0
"""One bad look is a glitch. A fault that the hardware names needs to stand for seconds only, a
mere blank for longer, both well within the minute that a broken probe may take to be told; a
channel that is logged more slowly than others has its own pace."""
SLOW_LOOKS_S, _SOLE_LOOK_S = 20.0, 45.0
"""Where looks are so far apart, one less must do, and what the hardware names counts at once:
the minute would be over."""
_CHANCE, _FIRST_LOOKS = -6.0, 1000.0
"""A logger that loses a value now and then, each by itself, loses so many in a row that a blank is
proven once in 10⁶ looks; one in a thousand is assumed to be lost before any was."""
_OTHER_CAUSE_S = 30.0
"""A broken lead may read open and short in turns: the cause of a fault that stands changes when
the other has lasted for so long, but for a dangerous voltage (common practice, no source)."""


class BadLooks:
    """``count`` is how many looks in a row gave nothing; its owner says when one ``ends`` that.

    Causes may take turns; together they are one bad stretch.
    """

    __slots__ = ("_cause", "_lost", "_other_cause", "_other_since_s", "_since_s", "count")

    def __init__(self) -> None:
        self.count = 0
        self._lost = 1
        """How many blanks a value came after, and one more for those that did not come yet."""
        self._since_s = 0.0
        self._cause: FaultCause | None = None
        self._other_cause: FaultCause | None = None
        self._other_since_s = 0.0

    def ends(self, *, was_at_fault: bool) -> None:
        """A value comes after looks that gave none."""
        if self._cause is None and not was_at_fault:
            self._lost += self.count
        self.count = 0

    def look(
        self,
        elapsed_s: float,
        since_s: float,
        cause: FaultCause | None,
        looks: int,
        pace_s: float,
        *,
        was_seen: bool,
    ) -> FaultCause | None:
        """Take in one that gave nothing, ``since_s`` after the look before; what is proven.

        As many as ``looks`` prove something. ``cause`` is what the hardware names, ``pace_s`` the
        channel's usual time between two values (0 where that is not known), ``was_seen`` whether
        it ever gave one.
        """
        if self.count == 0:
            self._since_s = elapsed_s
            self._cause = None
        self.count += 1
        if self._cause is not FaultCause.VOLTAGE:
            self._cause = cause or self._cause
        sole = looks == FAULT_LOOKS and since_s >= _SOLE_LOOK_S
        if since_s >= SLOW_LOOKS_S:
            looks = FAULT_LOOKS
        lasted_s = elapsed_s - self._since_s
        if self.count < looks and not sole:
            return None
        if cause is not None:
            return None if lasted_s < _FAULT_S and not sole else self._cause or cause
        if pace_s > 0.0 and self.count < self._by_chance(elapsed_s / pace_s):
            return None
        enough = lasted_s >= _BLANK_S or looks == FAULT_LOOKS
        paced_s = _BLANK_PACES * (pace_s or _FIRST_PACE_S)
        if enough and (lasted_s + since_s > paced_s or not was_seen):
            return self._cause or FaultCause.OPEN
        return None

    def _by_chance(self, looks: float) -> int:
        """How many blanks in a row are none by chance, of a channel looked at so often."""
        return ceil(_CHANCE / log10(min(self._lost / (_FIRST_LOOKS + looks), 0.5)) - 1e-9)

    def agree(self) -> None:
        """No other cause than the one that stands is named."""
        self._other_cause = None

    def renames(self, elapsed_s: float, fault: FaultCause, cause: FaultCause) -> bool:
        """Whether ``cause``, which the hardware names while ``fault`` stands, is its name from now
        on: what is dangerous counts at once."""
        if cause is fault:
            self._other_cause = None
            return False
        if cause is not FaultCause.VOLTAGE:
            if fault is FaultCause.REVERSED:
                # Swapped leads drive the converter out of its range: theirs is the better name.
                return False
            if cause is not self._other_cause:
                self._other_cause, self._other_since_s = cause, elapsed_s
            if elapsed_s - self._other_since_s < _OTHER_CAUSE_S:
                return False
        self._other_cause = None
        return True
