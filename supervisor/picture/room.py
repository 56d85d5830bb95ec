"""Where there is room: labels that keep clear of a line, and bars sorted into lanes.

Knows rectangles and lines. Knows nothing of what they say.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from supervisor.picture.lettering import width_of
from supervisor.picture.scene import Anchor, Point, Text

ASCENT, DESCENT = 0.8, 0.25
"""How far letters reach above and below their baseline, in sizes of the text (usual fonts)."""
_OWN = 4.0
"""So near to a point the line is still that point's."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def meets(self, other: Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def wider(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def is_crossed(self, start: Point, end: Point) -> bool:
        """True if the straight line from ``start`` to ``end`` enters the box."""
        (x, y), (dx, dy) = start, (end[0] - start[0], end[1] - start[1])
        enter, leave = 0.0, 1.0
        for move, near, far in (
            (dx, self.left - x, self.right - x),
            (dy, self.top - y, self.bottom - y),
        ):
            if move == 0.0:
                if near >= 0.0 or far <= 0.0:
                    return False
                continue
            first, second = sorted((near / move, far / move))
            enter, leave = max(enter, first), min(leave, second)
        return enter < leave


def box_of(text: Text) -> Box:
    """The room that a text takes at most."""
    width = width_of(text.text, text.size, bold=text.bold)
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2.0, Anchor.END: width}[text.anchor]
    x, y = text.at
    return Box(x - shift, y - ASCENT * text.size, x - shift + width, y + DESCENT * text.size)


def _between(box: Box, point: Point) -> Box:
    """The gap from ``box`` sideways to ``point``, without the point's own surroundings."""
    x, y = point
    if x > box.right:
        return Box(box.right, y - 0.5, max(x - _OWN, box.right), y + 0.5)
    if x < box.left:
        return Box(min(x + _OWN, box.left), y - 0.5, box.left, y + 0.5)
    return Box(x, y, x, y)


class Room:
    """The free space of a plot with one line through it, whose x never goes back."""

    def __init__(self, frame: Box, line: Sequence[Point]) -> None:
        self._frame = frame
        self._line = line
        self._xs = [x for x, _ in line]
        self._taken: list[Box] = []

    def take(self, box: Box) -> None:
        """Nothing else may be placed on ``box``."""
        self._taken.append(box)

    def first_free(self, places: Iterable[tuple[Text, Point]], clear: float) -> Text | None:
        """The first text inside the plot that keeps ``clear`` of all else; then taken.

        Each comes with the point of the line that it speaks of: nothing lies between the two.
        """
        for text, point in places:
            box = box_of(text)
            if (
                self._frame.holds(box)
                and self._is_free(box.wider(clear))
                and not self._crosses(_between(box, point))
            ):
                self._taken.append(box)
                return text
        return None

    def _is_free(self, box: Box) -> bool:
        return not any(box.meets(taken) for taken in self._taken) and not self._crosses(box)

    def _crosses(self, box: Box) -> bool:
        """True if the line enters the box."""
        first = max(bisect_left(self._xs, box.left) - 1, 0)
        last = min(bisect_right(self._xs, box.right), len(self._line) - 1)
        return any(box.is_crossed(self._line[i], self._line[i + 1]) for i in range(first, last))


def lanes(spans: Sequence[tuple[float, float]], gap: float) -> list[int]:
    """The lane of each span (start, end), so that no two in a lane are nearer than ``gap``.

    Each goes into the first lane in which it has room, in the order given.

    >>> lanes([(0, 10), (5, 20), (12, 30)], 1)
    [0, 1, 0]
    """
    placed: list[list[tuple[float, float]]] = []
    found = []
    for start, end in spans:
        free = (
            lane
            for lane, others in enumerate(placed)
            if all(end + gap <= left or right + gap <= start for left, right in others)
        )
        lane = next(free, len(placed))
        if lane == len(placed):
            placed.append([])
        placed[lane].append((start, end))
        found.append(lane)
    return found
