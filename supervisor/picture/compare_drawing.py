"""The picture of a comparison: all lines over each other, and below how far each is off.

Knows geometry, not how shapes become a file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from supervisor.core.compare import Align, Comparison, Subject
from supervisor.core.compare.aligned import zero_s
from supervisor.core.report.cells import MINUS
from supervisor.core.units import Unit, difference_from_c, from_c
from supervisor.picture.lettering import cut, folded, harmless, width_of
from supervisor.picture.room import Box, Room
from supervisor.picture.scales import Axis, hour_name, hour_step, marks, temp_step
from supervisor.picture.scene import Anchor, Area, Line, Point, Role, Scene, Shape, Text, box
from supervisor.picture.thinned import thinned

LINES = (Role.LEAD, Role.SECOND, Role.THIRD, Role.FOURTH)
_PAD = 12.0
_SAMPLE = 26.0
_OFF = 0.25
Points = Sequence[tuple[float, float]]


def draw_comparison(
    comparisons: Sequence[Comparison],
    unit: Unit,
    width: float,
    size: float,
    title: str,
    lines: Sequence[str] = (),
) -> Scene:
    """The comparison in a given width; ``lines`` are sentences set below the plots."""
    return _Drawing(comparisons, unit, width, size).scene(title, lines)


class _Drawing:
    def __init__(
        self, comparisons: Sequence[Comparison], unit: Unit, width: float, size: float
    ) -> None:
        self._comparisons = comparisons
        self._first = comparisons[0]
        self._unit = unit
        self._width = width
        self._size = size
        self._left, self._right = _PAD + size * 4.4, width - _PAD - size
        self._by_temp = self._first.align is Align.TEMPERATURE

    def scene(self, title: str, lines: Sequence[str]) -> Scene:
        size, y = self._size, _PAD
        across = self._width - 2.0 * _PAD
        shapes: list[Shape] = []
        for line in folded(harmless(title), size * 1.5, across, bold=True):
            y += size * 1.75
            shapes.append(Text((_PAD, y), line, size * 1.5, bold=True, part="title"))
        legend, y = self._legend(y + size)
        shapes += legend
        tall = min(self._width * 0.42, 300.0)
        upper = self._upper()
        hours = [x for _, points in upper for x, _ in points] or [0.0, 1.0]
        span = min(hours), max(hours)
        plot, y = self._plot(upper, y + size, tall, f"°{self._unit.value}", span, is_hours=True)
        shapes += plot
        lower = self._lower()
        if lower:
            y += size * 1.2
            for n, part in enumerate(folded(self._lower_words(), size, across, bold=True)):
                y += size * 1.3 if n else 0.0
                shapes.append(Text((_PAD, y), part, size, bold=True, part="strip"))
            if self._by_temp:
                temps = [x for _, points in lower for x, _ in points]
                span = min(temps), max(temps)
            plot, y = self._plot(
                lower,
                y + size * 0.4,
                tall * 0.5,
                self._by_words(),
                span,
                is_hours=not self._by_temp,
            )
            shapes += plot
        for line in lines:
            y += size * 0.4
            is_head = line.endswith(":")
            for part in folded(harmless(line), size, across, bold=is_head):
                y += size * 1.3
                shapes.append(Text((_PAD, y), part, size, bold=is_head, part="line"))
        y += _PAD
        paper = Area(box(0.0, 0.0, self._width, y), Role.PAPER)
        description = f"{title}. {' '.join(lines)}" if lines else title
        return Scene(self._width, y, harmless(title), harmless(description), (paper, *shapes))

    def _subjects(self) -> list[Subject]:
        return [self._first.reference, *(one.other for one in self._comparisons)]

    def _role(self, place: int) -> Role:
        if self._first.reference.is_plan:
            return Role.PLAN if place == 0 else LINES[min(place - 1, len(LINES) - 1)]
        return LINES[min(place, len(LINES) - 1)]

    def _legend(self, y: float) -> tuple[list[Shape], float]:
        size, x = self._size, _PAD
        y += size * 0.6
        shapes: list[Shape] = []
        for place, subject in enumerate(self._subjects()):
            label = subject.label if subject.is_plan else f"{subject.name}: {subject.label}"
            said = cut(harmless(label), size, self._width - 2.0 * _PAD - _SAMPLE - 4.0)
            takes = _SAMPLE + 4.0 + width_of(said, size)
            if x > _PAD and x + takes > self._width - _PAD:
                x, y = _PAD, y + size * 1.5
            at = y - size * 0.32
            shapes.append(Line(((x, at), (x + _SAMPLE, at)), self._role(place), "sample"))
            shapes.append(Text((x + _SAMPLE + 4.0, y), said, size, part="name"))
            x += takes + size * 1.5
        return shapes, y

    def _by_words(self) -> str:
        return "h:min" if self._by_temp else f"°{self._unit.value}"

    def _lower_words(self) -> str:
        than = harmless(self._first.reference.name)
        if self._by_temp:
            return f"How much later than {than} each temperature was come to"
        return f"How much hotter than {than}"

    def _upper(self) -> list[tuple[Role, Points]]:
        """Temperature against hours since the common point."""
        found: list[tuple[Role, Points]] = []
        for place, subject in enumerate(self._subjects()):
            zero = zero_s(subject, self._first.align, self._first.from_c)
            if zero is None:
                continue
            trace = subject.trace
            found.append(
                (
                    self._role(place),
                    [
                        ((at_s - zero) / 3600.0, from_c(temp_c, self._unit))
                        for at_s, temp_c in zip(trace.at_s, trace.kiln_c, strict=True)
                        if at_s <= subject.until_s
                    ],
                )
            )
        return found

    def _lower(self) -> list[tuple[Role, Points]]:
        found: list[tuple[Role, Points]] = []
        for place, one in enumerate(self._comparisons, start=1):
            if one.laid is None:
                continue
            if self._by_temp:
                points = [
                    (from_c(at, self._unit), by / 60.0)
                    for at, by in zip(one.laid.at, one.laid.by, strict=True)
                ]
            else:
                points = [
                    (at / 3600.0, difference_from_c(by, self._unit))
                    for at, by in zip(one.laid.at, one.laid.by, strict=True)
                ]
            found.append((self._role(place), points))
        return found

    def _plot(
        self,
        drawn: Sequence[tuple[Role, Points]],
        y: float,
        tall: float,
        unit: str,
        span: tuple[float, float],
        *,
        is_hours: bool,
    ) -> tuple[list[Shape], float]:
        size = self._size
        ys = [v for _, points in drawn for _, v in points] or [0.0, 1.0]
        low, high = min(0.0, *ys), max(0.0, *ys)
        spare = max((high - low) * 0.08, 1.0)
        top, ground = y + size * 0.4, y + size * 0.4 + tall
        across = Axis(span[0], max(span[1], span[0] + 0.02), self._left, self._right)
        up = Axis(low - (spare if low < 0.0 else 0.0), high + spare, ground, top)
        shapes: list[Shape] = [*self._up_scale(up, unit, top)]
        shapes += self._across_scale(across, top, ground, is_hours=is_hours)
        frame = ((self._left, top), (self._left, ground), (self._right, ground))
        shapes.append(Line(frame, Role.AXIS))
        if low < 0.0:
            zero = up.place(0.0)
            shapes.append(Line(((self._left, zero), (self._right, zero)), Role.AXIS, "zero"))
        for role, points in reversed(drawn):
            placed: list[Point] = [(across.place(x), up.place(v)) for x, v in points]
            shapes.append(Line(thinned(placed, _OFF), role, "track"))
        room = Room(Box(self._left + 2.0, top, self._right, ground - 2.0), ())
        is_upper = unit == f"°{self._unit.value}" and bool(drawn) and drawn[0][0] is self._role(0)
        if is_hours != self._by_temp:
            named = is_upper or self._by_temp
            shapes += self._parted(across, top, ground, room, is_named=named)
        if is_upper:
            shapes += self._names(drawn, across, up, room)
        return shapes, ground + size * 2.2

    def _parted(
        self, axis: Axis, top: float, ground: float, room: Room, *, is_named: bool
    ) -> Iterator[Shape]:
        """A line down at each parting, with the name of who parts."""
        size = self._size
        for one in self._comparisons:
            for parting in one.partings:
                at = from_c(parting.at, self._unit) if self._by_temp else parting.at / 3600.0
                x = axis.place(at)
                said = f"{harmless(one.other.name)} parts"
                places = [
                    Text(
                        (x + way * 3.0, top + size * (1.2 + 1.3 * n)),
                        said,
                        size,
                        part="parts",
                        anchor=Anchor.START if way > 0.0 else Anchor.END,
                    )
                    for n in range(int((ground - top) // (size * 1.3)) - 1)
                    for way in (1.0, -1.0)
                ]
                placed = room.first_free([(text, text.at) for text in places], 1.0)
                yield Line(((x, top), (x, ground)), Role.LEADER, "parting")
                if placed is not None and is_named:
                    yield placed

    def _names(
        self, drawn: Sequence[tuple[Role, Points]], across: Axis, up: Axis, room: Room
    ) -> Iterator[Shape]:
        """The name of each line above its hottest, for eyes that don't tell the lines apart."""
        size = self._size
        for subject, (_, points) in zip(self._shown(), drawn, strict=True):
            x, value = max(points, key=lambda point: point[1])
            at_x, at_y = across.place(x), up.place(value)
            said = "plan" if subject.is_plan else harmless(subject.name)
            for n in range(12):
                at = (at_x, at_y - size * (0.5 + 1.2 * n))
                below = (at_x, at_y + size * (1.3 + 1.2 * n))
                texts = [
                    Text(where, said, size, anchor=Anchor.MIDDLE, bold=True, part="line-name")
                    for where in (at, below)
                ]
                placed = room.first_free([(text, text.at) for text in texts], 0.5)
                if placed is not None:
                    yield placed
                    break

    def _shown(self) -> list[Subject]:
        """The subjects that have a line."""
        first = self._first
        return [s for s in self._subjects() if zero_s(s, first.align, first.from_c) is not None]

    def _up_scale(self, axis: Axis, unit: str, top: float) -> Iterator[Shape]:
        size = self._size
        span = axis.high - axis.low
        step = temp_step(span, max(int(abs(axis.start - axis.end) // (size * 2.6)), 2))
        is_minutes = unit == "h:min"
        if is_minutes:
            step = (
                hour_step(span / 60.0, max(int(abs(axis.start - axis.end) // (size * 2.6)), 2))
                * 60.0
            )
        for value in marks(axis.low, axis.high, step):
            y = axis.place(value)
            yield Line(((self._left, y), (self._right, y)), Role.GRID)
            if y > top + size * 1.3:
                said = _clock(value) if is_minutes else f"{value:,.0f}".replace("-", MINUS)
                yield Text(
                    (self._left - 5.0, y + size * 0.35), said, size, anchor=Anchor.END, part="temp"
                )
        yield Text(
            (self._left - 5.0, top + size * 0.6), unit, size, anchor=Anchor.END, bold=True,
            part="unit",
        )  # fmt: skip

    def _across_scale(
        self, axis: Axis, top: float, ground: float, *, is_hours: bool
    ) -> Iterator[Shape]:
        size = self._size
        most = max(int((self._right - self._left) // (size * 5.0)), 2)
        span = axis.high - axis.low
        step = hour_step(span, most) if is_hours else temp_step(span, most)
        y = ground + size * 1.5 + 2.0
        free = -1.0
        for value in marks(axis.low, axis.high, step):
            x = axis.place(value)
            yield Line(((x, top), (x, ground)), Role.GRID)
            said = _hours(value, step) if is_hours else f"{value:,.0f}"
            half = width_of(said, size) / 2.0
            if x - half > max(free, self._left - 4.0) and x + half <= self._width:
                yield Text((x, y), said, size, anchor=Anchor.MIDDLE, part="hour")
                free = x + half + size * 0.4
        yield Text(
            (self._left - size * 0.8, y),
            "hours" if is_hours else f"°{self._unit.value}",
            size,
            Role.QUIET,
            Anchor.END,
            part="hours",
        )


def _hours(value: float, step: float) -> str:
    sign = MINUS if value < -1e-9 else ""
    return sign + hour_name(abs(value), step)


def _clock(minutes: float) -> str:
    sign = MINUS if minutes < -0.5 else ""
    whole = round(abs(minutes))
    return f"{sign}{whole // 60}:{whole % 60:02d}"
