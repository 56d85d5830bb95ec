"""``compare`` on the command line: firings and logs, words, JSON and pictures."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from simulator.scenario import load_scenario
from supervisor.core.compare import (
    Align,
    Comparison,
    Subject,
    compared,
    planned_subject,
    subject_of,
)
from supervisor.core.compare.words import sentences
from supervisor.core.review import Reviewer
from supervisor.core.schedule import starter
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.picture.compare_drawing import draw_comparison
from supervisor.picture.compare_sheets import comparison_sheets
from supervisor.picture.lettering import harmless
from supervisor.picture.paper import Paper
from supervisor.picture.room import Box, box_of
from supervisor.picture.scene import Scene, Text
from supervisor.record.store import Record
from tests.commands.conftest import Spyhole, simulated_log
from tests.reports import HOSTILE, LONG_KILN, readings_of, taken_in
from tests.service.firings import begin, night


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, str, str]:
    """A record with a healthy firing, an uneven one and one in °F without a plan."""
    folder = tmp_path_factory.mktemp("data")
    with Record.open(folder) as record:
        return (
            folder,
            taken_in(record, "healthy-midfire", kiln=LONG_KILN),
            taken_in(record, "cold-bottom"),
            taken_in(record, "healthy-bisque", units=Unit.F, has_plan=False),
        )


def test_two_firings_are_told_apart_in_words(
    spyhole: Spyhole, kept: tuple[Path, str, str, str]
) -> None:
    folder, healthy, uneven, _ = kept
    found = spyhole("compare", healthy, uneven, "--data", folder)
    assert (found.code, found.err) == (0, "")
    first, second, blank, heading, *said = found.out.splitlines()
    assert first.startswith(f"A: {healthy}, {LONG_KILN}, “Mid-fire glaze")
    assert second.startswith(f"B: {uneven}, the big kiln, “Mid-fire glaze")
    assert (blank, heading) == ("", "B against A:")
    assert said[0].startswith("  They parted after ")
    assert any(line.startswith("  B had 1.") and "heat-work" in line for line in said)
    assert any("B had a warning that A had not: “The kiln is uneven”" in line for line in said)
    assert said[-1].startswith("  Alike: ")


def test_one_that_goes_on_is_told_as_far_as_it_went(spyhole: Spyhole, tmp_path: Path) -> None:
    with Record.open(tmp_path) as record:
        firing = begin(record, "healthy-midfire")
        for one in night("healthy-midfire")[:900]:
            record.append(firing.id, one)
    found = spyhole("compare", firing.id, "--plan", "--data", tmp_path)
    assert (found.code, found.err) == (0, "")
    _, named, _, _, now, _, to_come, *_ = found.out.splitlines()
    assert named.endswith("(not over yet: this is so far)")
    assert now.startswith("  A still goes on: after 4:")
    assert "than the plan was at the same hour (" in now
    assert to_come.endswith(
        "A is not past its peak yet, so nothing is said of peak, hold and cooling."
    )
    assert "Alike" not in found.out


def test_the_document_has_the_same_in_celsius(
    spyhole: Spyhole, kept: tuple[Path, str, str, str]
) -> None:
    folder, healthy, uneven, bisque = kept
    words = ("compare", healthy, uneven, bisque, "--data", folder, "--json", "--units", "F")
    document = spyhole(*words).document
    assert list(document) == ["align", "from_c", "reference", "compared"]
    one, two = document["compared"]
    assert (one["name"], two["name"]) == ("B", "C")
    [parting] = one["parted"]
    assert set(parting) == {"at_s", "until_s", "by_c", "worst_at_s", "beyond_c"}
    [peak] = [d for d in two["differences"] if d["what"] == "peak"]
    assert peak["by"] == pytest.approx(
        two["peak"]["level_c"] - document["reference"]["peak"]["level_c"], abs=0.01
    )
    weights = [d["weight"] for d in one["differences"]]
    assert weights == sorted(weights, reverse=True)
    assert "°C" not in " ".join(one["sentences"])
    [cones] = [d for d in one["differences"] if d["what"] == "cones"]
    assert sum(cones["parts"].values()) == pytest.approx(cones["by"], abs=1e-3)


def test_logs_and_plans_are_compared_too(
    spyhole: Spyhole, kept: tuple[Path, str, str, str], tmp_path: Path
) -> None:
    folder, healthy, _, _ = kept
    log = simulated_log(tmp_path / "mine.csv", load_scenario("healthy-midfire"), 120.0, Unit.F)
    both = spyhole("compare", log, healthy, "--data", folder)
    assert (both.code, both.err) == (0, "")
    assert "They did not part: no difference that lasts is beyond 9 °F" in both.out
    own = spyhole("compare", healthy, "--plan", "--data", folder)
    assert own.out.startswith("the plan “Mid-fire glaze, cone 6, by a hold below its peak”\nA: ")
    assert "A against the plan:\n  They did not part" in own.out
    other = spyhole("compare", log, "--plan", "bisque", "--json")
    assert other.document["reference"]["is_plan"] is True
    [one] = other.document["compared"]
    assert one["parted"]


def test_what_can_t_be_compared_is_refused_in_one_sentence(
    spyhole: Spyhole, kept: tuple[Path, str, str, str], tmp_path: Path
) -> None:
    folder, healthy, _, bisque = kept
    alone = spyhole("compare", healthy, "--data", folder)
    assert (alone.code, alone.out) == (2, "")
    assert "give two firings, or one and --plan" in alone.err
    twice = spyhole("compare", healthy, healthy, "--data", folder)
    assert (twice.code, twice.err) == (1, f"spyhole compare: {healthy} is given twice\n")
    planless = spyhole("compare", bisque, "--plan", "--data", folder)
    assert planless.code == 1
    assert f"no plan is known of {bisque}" in planless.err
    missing = spyhole("compare", healthy, "nothing.csv", "--data", folder)
    assert missing.code == 1
    assert "nothing.csv" in missing.err
    unknown = spyhole("compare", healthy, "2031-", "--data", folder)
    assert (unknown.code, unknown.out) == (1, "")
    ending = spyhole("compare", healthy, bisque, "--data", folder, "--out", tmp_path / "c.doc")
    assert ending.code == 1
    assert "a comparison is drawn as a page (.html)" in ending.err
    assert list(tmp_path.iterdir()) == []


def subject(name: str, scenario: str, label: str) -> Subject:
    readings = readings_of(scenario)
    reviewer = Reviewer(tuple(readings[0].temps_c))
    for reading in readings:
        reviewer.feed(reading)
    return subject_of(name, label, reviewer, reviewer.facts())


@pytest.fixture(scope="module")
def several() -> dict[Align, tuple[Comparison, ...]]:
    names = ("healthy-midfire", "cold-bottom", "healthy-gas-by-hand", "healthy-bisque", "stall")
    others = [
        subject(letter, name, f"{HOSTILE} {LONG_KILN} {name}")
        for letter, name in zip("ABCDE", names, strict=True)
    ]
    reference = planned_subject(starter("midfire-glaze"), 20.0)
    return {align: compared(reference, others, align) for align in Align}


def legible(scene: Scene) -> list[Text]:
    """The scene's texts, none of which covers another or leaves it."""
    found = texts(scene)
    room = Box(0.0, 0.0, scene.width, scene.height)
    assert [text for text in found if not room.holds(box_of(text))] == []
    for place, one in enumerate(found):
        for two in found[place + 1 :]:
            assert not box_of(one).wider(-0.3).meets(box_of(two).wider(-0.3)), (one, two)
    return found


@pytest.mark.parametrize("align", Align)
@pytest.mark.parametrize(("width", "size"), [(900.0, 13.0), (360.0, 12.0)])
def test_no_text_of_the_picture_covers_another(
    several: dict[Align, tuple[Comparison, ...]], align: Align, width: float, size: float
) -> None:
    lines = ("B against A:", f"{LONG_KILN} {LONG_KILN}.")
    scene = draw_comparison(several[align], Unit.F, width, size, "A against B", lines)
    found = legible(scene)
    # Every line is named for eyes that can't tell the lines apart.
    named = {t.text for t in found if t.part == "line-name"}
    assert named == {"plan", "A", "B", "C", "D", "E"}


@pytest.mark.parametrize("paper", Paper)
def test_on_paper_nothing_covers_anything_and_no_word_is_lost(
    several: dict[Align, tuple[Comparison, ...]], paper: Paper
) -> None:
    comparisons = several[Align.TIME]
    sections = [(one.other.name, sentences(one, Words(Unit.F))) for one in comparisons]
    sheets = comparison_sheets(comparisons, Unit.F, "A and others", sections, paper)
    assert len(sheets) > 1
    said = ""
    for number, scene in enumerate(sheets, start=1):
        assert (scene.width, scene.height) == paper.size
        found = legible(scene)
        assert [t.text for t in found if t.part == "page"] == [f"{number} of {len(sheets)}"]
        said += "".join("".join(text.text.split()) for text in found)
    for _, lines in sections:
        for line in lines:
            assert "".join(harmless(line).split()) in said


def texts(scene: Scene) -> list[Text]:
    return [shape for shape in scene.shapes if isinstance(shape, Text)]


def test_the_picture_is_a_page_a_drawing_and_an_image(
    spyhole: Spyhole, kept: tuple[Path, str, str, str], tmp_path: Path
) -> None:
    folder, healthy, uneven, _ = kept
    for ending in ("html", "pdf", "svg", "png"):
        out = tmp_path / f"c.{ending}"
        found = spyhole("compare", healthy, uneven, "--data", folder, "--out", out)
        assert (found.code, found.out.splitlines()[-1]) == (0, f"{out}: drawn")
    made = (tmp_path / "c.pdf").read_bytes()
    assert re.findall(rb"/MediaBox \[ 0 0 ([\d.]+)", made)[:1] == [b"595.28"]
    asked = ("compare", healthy, uneven, "--data", folder, "--paper", "letter")
    assert spyhole(*asked, "--out", tmp_path / "c.pdf").code == 0
    assert re.findall(rb"/MediaBox \[ 0 0 (\d+)", (tmp_path / "c.pdf").read_bytes())[:1] == [b"612"]
    assert (tmp_path / "c.png").read_bytes().startswith(b"\x89PNG")
    svg = ElementTree.parse(tmp_path / "c.svg").getroot()
    tracks = [e for e in svg.iter() if e.get("data-part") == "track"]
    assert len(tracks) == 3, "two firings above, their difference below"
    page = (tmp_path / "c.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert "B had a warning that A had not" in page
