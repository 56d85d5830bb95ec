"""A time in a firing during which nobody watched: from when to when, as well as clocks can tell.

Knows elapsed times and labels. After a power cut a Raspberry Pi has no idea how late it is until
the network tells; so how long it was dark may be learned only when its clock is set.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from datetime import datetime

from supervisor.core.errors import InputError
from supervisor.core.watch.wording import show_duration
from supervisor.service.clock import STEPPED_S

WORTH_S = 60.0
"""Real seconds: blind for less is not worth a word: the kiln's temperature moves in minutes."""
LONGEST_S = 48 * 3600.0
"""No firing survives longer; clocks that tell of more are not to be believed."""


@dataclass(frozen=True, slots=True)
class Blind:
    """``from_time`` labels the last reading before, ``to_time`` the first one after, which is at
    ``to_s``. ``lasted_s`` is None where no clock can tell yet."""

    to_s: float
    from_time: str | None
    to_time: str | None
    lasted_s: float | None

    def to_json(self) -> str:
        """One line of JSON that ``from_json`` takes back."""
        return json.dumps(asdict(self), ensure_ascii=False, allow_nan=False)

    @classmethod
    def from_json(cls, line: str) -> Blind:
        """What ``to_json`` has written. Raises InputError for anything else."""
        try:
            return cls(**json.loads(line))
        except (ValueError, TypeError) as error:
            raise InputError(f"this is no time without a watch ({error})") from None

    def is_worth_a_word(self, speed: float = 1.0) -> bool:
        """Whether a person is told, where a firing passes at ``speed``."""
        return self.lasted_s is None or self.lasted_s >= WORTH_S * speed

    def mended(self, to_label: str | None) -> Blind | None:
        """What is known better once the clock shows ``to_label`` for the first reading after.

        None where it tells nothing new.
        """
        before, shown = _at(self.from_time), _at(self.to_time)
        now = _at(to_label)
        if before is None or shown is None or now is None:
            return None
        if abs((now - shown).total_seconds()) <= STEPPED_S:
            return None
        lasted_s = (now - before).total_seconds()
        if not 0.0 < lasted_s < LONGEST_S:
            return None
        return replace(self, to_time=to_label, lasted_s=lasted_s)

    def sentence(self) -> str:
        """What a person is told, with the times that the wall clock showed."""
        before, after = _at(self.from_time), _at(self.to_time)
        since = "" if before is None else f" from {before:%H:%M}"
        if self.lasted_s is None:
            return (
                f"spyhole was blind{since} on; for how long can't be told, because this machine's "
                f"clock was not right when it came back."
            )
        until = "" if before is None or after is None else f" to {after:%H:%M}"
        return (
            f"spyhole was blind{since}{until} ({show_duration(self.lasted_s)}): nothing of that "
            f"time was read, watched or recorded."
        )


def _at(label: str | None) -> datetime | None:
    return None if label is None else datetime.fromisoformat(label)
