"""Where everything lies in the chart of a firing: lines, plan, cones, and bars below.

Cones are named above the plot, each with a line down to its mark; phases and warnings are bars
below it, on the same hours, sorted into lanes so that nothing covers anything. Lines are told
apart by their dashes, for grey print. Knows geometry, not how shapes become a file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from supervisor.core.report import Bar, Chart, ConeMark
from supervisor.core.report.names import WARNED_OF
from supervisor.core.units import difference_from_c, from_c
from supervisor.picture.lettering import cut, harmless, width_of
from supervisor.picture.room import Box, Room, box_of, lanes
from supervisor.picture.scales import Axis, hour_name, hour_step, marks, temp_step
from supervisor.picture.scene import Anchor, Area, Line, Point, Role, Scene, Shape, Text, box
from supervisor.picture.thinned import thinned

LINES = (Role.LEAD, Role.SECOND, Role.THIRD, Role.FOURTH)
"""How the first, second, third and every further line is drawn."""
_HEADROOM = 0.10
_LEAST_SPAN_C = 40.0
_SAMPLE = 26.0
_OFF = 0.25
"""A line is true to this part of a unit of the drawing."""
_LEAST_BAR = 2.5
_MOST_NAME = 0.45
"""No name of a line takes more of the chart's width."""


def draw_chart(chart: Chart, width: float, plot_height: float, size: float) -> Scene:
    """The chart in a given width; it is as high as its names and bars need."""
    return _Drawing(chart, width, plot_height, size).scene()


class _Drawing:
    def __init__(self, chart: Chart, width: float, plot_height: float, size: float) -> None:
        self._chart = chart
        self._width = width
        self._height = plot_height
        self._size = size
        self._left, self._right = size * 4.2, width - size * 0.8
        self._hours = Axis(chart.from_s / 3600.0, chart.to_s / 3600.0, self._left, self._right)

    def scene(self) -> Scene:
        chart, size = self._chart, self._size
        legend, y = self._legend()
        self._cone_top = y
        self._top = y + len(chart.cones) * (size + 4.0) + size * 0.6
        self._ground = self._top + self._height
        self._temps = self._temp_axis()
        drawn = [
            [thinned([self._point(*at) for at in piece], _OFF) for piece in track.pieces]
            for track in chart.tracks
        ]
        lead = [point for piece in drawn[0] for point in piece] if drawn else []
        self._room = Room(Box(self._left + 2, self._top, self._right - 2, self._ground - 2), lead)
        plan = tuple(self._point(*at) for at in chart.plan)
        for line in (plan, *(piece for pieces in drawn[1:] for piece in pieces)):
            self._take(line)
        shapes: list[Shape] = [
            *self._blind(),
            *self._hour_scale(),
            *self._temp_scale(),
            *self._cone_names(),
            *([Line(plan, Role.PLAN, "plan")] if len(plan) > 1 else []),
        ]
        for place, pieces in reversed(list(enumerate(drawn))):
            role = LINES[min(place, len(LINES) - 1)]
            shapes += [Line(piece, role, "track") for piece in pieces]
        shapes += [*self._cone_marks(), *self._peak()]
        y = self._ground + size * 2.4
        for heading, bars, role, part in (
            ("What the ware went through", chart.phases, Role.BAR, "phase"),
            (_warned_of(chart), chart.events, Role.EVENT, "event"),
        ):
            strip, y = self._strip(heading, bars, role, part, y)
            shapes += strip
        return Scene(self._width, y, chart.title, chart.description, (*legend, *shapes))

    def _point(self, at_s: float, temp_c: float) -> Point:
        return self._hours.place(at_s / 3600.0), self._temps.place(from_c(temp_c, self._chart.unit))

    def _take(self, line: Sequence[Point]) -> None:
        """No label lies on a line: each of its pieces is taken, as a staircase of small boxes."""
        for (x1, y1), (x2, y2) in pairwise(line):
            count = max(1, min(40, int(abs(y2 - y1) // 8.0)))
            for n in range(count):
                a, b = n / count, (n + 1) / count
                ys = sorted((y1 + a * (y2 - y1), y1 + b * (y2 - y1)))
                self._room.take(Box(x1 + a * (x2 - x1), ys[0] - 1, x1 + b * (x2 - x1), ys[1] + 1))

    def _temp_axis(self) -> Axis:
        chart = self._chart
        temps_c = [c for track in chart.tracks for piece in track.pieces for _, c in piece]
        temps_c += [c for _, c in chart.plan]
        unit = chart.unit
        low = min(0.0, from_c(min(temps_c, default=0.0), unit))
        high = max(
            from_c(max(temps_c, default=0.0), unit), low + difference_from_c(_LEAST_SPAN_C, unit)
        )
        return Axis(low, high + (high - low) * _HEADROOM, self._ground, self._top)

    def _legend(self) -> tuple[list[Shape], float]:
        """A sample of each line with its name, in as many rows as they need."""
        size = self._size
        named = [
            (LINES[min(place, len(LINES) - 1)], track.name)
            for place, track in enumerate(self._chart.tracks)
        ]
        if self._chart.plan:
            named.append((Role.PLAN, "plan"))
        x, y = 0.0, size * 1.2
        shapes: list[Shape] = []
        for role, name in named:
            said = cut(harmless(name), size, self._width * _MOST_NAME)
            takes = _SAMPLE + 4.0 + width_of(said, size)
            if x > 0.0 and x + takes > self._width:
                x, y = 0.0, y + size * 1.5
            line_y = y - size * 0.32
            shapes.append(Line(((x, line_y), (x + _SAMPLE, line_y)), role, "sample"))
            shapes.append(Text((x + _SAMPLE + 4.0, y), said, size, part="name"))
            x += takes + size * 1.5
        return shapes, y + size * 0.6

    def _temp_scale(self) -> Iterator[Shape]:
        axis, size = self._temps, self._size
        most = max(int(self._height // (size * 3.0)), 2)
        for temp in marks(axis.low, axis.high, temp_step(axis.high - axis.low, most)):
            y = axis.place(temp)
            yield Line(((self._left, y), (self._right, y)), Role.GRID)
            if y > self._top + size * 1.5:
                yield Text(
                    (self._left - 5.0, y + size * 0.35),
                    f"{temp:,.0f}".replace("-", "−"),
                    size,
                    anchor=Anchor.END,
                    part="temp",
                )
        feet = ((self._left, self._ground), (self._right, self._ground))
        yield Line(((self._left, self._top), *feet), Role.AXIS)
        yield Text(
            (self._left - 5.0, self._top + size * 0.7),
            f"°{self._chart.unit.value}",
            size,
            anchor=Anchor.END,
            bold=True,
            part="unit",
        )

    def _hour_scale(self) -> Iterator[Shape]:
        axis, size = self._hours, self._size
        widest = width_of(hour_name(axis.high, 0.25), size)
        most = int((self._right - self._left) // (widest + size * 1.5))
        step = hour_step(axis.high - axis.low, max(most, 2))
        y = self._ground + size * 1.5 + 2.0
        last_x = -1.0
        for hours in marks(axis.low, axis.high, step):
            x = axis.place(hours)
            yield Line(((x, self._top), (x, self._ground)), Role.GRID)
            yield Line(((x, self._ground), (x, self._ground + 3.0)), Role.AXIS)
            said = hour_name(hours, step)
            half = width_of(said, size) / 2.0
            if x - half > last_x and x + half <= self._width and x - half > self._left - 4.0:
                yield Text((x, y), said, size, anchor=Anchor.MIDDLE, part="hour")
                last_x = x + half + size * 0.5
        yield Text(
            (self._left - size * 0.8, y), "hours", size, Role.QUIET, Anchor.END, part="hours"
        )

    def _blind(self) -> Iterator[Shape]:
        for from_s, to_s in self._chart.blind:
            x1, x2 = (self._hours.place(at_s / 3600.0) for at_s in (from_s, to_s))
            yield Area(box(x1, self._top, x2, self._ground), Role.BLIND, "blind")
            said = Text(
                ((x1 + x2) / 2.0, self._ground - self._size), "blind", self._size,
                anchor=Anchor.MIDDLE, part="blind",
            )  # fmt: skip
            placed = self._room.first_free([(said, said.at)], 1.0)
            if placed is not None and width_of("blind", self._size) < x2 - x1:
                yield placed

    def _cone_names(self) -> Iterator[Shape]:
        """Names above the plot, one below the other, so that no line crosses a name."""
        cones, size = self._chart.cones, self._size
        if not cones:
            return
        xs = [self._hours.place(mark.at_s / 3600.0) for mark in cones]
        said = [harmless(mark.name) for mark in cones]
        widest = max(width_of(text, size, bold=True) for text in said) + 6.0
        on_left = xs[0] - widest >= 0.0 or xs[0] > self._width - xs[-1]
        for place, (mark, text, x) in enumerate(zip(cones, said, xs, strict=True)):
            lane = len(cones) - 1 - place if on_left else place
            y = self._cone_top + lane * (size + 4.0) + size
            mark_y = self._point(mark.at_s, mark.temp_c)[1]
            yield Line(((x, y - size * 0.7), (x, mark_y)), Role.LEADER)
            self._room.take(Box(x - 2.0, self._top, x + 2.0, mark_y))
            room = x - 4.0 if on_left else self._width - x - 4.0
            yield Text(
                (x - 4.0 if on_left else x + 4.0, y),
                cut(text, size, room, bold=mark.is_target),
                size,
                anchor=Anchor.END if on_left else Anchor.START,
                bold=mark.is_target,
                part="cone",
            )

    def _cone_marks(self) -> Iterator[Shape]:
        for mark in self._chart.cones:
            x, y = self._point(mark.at_s, mark.temp_c)
            yield Area(_cone(mark, x, y), _cone_role(mark), "mark")
            self._room.take(Box(x - 6.0, y - 6.0, x + 6.0, y + 6.0))

    def _peak(self) -> Iterator[Shape]:
        if self._chart.peak is None:
            return
        at_s, temp_c, said = self._chart.peak
        x, y = self._point(at_s, temp_c)
        size = self._size
        places = [
            ((x, y - size * 0.7), Anchor.MIDDLE),
            ((x + 8.0, y - size * 0.3), Anchor.START),
            ((x - 8.0, y - size * 0.3), Anchor.END),
            *(((x + 10.0 + 8.0 * n, y + size * 0.9), Anchor.START) for n in range(12)),
            *(((x - 10.0 - 8.0 * n, y + size * 0.3), Anchor.END) for n in range(20)),
        ]
        label = self._room.first_free(
            (
                (Text(at, said, size, anchor=anchor, bold=True, part="peak"), (at[0], y))
                for at, anchor in places
            ),
            1.5,
        )
        if label is not None:
            yield label

    def _strip(
        self, heading: str, bars: Sequence[Bar], role: Role, part: str, y: float
    ) -> tuple[list[Shape], float]:
        """Bars with their names, in lanes so that none covers another."""
        if not bars:
            return [], y
        size = self._size
        y += size * 1.3
        shapes: list[Shape] = [Text((0.0, y), heading, size, bold=True, part="strip")]
        y += size * 0.5
        placed = []
        for bar in bars:
            x1, x2 = (
                min(max(self._hours.place(at_s / 3600.0), self._left), self._right)
                for at_s in (bar.from_s, bar.to_s)
            )
            if x2 - x1 < _LEAST_BAR:
                x1 = min(x1, self._right - _LEAST_BAR)
                x2 = x1 + _LEAST_BAR
            label = self._bar_label(harmless(bar.name), x1, x2)
            room = box_of(label)
            placed.append((x1, x2, label, min(x1, room.left), max(x2, room.right)))
        height = lane_height(size)
        in_lanes = lanes([(left, right) for *_, left, right in placed], 5.0)
        for (x1, x2, label, *_), lane in zip(placed, in_lanes, strict=True):
            top = y + lane * height
            shapes.append(Area(box(x1, top + 1.0, x2, top + height - 1.5), role, f"{part}-bar"))
            at = (label.at[0], top + height / 2.0 + size * 0.33)
            shapes.append(Text(at, label.text, size, anchor=label.anchor, part=part))
        return shapes, y + (max(in_lanes) + 1) * height + size * 0.3

    def _bar_label(self, said: str, x1: float, x2: float) -> Text:
        """The name inside its bar, else right of it, else left, else where it can be whole."""
        size = self._size
        said = cut(said, size, self._width * 0.8)
        width = width_of(said, size)
        if width + 6.0 <= x2 - x1:
            return Text((x1 + 4.0, 0.0), said, size)
        if x2 + 4.0 + width <= self._width:
            return Text((x2 + 4.0, 0.0), said, size)
        if x1 - 4.0 - width >= 0.0:
            return Text((x1 - 4.0, 0.0), said, size, anchor=Anchor.END)
        return Text((max(0.0, self._width - width), 0.0), said, size)


def _warned_of(chart: Chart) -> str:
    if not chart.events_left_out:
        return WARNED_OF
    count = len(chart.events)
    return f"{WARNED_OF}: the first {count} of {count + chart.events_left_out}"


def lane_height(size: float) -> float:
    """Of one lane of bars, with letters of that size."""
    return size + 5.0


def _cone(mark: ConeMark, x: float, y: float) -> tuple[Point, ...]:
    """A cone that begins to lean; what was seen of a real one is a square."""
    if mark.is_seen:
        return box(x - 3.2, y - 3.2, x + 3.2, y + 3.2)
    return ((x - 4.0, y + 3.6), (x + 3.2, y + 3.6), (x + 2.4, y - 5.2))


def _cone_role(mark: ConeMark) -> Role:
    return Role.TARGET if mark.is_target else Role.CONE
