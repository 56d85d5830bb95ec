"""Reports on paper: nothing covers anything, nothing is lost, and the wall's is one sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from supervisor.core.report import Papers, chart_of, report_of
from supervisor.core.report.blocks import Column, Lines, Report, Table
from supervisor.core.units import Unit
from supervisor.picture.firing_drawing import draw_chart
from supervisor.picture.lettering import harmless, width_of
from supervisor.picture.paper import Paper, paginated
from supervisor.picture.pdf import _fonts, _spelt, pdf_of
from supervisor.picture.pieces import Piece, block_pieces
from supervisor.picture.room import Box, box_of
from supervisor.picture.scene import STYLES, Area, Line, Picture, Role, Scene, Text
from supervisor.picture.sheets import binder_sheets, wall_sheet
from supervisor.picture.thumbnail import thumbnail
from supervisor.record.papers import papers_of
from supervisor.record.photos import PhotoFiles
from supervisor.record.store import Record
from tests.reports import HOSTILE, LONG_KILN, keep_every_kind

KINDS = (
    "healthy", "stalled", "fahrenheit", "reduced", "uneven", "broken", "short", "planless",
    "blind", "named", "photographed",
)  # fmt: skip
EVERY_KIND = pytest.mark.parametrize("kind", KINDS)
_HAIR = 0.3
"""Boxes that touch don't cover each other."""


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Papers]:
    folder = tmp_path_factory.mktemp("data")
    ids = keep_every_kind(folder)
    assert tuple(ids) == KINDS
    with Record.open_to_read(folder) as record:
        return {
            kind: papers_of(record, record.firing(id_), photos=PhotoFiles(folder), shrink=thumbnail)
            for kind, id_ in ids.items()
        }


def sheets_of(one: Papers, paper: Paper) -> list[Scene]:
    report, chart = report_of(one), chart_of(one)
    return [wall_sheet(report, chart, paper), *binder_sheets(report, chart, paper)]


def texts(scene: Scene, *parts: str) -> list[Text]:
    return [s for s in scene.shapes if isinstance(s, Text) and (not parts or s.part in parts)]


def covered(scene: Scene) -> Iterator[tuple[Text, Text]]:
    """The texts that cover one another."""
    boxes = [(text, box_of(text).wider(-_HAIR)) for text in texts(scene)]
    boxes.sort(key=lambda item: item[1].top)
    for place, (one, first) in enumerate(boxes):
        for two, second in boxes[place + 1 :]:
            if second.top >= first.bottom:
                break
            if first.meets(second):
                yield one, two


@EVERY_KIND
def test_no_text_covers_another_or_leaves_the_sheet(papers: dict[str, Papers], kind: str) -> None:
    for paper in Paper:
        for scene in sheets_of(papers[kind], paper):
            assert (scene.width, scene.height) == paper.size
            room = Box(0.0, 0.0, *paper.size)
            assert [text for text in texts(scene) if not room.holds(box_of(text))] == []
            assert list(covered(scene)) == []


def pictures(scene: Scene) -> list[tuple[Picture, Box]]:
    """The photos of a sheet, and where they are."""
    return [
        (s, Box(s.at[0], s.at[1], s.at[0] + s.width, s.at[1] + s.height))
        for s in scene.shapes
        if isinstance(s, Picture)
    ]


def test_photos_keep_their_proportions_and_clear_of_all_else(papers: dict[str, Papers]) -> None:
    photos = papers["photographed"].photos
    for paper in Paper:
        wall, *binder = sheets_of(papers["photographed"], paper)
        shown = [picture for scene in binder for picture, _ in pictures(scene)]
        assert [picture.data for picture in shown] == [photo.data for photo in photos if photo.data]
        assert 2 <= len(pictures(wall)) <= 4
        for scene in (wall, *binder):
            room = Box(0.0, 0.0, *paper.size)
            boxes = [box for _, box in pictures(scene)]
            for place, (picture, box) in enumerate(pictures(scene)):
                photo = next(one for one in photos if one.data == picture.data)
                proportion = photo.width_px / photo.height_px
                assert picture.width / picture.height == pytest.approx(proportion, rel=0.01)
                assert room.holds(box)
                assert [text for text in texts(scene) if box_of(text).meets(box)] == []
                assert not any(box.meets(other) for other in boxes[place + 1 :])


def test_the_binder_has_captions_whole(papers: dict[str, Papers]) -> None:
    _, *binder = sheets_of(papers["photographed"], Paper.A4)
    said = "".join(
        "".join(text.text.split()) for scene in binder for text in texts(scene, "caption")
    )
    for photo in papers["photographed"].photos:
        if photo.data:
            assert "".join(harmless(photo.caption).split()) in said


def test_the_pdf_has_the_photos_as_they_are(papers: dict[str, Papers]) -> None:
    _, *binder = sheets_of(papers["photographed"], Paper.A4)
    made = pdf_of(binder)
    shown = [photo for photo in papers["photographed"].photos if photo.data]
    assert made.count(b"/Subtype /Image") == len(shown)
    assert made.count(b"/DCTDecode") == len(shown)
    assert made == pdf_of(binder)


@EVERY_KIND
@pytest.mark.parametrize(("width", "size"), [(900.0, 13.0), (360.0, 12.0)])
def test_no_text_of_a_chart_covers_another(
    papers: dict[str, Papers], kind: str, width: float, size: float
) -> None:
    scene = draw_chart(chart_of(papers[kind]), width, 300.0, size)
    room = Box(-_HAIR, 0.0, width + _HAIR, scene.height)
    assert [text for text in texts(scene) if not room.holds(box_of(text))] == []
    assert list(covered(scene)) == []


def test_two_texts_that_do_cover_each_other_are_found() -> None:
    shapes = (Text((10.0, 20.0), "one", 10.0), Text((14.0, 22.0), "two", 10.0))
    assert len(list(covered(Scene(100.0, 100.0, "", "", shapes)))) == 1


@EVERY_KIND
def test_the_pdf_sets_no_text_wider_than_was_planned(papers: dict[str, Papers], kind: str) -> None:
    from reportlab.pdfbase import pdfmetrics

    regular, bold = _fonts()

    @cache
    def em(char: str, font: str) -> float:
        return float(pdfmetrics.stringWidth(_spelt(char, font), font, 1.0))

    seen = 0
    for scene in sheets_of(papers[kind], Paper.A4):
        for text in texts(scene):
            font = bold if text.bold else regular
            wide = sum(em(char, font) for char in text.text) * text.size
            assert wide <= width_of(text.text, text.size, bold=text.bold) + 0.5, text
            seen += 1
    assert seen > 40


def test_no_difference_is_not_told_as_one_of_nothing(papers: dict[str, Papers]) -> None:
    one = papers["healthy"]
    assert one.facts.evenness is not None
    for apart_c, cones, told, untold in (
        (0.2, 0.02, ("the channels read alike", "all had the same heat-work"), (" 0 °C", "0.0")),
        (2.2, 0.12, ("the channels were 2 °C apart", "0.1 cones more"), ("alike", "all had")),
    ):
        even = replace(one.facts.evenness, peak_apart_c=apart_c, cones_apart=cones)
        report = report_of(replace(one, facts=replace(one.facts, evenness=even)))
        section = report.section("evenness")
        assert section is not None
        said = " ".join(
            line for block in section.blocks if isinstance(block, Lines) for line in block.lines
        )
        assert all(part in said for part in told)
        assert not any(part in said.split(" At the worst")[0] for part in untold)


@EVERY_KIND
def test_the_binder_loses_no_word(papers: dict[str, Papers], kind: str) -> None:
    report, chart = report_of(papers[kind]), chart_of(papers[kind])
    scenes = binder_sheets(report, chart, Paper.LETTER)
    cells = "".join("".join(text.text.split()) for scene in scenes for text in texts(scene, "cell"))
    lines = "".join(
        "".join(text.text.split()) for scene in scenes for text in texts(scene, "line", "heading")
    )
    for section in report.sections:
        assert "".join(section.heading.split()) in lines
        for block in section.blocks:
            if isinstance(block, Lines):
                for line in block.lines:
                    assert "".join(harmless(line).split()) in lines
            elif isinstance(block, Table):
                for row in block.rows:
                    for cell in row:
                        for word in harmless(cell).split():
                            assert word[:20] in cells, "a long word may have been taken apart"


def test_heads_come_again_on_the_next_sheet(papers: dict[str, Papers]) -> None:
    report, chart = report_of(papers["named"]), chart_of(papers["named"])
    scenes = binder_sheets(report, chart, Paper.A4)
    with_notes = [s for s in scenes if any("look" in text.text for text in texts(s, "cell"))]
    assert len(with_notes) > 1
    for scene in with_notes:
        assert "note" in [text.text for text in texts(scene, "head")]
    assert [t.text for t in texts(scenes[1], "page")] == [f"2 of {len(scenes)}"]


@pytest.mark.parametrize(("count", "least"), [(2, 2), (5, 5), (6, 2), (9, 2), (30, 2)])
def test_no_row_of_a_table_stands_alone(count: int, least: int) -> None:
    table = Table((Column("no.", is_figure=True),), tuple((str(n),) for n in range(count)))
    pieces = block_pieces(table, 200.0, 9.0)
    for above in range(0, 300, 5):
        pages = paginated([Piece(float(above), ()), *pieces], 300.0)
        rows = [sum(isinstance(s, Text) and s.part == "cell" for s in page) for page in pages]
        assert sum(rows) == count
        assert min(n for n in rows if n) >= least


def test_the_chart_gives_way_where_that_saves_a_sheet(
    papers: dict[str, Papers], monkeypatch: pytest.MonkeyPatch
) -> None:
    def counts() -> dict[tuple[str, Paper], int]:
        told = {kind: (report_of(one), chart_of(one)) for kind, one in papers.items()}
        return {
            (kind, paper): len(binder_sheets(*told[kind], paper))
            for kind in KINDS
            for paper in Paper
        }

    by_choice = counts()
    monkeypatch.setattr("supervisor.picture.sheets._BINDER_PLOTS", (255.0,))
    always_high = counts()
    assert all(by_choice[which] <= always_high[which] for which in by_choice)
    assert by_choice != always_high


def test_the_wall_says_what_it_leaves_out(papers: dict[str, Papers]) -> None:
    report = report_of(papers["named"])
    sheet = wall_sheet(report, chart_of(papers["named"]), Paper.LETTER)
    headings = {"".join(t.text for t in texts(sheet, "heading"))}
    said = " ".join(t.text for t in texts(sheet, "page"))
    missing = [s.heading for s in report.wall if s.heading not in " ".join(headings)]
    for heading in missing:
        assert heading[1:].split(",")[0] in said or said.endswith("…")
    assert missing


def test_the_wall_shows_photos_or_says_that_there_are_some(papers: dict[str, Papers]) -> None:
    shown = {}
    for kind in ("named", "stalled", "photographed"):
        one = replace(papers[kind], photos=papers["photographed"].photos)
        sheet = wall_sheet(report_of(one), chart_of(one), Paper.A4)
        said = " ".join(t.text for t in texts(sheet, "page"))
        shown[kind] = bool(pictures(sheet))
        assert said.endswith(("the photos", "…")) is not shown[kind]
    assert shown == {"named": False, "stalled": False, "photographed": True}


def test_forty_warnings_are_cut_before_they_run_over_the_foot(papers: dict[str, Papers]) -> None:
    one = papers["stalled"]
    many = tuple(
        replace(one.facts.troubles[n % len(one.facts.troubles)], began_s=600.0 * n)
        for n in range(40)
    )
    full = replace(one, facts=replace(one.facts, troubles=many))
    for paper in Paper:
        for scene in sheets_of(full, paper):
            room = Box(0.0, 0.0, *paper.size)
            assert [text for text in texts(scene) if not room.holds(box_of(text))] == []
            assert list(covered(scene)) == []
        # The first sheet has the chart, with the warnings for which there is room.
        first = binder_sheets(report_of(full), chart_of(full), paper)[0]
        shown = len(texts(first, "event"))
        assert texts(first, "peak")
        assert 10 < shown < 40
        assert f"What spyhole warned of: the first {shown} of 40" in [
            text.text for text in texts(first, "strip")
        ]


def test_a_quiet_firing_has_its_whole_wall_report_on_the_sheet(papers: dict[str, Papers]) -> None:
    for kind in ("short", "planless", "blind"):
        report = report_of(papers[kind])
        sheet = wall_sheet(report, chart_of(papers[kind]), Paper.A4)
        assert texts(sheet, "page") == []
        assert len(texts(sheet, "heading")) >= len(report.wall)


def test_the_pdf_has_a_page_for_each_sheet_and_is_the_same_each_time(
    papers: dict[str, Papers],
) -> None:
    report, chart = report_of(papers["reduced"]), chart_of(papers["reduced"])
    scenes = binder_sheets(report, chart, Paper.A4)
    assert len(scenes) > 1
    first, again = pdf_of(scenes), pdf_of(scenes)
    assert first == again
    assert first.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type /Page\b", first)) == len(scenes)
    assert re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", first) == [
        (b"595.28", b"841.89")
    ] * len(scenes)


def test_lines_are_told_apart_without_colour(papers: dict[str, Papers]) -> None:
    scene = draw_chart(chart_of(papers["uneven"]), 500.0, 200.0, 9.0)
    samples = [s for s in scene.shapes if isinstance(s, Line) and s.part == "sample"]
    assert len(samples) == 4
    looks = {(STYLES[s.role].dash, STYLES[s.role].width) for s in samples}
    assert len(looks) == len(samples)
    for role in (Role.LEAD, Role.SECOND, Role.THIRD, Role.FOURTH, Role.PLAN):
        stroke = STYLES[role].stroke
        assert stroke is not None
        red, green, blue = (int(stroke.light[i : i + 2], 16) for i in (1, 3, 5))
        # Luma of grey print (ITU-R BT.601).
        assert 0.299 * red + 0.587 * green + 0.114 * blue < 110.0, role


def test_the_chart_shows_blind_times_warnings_and_the_peak(papers: dict[str, Papers]) -> None:
    blind = draw_chart(chart_of(papers["blind"]), 700.0, 250.0, 9.0)
    [gap] = [s for s in blind.shapes if isinstance(s, Area) and s.part == "blind"]
    hours = texts(blind, "hour")
    first, last = hours[0], hours[-1]
    per_hour = (last.at[0] - first.at[0]) / (float(last.text) - float(first.text))
    from_h = float(first.text) + (gap.points[0][0] - first.at[0]) / per_hour
    to_h = float(first.text) + (gap.points[1][0] - first.at[0]) / per_hour
    assert [from_h, to_h] == pytest.approx([30000.0 / 3600.0, 33000.0 / 3600.0], abs=0.05)
    stalled = draw_chart(chart_of(papers["stalled"]), 700.0, 250.0, 9.0)
    names = [t.text for t in texts(stalled, "event")]
    assert any(name.endswith("The climb has stalled") for name in names)
    [peak] = texts(stalled, "peak")
    assert peak.text.startswith("peak 1,0")


def test_strangers_words_stay_words(papers: dict[str, Papers]) -> None:
    report = report_of(papers["named"])
    assert LONG_KILN in report.about[0]
    scenes = sheets_of(papers["named"], Paper.A4)
    for scene in scenes:
        for text in texts(scene):
            assert "\u202e" not in text.text
            assert "\x07" not in text.text
    assert harmless(HOSTILE)[:20] in "".join(
        text.text for scene in scenes for text in texts(scene, "cell", "name")
    )


def test_a_fahrenheit_report_has_no_celsius(papers: dict[str, Papers]) -> None:
    assert papers["fahrenheit"].unit is Unit.F
    report: Report = report_of(papers["fahrenheit"])
    scenes = sheets_of(papers["fahrenheit"], Paper.LETTER)
    said = " ".join(text.text for scene in scenes for text in texts(scene))
    assert "°C" not in said + str(report) + "".join(s.description for s in scenes)
    assert said.count("°F") > 10
