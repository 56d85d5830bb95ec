"""The picture shows the plan: its points, marks and names are where they belong."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest

from supervisor.core.heatwork import Progress
from supervisor.core.phases import PlannedPhase
from supervisor.core.units import Unit, from_c, to_c
from supervisor.picture.drawing import NARROW, WIDE, Format, draw_plan
from supervisor.picture.room import ASCENT, Box, box_of
from supervisor.picture.scene import Area, Line, Role, Scene, Text
from supervisor.picture.svg import svg_of
from tests.picture.plans import ENDS_HOT, HUNDRED, ONE_STEP, PLANS, SLOW_COOL, crowd, plan_of

SVG = "{http://www.w3.org/2000/svg}"
FORMATS = pytest.mark.parametrize("format_", [WIDE, NARROW], ids=["wide", "narrow"])
EVERY_PLAN = pytest.mark.parametrize("name", PLANS)


def texts(scene: Scene, *parts: str) -> list[Text]:
    return [s for s in scene.shapes if isinstance(s, Text) and (not parts or s.part in parts)]


def parts_of(svg: ElementTree.Element, part: str) -> Iterator[ElementTree.Element]:
    return (element for element in svg.iter() if element.get("data-part") == part)


def figure(element: ElementTree.Element) -> float:
    """The number, or the clock, that a mark of an axis shows."""
    said = (element.text or "").replace(",", "")
    if ":" in said:
        hours, minutes = said.split(":")
        return int(hours) + int(minutes) / 60.0
    return float(said)


class Ruler:
    """Reads an axis back from two of its marks, as an eye does."""

    def __init__(self, marks: list[tuple[float, float]]) -> None:
        (self.at, self.value), (far_at, far_value) = marks[0], marks[-1]
        self.per = (far_value - self.value) / (far_at - self.at)

    def read(self, place: float) -> float:
        return self.value + (place - self.at) * self.per


def rulers(svg: ElementTree.Element) -> tuple[Ruler, Ruler, Ruler]:
    """Hours along x; the main and the other scale of temperature along y."""
    hours = [(float(e.get("x", "")), figure(e)) for e in parts_of(svg, "hour")]
    temps, others = (
        [(float(e.get("y", "")), figure(e)) for e in parts_of(svg, part)]
        for part in ("temp", "other-temp")
    )
    return Ruler(hours), Ruler(temps), Ruler(others)


@FORMATS
@EVERY_PLAN
def test_every_point_of_the_line_lies_where_the_plan_is(name: str, format_: Format) -> None:
    plan = plan_of(PLANS[name])
    svg = ElementTree.fromstring(svg_of(draw_plan(plan, format_)))
    [line] = parts_of(svg, "plan")
    hours, temps, others = rulers(svg)
    # The marks' text stands a little lower than the marks.
    lower = format_.text_size * 0.35
    unit, other = plan.words.unit, plan.other_unit
    points = [tuple(map(float, p.split(","))) for p in line.get("points", "").split()]
    assert len(points) > len(plan.schedule.steps)
    for x, y in points:
        at_s = hours.read(x) * 3600.0
        expected_c = plan.timeline.at(at_s)
        # A hundredth of a unit of the drawing across, on the steepest line.
        nearby_s = max(plan.timeline.total_s, 60.0) * 1e-4
        spread_c = abs(plan.timeline.at(at_s + nearby_s) - plan.timeline.at(at_s - nearby_s))
        for ruler, scale in ((temps, unit), (others, other)):
            assert to_c(ruler.read(y + lower), scale) == pytest.approx(
                expected_c, abs=0.5 + spread_c
            )
    last_s = hours.read(points[-1][0]) * 3600.0
    assert last_s == pytest.approx(plan.timeline.total_s, rel=1e-3, abs=1.0)


@FORMATS
def test_the_line_meets_every_corner_and_hold(format_: Format) -> None:
    plan = plan_of(SLOW_COOL)
    svg = ElementTree.fromstring(svg_of(draw_plan(plan, format_)))
    hours, _, _ = rulers(svg)
    [line] = parts_of(svg, "plan")
    drawn_s = [hours.read(float(p.split(",")[0])) * 3600.0 for p in line.get("points", "").split()]
    for step in plan.timeline.steps:
        for at_s in (step.reach_s, step.end_s):
            assert min(abs(at_s - s) for s in drawn_s) < 10.0


@FORMATS
@EVERY_PLAN
def test_no_text_leaves_the_picture_or_covers_another(name: str, format_: Format) -> None:
    scene = draw_plan(plan_of(PLANS[name]), format_)
    # Widths are those of a wide font, so that marks may seem to touch that do not.
    slack = 2.0
    room = Box(-slack, 0.0, scene.width + slack, scene.height)
    for text in texts(scene):
        assert room.holds(box_of(text)), text
    for one, two in combinations(texts(scene), 2):
        assert not box_of(one).wider(-slack).meets(box_of(two).wider(-slack)), (one, two)


@FORMATS
@EVERY_PLAN
def test_no_label_lies_on_the_line(name: str, format_: Format) -> None:
    scene = draw_plan(plan_of(PLANS[name]), format_)
    [line] = [s for s in scene.shapes if isinstance(s, Line) and s.part == "plan"]
    for text in texts(scene, "rate", "hold", "peak", "cone"):
        box = box_of(text)
        for start, end in zip(line.points, line.points[1:], strict=False):
            assert not box.is_crossed(start, end), text


@FORMATS
def test_every_phase_is_named_whole_beside_its_own_bar(format_: Format) -> None:
    phases = crowd(SLOW_COOL)
    scene = draw_plan(plan_of(SLOW_COOL, phases), format_)
    named = texts(scene, "phase")
    bars = [s for s in scene.shapes if isinstance(s, Area) and s.part == "bar"]
    assert len(named) == len(bars) == 14
    for phase, text, bar in zip(phases, named, bars, strict=True):
        assert text.text.startswith(phase.band.name)
        assert "…" not in text.text
        top, bottom = bar.points[0][1], bar.points[2][1]
        assert top < text.at[1] - ASCENT * text.size / 2.0 < bottom
        box = box_of(text)
        strangers = [other for other in bars if other is not bar]
        for other in strangers:
            (left, upper), _, (right, lower), _ = other.points
            assert not box.meets(Box(left, upper, right, lower))
    for one, two in combinations(named, 2):
        assert not box_of(one).meets(box_of(two))


def test_a_bar_and_its_band_last_as_long_as_the_phase() -> None:
    plan = plan_of(SLOW_COOL)
    svg = ElementTree.fromstring(svg_of(draw_plan(plan, WIDE)))
    hours, _, _ = rulers(svg)
    for part in ("bar", "band"):
        spans = [
            sorted({float(p.split(",")[0]) for p in element.get("points", "").split()})
            for element in parts_of(svg, part)
        ]
        for phase, xs in zip(plan.phases, spans, strict=True):
            assert hours.read(xs[0]) * 3600.0 == pytest.approx(phase.start_s, abs=60.0)
            assert hours.read(xs[-1]) * 3600.0 == pytest.approx(phase.end_s, abs=60.0)


@pytest.mark.parametrize(("start_h", "end_h"), [(-5.0, 2.0), (25.0, 90.0), (90.0, 95.0)])
def test_a_phase_beyond_the_plan_stays_within_the_picture(start_h: float, end_h: float) -> None:
    model = plan_of(SLOW_COOL).phases[0]
    phase = PlannedPhase(model.band, start_h * 3600.0, end_h * 3600.0, 50.0)
    scene = draw_plan(plan_of(SLOW_COOL, [phase]), WIDE)
    [bar] = [s for s in scene.shapes if isinstance(s, Area) and s.part == "bar"]
    xs = [x for x, _ in bar.points]
    assert WIDE.side - 0.01 <= min(xs) < max(xs) <= WIDE.width - WIDE.side + 0.01
    assert [text.text.split(",")[0] for text in texts(scene, "phase")] == [model.band.name]


@FORMATS
def test_the_last_three_cones_and_the_target_are_marked_on_the_line(format_: Format) -> None:
    schedule = replace(SLOW_COOL, target_cone="04")
    plan = plan_of(schedule)
    down = list(plan.progress.down_at_s)
    assert len(down) > 20
    scene = draw_plan(plan, format_)
    named = [re.split(r"[ ,]", text.text)[1] for text in texts(scene, "cone")]
    assert named == ["04", *down[-3:]]
    assert [text.bold for text in texts(scene, "cone")] == [True, False, False, False]
    marks = [s for s in scene.shapes if isinstance(s, Area) and s.part == "mark"]
    assert [mark.role for mark in marks] == [Role.TARGET, Role.CONE, Role.CONE, Role.CONE]
    svg = ElementTree.fromstring(svg_of(scene))
    hours, _, _ = rulers(svg)
    leaders = [s for s in scene.shapes if isinstance(s, Line) and s.role is Role.LEADER]
    for cone, leader in zip(named, leaders, strict=True):
        at_s = hours.read(leader.points[0][0]) * 3600.0
        assert at_s == pytest.approx(plan.progress.down_at_s[cone], abs=60.0)


@FORMATS
def test_a_cone_that_falls_after_the_plans_end_is_marked_on_the_kilns_own_cooling(
    format_: Format,
) -> None:
    plan = plan_of(ENDS_HOT)
    total_s = plan.timeline.total_s
    down_s = plan.progress.down_at_s["6"]
    assert down_s > total_s + 120.0
    scene = draw_plan(plan, format_)
    hours, temps, _ = rulers(ElementTree.fromstring(svg_of(scene)))
    [mark] = [s for s in scene.shapes if isinstance(s, Area) and s.role is Role.TARGET]
    x, y = mark.points[0][0] + 5.0, mark.points[0][1] - 4.5
    assert hours.read(x) * 3600.0 == pytest.approx(down_s, abs=60.0)
    [line] = [s for s in scene.shapes if isinstance(s, Line) and s.part == "cooling"]
    [curve] = [s for s in scene.shapes if isinstance(s, Line) and s.part == "plan"]
    fallen_c = 1202.0 * -math.expm1(-(down_s - total_s) / 18_000.0)
    assert fallen_c > 10.0
    found_c = temps.read(curve.points[-1][1]) - temps.read(y)
    assert found_c == pytest.approx(fallen_c, abs=1.0)
    assert line.points[0] == curve.points[-1]
    assert x <= line.points[-1][0] <= format_.width - format_.side + 0.01
    notes = " ".join(text.text for text in texts(scene, "footnote"))
    assert "own cooling, an estimate" in notes
    cold = draw_plan(plan_of(SLOW_COOL), format_)
    assert [s for s in cold.shapes if isinstance(s, Line) and s.part == "cooling"] == []


@FORMATS
@EVERY_PLAN
def test_no_line_to_a_cone_crosses_a_text(name: str, format_: Format) -> None:
    scene = draw_plan(plan_of(PLANS[name]), format_)
    for leader in (s for s in scene.shapes if isinstance(s, Line) and s.role is Role.LEADER):
        for text in texts(scene):
            assert not box_of(text).wider(-1.0).is_crossed(*leader.points), text


def test_a_target_that_stays_up_is_said_and_that_cones_are_calculated() -> None:
    said = " ".join(text.text for text in texts(draw_plan(plan_of(HUNDRED), WIDE), "footnote"))
    short = replace(ONE_STEP, target_cone="6")
    up = " ".join(text.text for text in texts(draw_plan(plan_of(short), WIDE), "footnote"))
    assert "cone 6 stays up: it gets " in up
    assert "the witness cones decide" in said
    assert "the witness cones decide" in up
    none = plan_of(ONE_STEP)
    bare = replace(none, progress=Progress(None, "022", 0.1, {"022": 0.1}, {}))
    scene = draw_plan(bare, WIDE)
    assert texts(scene, "cone") == []
    assert "no cone goes down" in " ".join(text.text for text in texts(scene, "footnote"))


def test_rates_holds_and_peak_are_read_in_the_plans_scale() -> None:
    scene = draw_plan(plan_of(replace(SLOW_COOL, units=Unit.F)), WIDE)
    rates = {text.text for text in texts(scene, "rate")}
    # 130, 160 and 70 °C an hour in the file.
    assert {"234 °F/h", "288 °F/h", "126 °F/h", "by itself"} <= rates
    peak_f = from_c(SLOW_COOL.peak_c, Unit.F)
    assert [text.text for text in texts(scene, "peak")] == [f"peak {peak_f:,.0f} °F, hold 30 min"]
    assert {text.text for text in texts(scene, "hold")} == {"hold 20 min", "hold 25 min"}
    facts = " ".join(text.text for text in texts(scene, "facts"))
    assert "It takes 27 h 28 min from 68 °F; the peak is 2,201 °F (1,205 °C)." in facts


@pytest.mark.parametrize(
    ("rate_c_per_h", "said"), [(0.5, "0.5 °C/h"), (4.0, "4 °C/h"), (60.0, "60 °C/h")]
)
def test_a_slow_rate_is_not_shown_as_none(rate_c_per_h: float, said: str) -> None:
    slow = replace(ONE_STEP, steps=(replace(ONE_STEP.steps[0], rate_c_per_h=rate_c_per_h),))
    assert [text.text for text in texts(draw_plan(plan_of(slow), WIDE), "rate")] == [said]


def test_a_label_stands_beside_its_own_leg() -> None:
    """Between a rate and the nearest point of its leg there is no other part of the line."""
    scene = draw_plan(plan_of(SLOW_COOL), NARROW)
    by_itself = [text for text in texts(scene, "rate") if text.text == "by itself"]
    [line] = [s for s in scene.shapes if isinstance(s, Line) and s.part == "plan"]
    top_x = min(line.points, key=lambda point: point[1])[0]
    assert by_itself
    assert all(box_of(text).left > top_x for text in by_itself)
