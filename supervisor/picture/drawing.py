"""Where everything lies in the picture of a plan: temperature against hours, wide or narrow.

The line of the plan stands on the ground; where the ware goes through something, the ground
under the line is tinted and a bar below names it. Cones are named above the plot, each with a
line down to its mark. Knows geometry, not how shapes become a file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from supervisor.core.schedule import PlannedStep
from supervisor.core.units import Unit, c_from_f, difference_from_c, f_from_c, from_c
from supervisor.picture.lettering import broken, width_of
from supervisor.picture.plan import Plan
from supervisor.picture.room import Box, Room, box_of, lanes
from supervisor.picture.scales import Axis, hour_name, hour_step, marks, temp_step
from supervisor.picture.scene import Anchor, Area, Line, Point, Role, Scene, Shape, Text, box


@dataclass(frozen=True, slots=True)
class Format:
    """The measures of a picture: how wide it is and how large its parts are."""

    width: float
    plot_height: float
    side: float
    title_size: float
    text_size: float
    is_brief: bool


WIDE = Format(900.0, 400.0, 58.0, 21.0, 13.0, is_brief=False)
"""For paper and large screens."""
NARROW = Format(360.0, 300.0, 46.0, 18.0, 12.0, is_brief=True)
"""For a phone held upright."""

_PAD = 14.0
_HEADROOM = 0.10
_LEAST_SPAN_C = 40.0
_LEAST_S = 60.0
_CURVE_PIECES = 400
_SHORTEST_LABELLED = 20.0
"""A leg shorter than this on the picture is left without its rate."""
_FARTHEST = 28.0
"""A label above or below its line is no farther from it than this."""
_CLEAR = 2.0
_LEAST_BAR = 3.0


def draw_plan(plan: Plan, format_: Format) -> Scene:
    """The picture of ``plan`` in the given measures."""
    return _Drawing(plan, format_).scene()


class _Drawing:
    def __init__(self, plan: Plan, format_: Format) -> None:
        self._plan = plan
        self._format = format_
        self._size = format_.text_size
        self._left, self._right = format_.side, format_.width - format_.side
        timeline = plan.timeline
        every_s = max(timeline.total_s / _CURVE_PIECES, 1.0)
        self._points_s = timeline.points(every_s)
        self._cooling_s = plan.cooling()
        end_s = self._cooling_s[-1][0] if self._cooling_s else timeline.total_s
        self._hours = Axis(0.0, max(end_s, _LEAST_S) / 3600.0, self._left, self._right)

    def scene(self) -> Scene:
        header, y = self._header()
        cones = self._plan.cones()
        self._cone_top = y
        # Without cones there is still the axes' °C and °F.
        self._top = y + max(len(cones) * (self._size + 6.0), self._size) + 4.0
        self._ground = self._top + self._format.plot_height
        self._temps = self._temp_axis()
        self._curve = tuple(self._point(at_s, temp_c) for at_s, temp_c in self._points_s)
        cooling = tuple(self._point(at_s, temp_c) for at_s, temp_c in self._cooling_s)
        self._room = Room(
            Box(self._left + 2.0, self._top, self._right - 2.0, self._ground - 2.0),
            (*self._curve, *cooling),
        )
        shapes: list[Shape] = [
            *self._bands(),
            *self._hour_scale(),
            *self._temp_scale(),
            *self._cones(cones),
            *([Line(cooling, Role.COOLING, "cooling")] if cooling else []),
            Line(self._curve, Role.CURVE, "plan"),
            *self._corners(),
            *self._cone_marks(cones),
            *self._labels(),
        ]
        strip, y = self._strip(self._ground + self._size + 12.0)
        footer, y = self._footer(y)
        paper = Area(box(0.0, 0.0, self._format.width, y), Role.PAPER)
        return Scene(
            self._format.width,
            y,
            self._plan.title,
            self._plan.description(),
            (paper, *header, *shapes, *strip, *footer),
        )

    def _point(self, at_s: float, temp_c: float) -> Point:
        return self._hours.place(at_s / 3600.0), self._height(temp_c)

    def _height(self, temp_c: float) -> float:
        return self._temps.place(from_c(temp_c, self._plan.words.unit))

    def _temp_axis(self) -> Axis:
        unit = self._plan.words.unit
        temps_c = [temp_c for _, temp_c in self._points_s]
        low = min(0.0, from_c(min(temps_c), unit))
        high = max(from_c(max(temps_c), unit), low + difference_from_c(_LEAST_SPAN_C, unit))
        return Axis(low, high + (high - low) * _HEADROOM, self._ground, self._top)

    def _header(self) -> tuple[list[Shape], float]:
        width = self._format.width - 2.0 * _PAD
        size, y = self._format.title_size, _PAD
        shapes: list[Shape] = []
        for line in broken(self._plan.title, size, width, 3, bold=True):
            y += size * 1.1
            shapes.append(Text((_PAD, y), line, size, bold=True, part="title"))
        y += 4.0
        for line in broken(self._plan.facts(), self._size, width, 5):
            y += self._size * 1.35
            shapes.append(Text((_PAD, y), line, self._size, part="facts"))
        return shapes, y + self._size

    def _footer(self, y: float) -> tuple[list[Shape], float]:
        width = self._format.width - 2.0 * _PAD
        shapes: list[Shape] = []
        for note in self._plan.footnotes():
            for line in broken(note, self._size, width, 3):
                y += self._size * 1.35
                shapes.append(Text((_PAD, y), line, self._size, Role.QUIET, part="footnote"))
        return shapes, y + _PAD

    def _temp_scale(self) -> Iterator[Shape]:
        unit, other = self._plan.words.unit, self._plan.other_unit
        most = int(self._format.plot_height // 42.0)
        axis = self._temps
        for temp in marks(axis.low, axis.high, temp_step(axis.high - axis.low, most)):
            y = axis.place(temp)
            yield Line(((self._left, y), (self._right, y)), Role.GRID)
            yield Text(
                (self._left - 7.0, y + self._size * 0.35),
                self._plan.number(temp),
                self._size,
                anchor=Anchor.END,
                part="temp",
            )
        low, high = (_in_other(value, unit) for value in (axis.low, axis.high))
        for temp in marks(low, high, temp_step(high - low, most)):
            y = axis.place(_in_other(temp, other))
            yield Line(((self._right, y), (self._right + 4.0, y)), Role.AXIS)
            yield Text(
                (self._right + 7.0, y + self._size * 0.35),
                self._plan.number(temp),
                self._size,
                Role.QUIET,
                part="other-temp",
            )
        feet = ((self._left, self._ground), (self._right, self._ground))
        frame = ((self._left, self._top), *feet, (self._right, self._top))
        yield Line(frame, Role.AXIS)
        # Beside the axes, not above them: there the cones have their names.
        y = self._top - self._size * 0.8
        yield Text(
            (self._left - 7.0, y), f"°{unit.value}", self._size, anchor=Anchor.END, bold=True
        )
        yield Text((self._right + 7.0, y), f"°{other.value}", self._size, Role.QUIET, bold=True)

    def _hour_scale(self) -> Iterator[Shape]:
        axis = self._hours
        widest = width_of(hour_name(axis.high, 1.0), self._size)
        step = hour_step(axis.high, int((self._right - self._left) // max(widest + 14.0, 40.0)))
        y = self._ground + self._size + 5.0
        for hours in marks(0.0, axis.high, step):
            x = axis.place(hours)
            yield Line(((x, self._top), (x, self._ground)), Role.GRID)
            yield Line(((x, self._ground), (x, self._ground + 4.0)), Role.AXIS)
            yield Text(
                (x, y), hour_name(hours, step), self._size, anchor=Anchor.MIDDLE, part="hour"
            )
        yield Text(
            (self._left - 10.0, y),
            self._plan.hours,
            self._size,
            Role.QUIET,
            Anchor.END,
            part="hours",
        )

    def _bands(self) -> Iterator[Shape]:
        edges = []
        for phase in self._plan.phases:
            start_s, end_s = self._clip(phase.start_s), self._clip(phase.end_s)
            if end_s <= start_s:
                continue
            at = self._plan.timeline.at
            inside = [(s, c) for s, c in self._points_s if start_s < s < end_s]
            top = [self._point(*p) for p in ((start_s, at(start_s)), *inside, (end_s, at(end_s)))]
            feet = ((top[-1][0], self._ground), (top[0][0], self._ground))
            yield Area((*top, *feet), Role.BAND, "band")
            edges += [Line(((x, y), (x, self._ground)), Role.EDGE) for x, y in (top[0], top[-1])]
        yield from edges

    def _clip(self, at_s: float) -> float:
        return min(max(at_s, 0.0), self._plan.timeline.total_s)

    def _cone_point(self, at_s: float) -> Point:
        for (start_s, hot_c), (end_s, cool_c) in pairwise(self._cooling_s):
            if start_s < at_s <= end_s:
                part = (at_s - start_s) / (end_s - start_s)
                return self._point(at_s, hot_c + part * (cool_c - hot_c))
        return self._point(at_s, self._plan.timeline.at(at_s))

    def _cones(self, cones: list[tuple[str, float]]) -> Iterator[Shape]:
        """Names above the plot, one below the other, so that no line crosses a name."""
        if not cones:
            return
        xs = [self._cone_point(at_s)[0] for _, at_s in cones]
        said, on_left = self._cone_names(cones, xs)
        for place, ((cone, at_s), text, x) in enumerate(zip(cones, said, xs, strict=True)):
            lane = len(cones) - 1 - place if on_left else place
            y = self._cone_top + lane * (self._size + 6.0) + self._size
            mark_y = self._cone_point(at_s)[1]
            yield Line(((x, y - self._size * 0.8), (x, mark_y)), Role.LEADER)
            self._room.take(Box(x - 2.0, self._top, x + 2.0, mark_y))
            yield Text(
                (x - 5.0 if on_left else x + 5.0, y),
                text,
                self._size,
                anchor=Anchor.END if on_left else Anchor.START,
                bold=cone == self._plan.schedule.target_cone,
                part="cone",
            )

    def _cone_names(
        self, cones: list[tuple[str, float]], xs: list[float]
    ) -> tuple[list[str], bool]:
        """The fullest names for which there is room, and whether they stand left of their lines."""
        *_, said = names = self._plan.cone_names(cones)
        for fuller in names:
            widest = max(width_of(text, self._size, bold=True) for text in fuller) + 6.0
            if xs[0] - widest >= self._left:
                return fuller, True
            if xs[-1] + widest <= self._right:
                return fuller, False
        return said, xs[0] > self._format.width / 2.0

    def _cone_marks(self, cones: list[tuple[str, float]]) -> Iterator[Shape]:
        for cone, at_s in cones:
            x, y = self._cone_point(at_s)
            role = Role.TARGET if cone == self._plan.schedule.target_cone else Role.CONE
            # A cone that begins to lean.
            yield Area(((x - 5.0, y + 4.5), (x + 4.0, y + 4.5), (x + 3.0, y - 6.5)), role, "mark")
            self._room.take(Box(x - 7.0, y - 7.0, x + 7.0, y + 7.0))

    def _corners(self) -> Iterator[Shape]:
        for step in self._plan.timeline.steps:
            for at_s in {step.reach_s, step.end_s}:
                x, y = self._point(at_s, step.to_c)
                yield Area(box(x - 2.5, y - 2.5, x + 2.5, y + 2.5), Role.CORNER)

    def _labels(self) -> Iterator[Shape]:
        """The peak first, then the holds, then the rates of the longest legs first."""
        steps = self._plan.timeline.steps
        peak = steps[self._plan.schedule.peak_step]
        holds = sorted((s for s in steps if s.hold_s > 0.0), key=lambda step: -step.hold_s)
        legs = [s for s in steps if self._length(s) >= _SHORTEST_LABELLED]
        held = self._peak_places(peak, is_held=True) if peak.hold_s > 0.0 else ()
        label = self._room.first_free(held, _CLEAR)
        if label is None:
            label = self._room.first_free(self._peak_places(peak, is_held=False), _CLEAR)
        else:
            holds.remove(peak)
        if label is not None:
            yield label
        for places in (
            *map(self._hold_places, holds),
            *map(self._rate_places, sorted(legs, key=lambda step: -self._length(step))),
        ):
            label = self._room.first_free(places, _CLEAR)
            if label is not None:
                yield label

    def _length(self, step: PlannedStep) -> float:
        x1, y1 = self._point(step.start_s, step.from_c)
        x2, y2 = self._point(step.reach_s, step.to_c)
        return float(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5)

    def _slope(self, step: PlannedStep) -> float:
        x1, y1 = self._point(step.start_s, step.from_c)
        x2, y2 = self._point(step.reach_s, step.to_c)
        return abs(y2 - y1) / max(x2 - x1, 1.0)

    def _peak_places(self, peak: PlannedStep, *, is_held: bool) -> Iterator[tuple[Text, Point]]:
        said = self._plan.peak(peak, is_held=is_held)
        x1, y = self._point(peak.reach_s, peak.to_c)
        x2, _ = self._point(peak.end_s, peak.to_c)
        for at, anchor in (
            (((x1 + x2) / 2.0, y - 10.0), Anchor.MIDDLE),
            ((x2 + 10.0, y + 2.0), Anchor.START),
            ((x2 + 5.0, y - 8.0), Anchor.START),
            ((x2 - 4.0, y - 10.0), Anchor.END),
            ((x1 - 12.0, y - 8.0), Anchor.END),
            *(((x1 - 10.0 * n, y - 2.0), Anchor.END) for n in range(2, 16)),
        ):
            text = Text(at, said, self._size, anchor=anchor, bold=True, part="peak")
            yield text, (at[0], y)

    def _hold_places(self, step: PlannedStep) -> Iterator[tuple[Text, Point]]:
        said = self._plan.hold(step)
        x1, y = self._point(step.reach_s, step.to_c)
        x2, _ = self._point(step.end_s, step.to_c)
        middle, above, below = (x1 + x2) / 2.0, y - 8.0, y + self._size + 6.0
        for at, anchor in (
            ((middle, above), Anchor.MIDDLE),
            ((x1 + 2.0, below), Anchor.START),
            ((middle, below), Anchor.MIDDLE),
            ((x2, below), Anchor.END),
            ((x2, above), Anchor.END),
            ((x2 + 9.0, y + self._size * 0.4), Anchor.START),
            ((x2 + 9.0, below), Anchor.START),
        ):
            yield Text(at, said, self._size, anchor=anchor, part="hold"), (x2, y)

    def _rate_places(self, step: PlannedStep) -> Iterator[tuple[Text, Point]]:
        said = self._plan.rate(step)
        ways = (Anchor.END, Anchor.START) if step.climbs else (Anchor.START, Anchor.END)
        half = width_of(said, self._size) / 2.0
        for part in (0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88):
            at_s = step.start_s + part * (step.reach_s - step.start_s)
            x, y = self._point(at_s, self._plan.timeline.at(at_s))
            # As far as the line rises or falls along half the label.
            away = self._slope(step) * half + 7.0
            if away <= _FARTHEST:
                for at in ((x, y - away), (x, y + away + self._size * 0.6)):
                    yield Text(at, said, self._size, anchor=Anchor.MIDDLE, part="rate"), (x, y)
            for anchor in ways:
                for away in (8.0, 14.0, 22.0):
                    side = -away if anchor is Anchor.END else away
                    lift = -1.0 if anchor is ways[0] else self._size * 0.8
                    at = (x + side, y + lift)
                    yield Text(at, said, self._size, anchor=anchor, part="rate"), (x, y)

    def _strip(self, y: float) -> tuple[list[Shape], float]:
        """Bars with the phases' names, sorted into lanes so that none covers another."""
        if not self._plan.phases:
            return [], y
        size = self._size
        y += size * 1.6
        shapes: list[Shape] = [Text((_PAD, y), self._plan.strip, size, bold=True, part="strip")]
        y += size * 0.6
        bars = []
        for phase in sorted(self._plan.phases, key=lambda phase: (phase.start_s, phase.end_s)):
            x1 = self._hours.place(self._clip(phase.start_s) / 3600.0)
            x2 = self._hours.place(self._clip(phase.end_s) / 3600.0)
            if x2 - x1 < _LEAST_BAR:
                x1 = min(x1, self._right - _LEAST_BAR)
                x2 = x1 + _LEAST_BAR
            label = self._bar_label(self._plan.phase(phase, briefly=self._format.is_brief), x1, x2)
            room = box_of(label)
            bars.append((x1, x2, label, min(x1, room.left), max(x2, room.right)))
        height = size + 7.0
        in_lanes = lanes([(left, right) for *_, left, right in bars], 8.0)
        for (x1, x2, label, *_), lane in zip(bars, in_lanes, strict=True):
            top = y + lane * height
            shapes.append(Area(box(x1, top + 1.0, x2, top + height - 2.0), Role.BAR, "bar"))
            at = (label.at[0], top + height / 2.0 + size * 0.33)
            shapes.append(Text(at, label.text, size, anchor=label.anchor, part="phase"))
        return shapes, y + (max(in_lanes) + 1) * height + size * 0.4

    def _bar_label(self, said: str, x1: float, x2: float) -> Text:
        """The name inside its bar, else right of it, else left, else where it can be whole."""
        size = self._size
        last = self._format.width - _PAD
        [said] = broken(said, size, last - _PAD, 1)
        width = width_of(said, size)
        if width + 8.0 <= x2 - x1:
            return Text((x1 + 5.0, 0.0), said, size)
        if x2 + 5.0 + width <= last:
            return Text((x2 + 5.0, 0.0), said, size)
        if x1 - 5.0 - width >= _PAD:
            return Text((x1 - 5.0, 0.0), said, size, anchor=Anchor.END)
        return Text((max(_PAD, min(x1 + 5.0, last - width)), 0.0), said, size)


def _in_other(temp: float, unit: Unit) -> float:
    """A temperature in ``unit``, in the other scale."""
    return f_from_c(temp) if unit is Unit.C else c_from_f(temp)
