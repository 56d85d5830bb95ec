"""What is said of looks at the thermocouples that end in an error nobody foresaw.

Such an error is a mistake in a program, ours or a driver's, and no reason to leave a kiln
unwatched. It is told once with all that helps to mend it, and then now and then with its count,
so that a journal is neither silent nor flooded.
"""

from __future__ import annotations

import traceback
from collections import Counter
from collections.abc import Callable
from typing import TypeAlias

_Place: TypeAlias = tuple[str, str, int]


class FailedLooks:
    """Tells of errors by type and place; ``tell`` is given lines for the journal."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell
        self._counts: Counter[_Place] = Counter()

    def failed(self, error: BaseException) -> None:
        """A look has failed with ``error``."""
        place = _place_of(error)
        self._counts[place] += 1
        count = self._counts[place]
        what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        if count == 1:
            self._tell(
                f"a look at the thermocouples failed in a way that nobody foresaw ({what}); it "
                "counts as a look without a value, and the kiln is watched on. What follows helps "
                "to mend it:"
            )
            for line in traceback.format_exception(error):
                self._tell(line.rstrip("\n"))
        elif _is_round(count):
            self._tell(f"a look at the thermocouples has failed {count:,} times by now ({what})")


def _place_of(error: BaseException) -> _Place:
    """The error's type, and the line that raised it."""
    frames = traceback.extract_tb(error.__traceback__)
    last = frames[-1] if frames else None
    where = ("", 0) if last is None else (last.filename, last.lineno or 0)
    return (type(error).__qualname__, *where)


def _is_round(count: int) -> bool:
    """Whether a count is 10, 100, 1,000 and so on."""
    return count >= 10 and not str(count).rstrip("0").removeprefix("1")
