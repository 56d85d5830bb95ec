"""The file: whole, valid and harmless whatever strangers wrote; or one clear sentence."""

from __future__ import annotations

import builtins
import io
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from supervisor.core.errors import InputError
from supervisor.core.schedule import Schedule
from supervisor.picture import png
from supervisor.picture.drawing import NARROW, WIDE, draw_plan
from supervisor.picture.lettering import harmless
from supervisor.picture.page import page_of
from supervisor.picture.scene import Line
from supervisor.picture.svg import svg_file
from tests.picture.plans import ONE_STEP, PLANS, SLOW_COOL, crowd, draw, plan_of

HOSTILE = (
    "<script>alert(1)</script>",
    "\" onload='x' & ]]> --> </svg></title>",
    "\x00\x01\x1b[31m\ud800\ufffe\uffff",
    "\u202eturned\u2066 round",
    "שלום 🏺👩‍🏭 ñ ½",
    "w" * 500,
    "word " * 100,
    "a" + "\u0301" * 499,
    " \n\t ",
)
NAMES = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=500))


class Looker(HTMLParser):
    """Collects what a browser would make of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("li", "h2"):
            self.said.append(data)


def named(name: str) -> Schedule:
    return replace(ONE_STEP, name=name)


@settings(max_examples=60, deadline=None)
@given(NAMES)
@example("\x00")
@example("\ud800")
def test_a_drawing_is_xml_whatever_the_plan_is_called(name: str) -> None:
    plan = plan_of(named(name), crowd(ONE_STEP, 2))
    svg = ElementTree.fromstring(svg_file(draw_plan(plan, WIDE)).encode())
    assert svg.tag == "{http://www.w3.org/2000/svg}svg"
    tags = {element.tag.rsplit("}", 1)[1] for element in svg.iter()}
    assert tags == {"svg", "title", "desc", "text", "polyline", "polygon"}
    title = svg.find("{http://www.w3.org/2000/svg}title")
    assert title is not None
    assert title.text == (harmless(name) or "A firing plan")


@settings(max_examples=60, deadline=None)
@given(NAMES, st.lists(st.tuples(NAMES, st.lists(NAMES, max_size=3)), max_size=3))
def test_a_page_shows_a_strangers_text_as_text(
    name: str, sections: list[tuple[str, list[str]]]
) -> None:
    plan = plan_of(named(name), [])
    page = page_of(draw_plan(plan, WIDE), draw_plan(plan, NARROW), sections)
    looker = Looker(page.encode().decode())
    assert looker.open == []
    assert {tag for tag, _ in looker.tags} <= {
        *("html", "head", "meta", "title", "style", "body", "main", "h1", "section", "h2"),
        *("ul", "li", "svg", "desc", "text", "polyline", "polygon"),
    }
    assert not [key for _, attrs in looker.tags for key in attrs if key.startswith("on")]
    wanted = [text for heading, lines in sections for text in (heading, *lines)]
    said = "".join(looker.said).replace("\N{NO-BREAK SPACE}°", " °")
    assert said == "".join(map(harmless, wanted)).replace("\N{NO-BREAK SPACE}°", " °")


def test_a_figure_and_its_degrees_stay_together(tmp_path: Path) -> None:
    path = tmp_path / "plan.html"
    draw(path, sections=[("Peak", ["it is 2,280 °F"])])
    assert "it is 2,280\N{NO-BREAK SPACE}°F" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("suffix", [".html", ".svg", ".png"])
def test_every_kind_of_file_takes_hostile_names(tmp_path: Path, name: str, suffix: str) -> None:
    path = tmp_path / f"plan{suffix}"
    draw(path, named(name), [(name, [name, name])])
    assert path.stat().st_size > 1000
    assert list(tmp_path.iterdir()) == [path]


def test_the_page_needs_nothing_from_outside_and_holds_no_script(tmp_path: Path) -> None:
    path = tmp_path / "plan.html"
    draw(path, sections=[("Cautions", ["mind the glaze"])])
    page = path.read_text(encoding="utf-8")
    looker = Looker(page)
    fetching = {"src", "href", "xlink:href", "srcset", "data", "poster", "background", "action"}
    assert not [(tag, a) for tag, a in looker.tags if fetching & set(a) or tag == "script"]
    style = page[page.index("<style>") : page.index("</style>")]
    assert not re.search(r"url\(|@import|//", style)
    assert set(re.findall(r"\w+://[^\"' ]+", page)) == {"http://www.w3.org/2000/svg"}
    assert looker.said == ["Cautions", "mind the glaze"]


def test_both_drawings_of_the_page_have_names_of_their_own(tmp_path: Path) -> None:
    path = tmp_path / "plan.html"
    draw(path)
    tags = Looker(path.read_text(encoding="utf-8")).tags
    ids = [attrs["id"] for _, attrs in tags if "id" in attrs]
    assert len(ids) == len(set(ids)) == 4
    pictures = [attrs for tag, attrs in tags if tag == "svg"]
    assert [attrs["role"] for attrs in pictures] == ["img", "img"]
    assert [i for attrs in pictures for i in (attrs["aria-labelledby"] or "").split()] == ids


def test_the_description_tells_what_the_picture_shows(tmp_path: Path) -> None:
    path = tmp_path / "plan.svg"
    draw(path)
    words = ElementTree.parse(path).findtext("{http://www.w3.org/2000/svg}desc") or ""
    plan = plan_of(SLOW_COOL)
    assert "the peak is 1,205 °C (2,201 °F)" in words
    assert "cone 6 (target) down after" in words
    assert "the witness cones decide" in words
    assert all(phase.band.name in words for phase in plan.phases)


@pytest.mark.parametrize("name", PLANS)
def test_an_image_is_a_png_at_twice_the_drawings_size(tmp_path: Path, name: str) -> None:
    path = tmp_path / "plan.PNG"
    draw(path, PLANS[name])
    scene = draw_plan(plan_of(PLANS[name]), WIDE)
    with Image.open(path) as image:
        assert image.format == "PNG"
        assert image.width == 1800
        assert abs(image.height - 2.0 * scene.height) <= 1.0
        pixels = image.convert("RGB")
        colours = pixels.getcolors(1 << 24) or []
        most = max(count for count, _ in colours)
        assert 0.5 < most / (image.width * image.height) < 0.99
        # The cobalt of the line and the ink of the words.
        assert {(27, 70, 159), (20, 33, 42)} <= {colour for _, colour in colours}


def test_an_image_shows_the_line_where_the_drawing_has_it() -> None:
    scene = draw_plan(plan_of(SLOW_COOL), WIDE)
    image = Image.open(io.BytesIO(png.png_of(scene))).convert("RGB")
    [line] = [s for s in scene.shapes if isinstance(s, Line) and s.part == "plan"]
    blue = 0
    for x, y in line.points:
        pixel = image.getpixel((min(int(x * 2), 1799), int(y * 2)))
        assert isinstance(pixel, tuple)
        blue += pixel == (27, 70, 159)
    # Cone marks lie over a few of its points.
    assert blue >= 0.95 * len(line.points)


def test_an_image_needs_no_installed_font(monkeypatch: pytest.MonkeyPatch) -> None:
    caches: list[Any] = [png._font, png._spelt, png._has]
    monkeypatch.setattr(png, "_FONT_FILES", ())
    for cache in caches:
        cache.cache_clear()
    try:
        assert png._spelt("é", 26.0) == "e"
        assert png._spelt("½", 26.0) == "1/2"
        assert png._spelt("°", 26.0) == "°"
        assert png._spelt("日", 26.0) == "?"
        assert png._spelt("\u0301", 26.0) == ""
        image = Image.open(io.BytesIO(png.png_of(draw_plan(plan_of(named("Ébène")), WIDE))))
        assert (image.format, image.width) == ("PNG", 1800)
        header = image.convert("L").crop((0, 0, 900, 80))
        assert min(header.tobytes()) < 60
    finally:
        for cache in caches:
            cache.cache_clear()


def test_without_pillow_one_sentence_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] == "PIL":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    path = tmp_path / "plan.png"
    with pytest.raises(InputError) as caught:
        draw(path)
    assert str(caught.value).startswith(f"{path}: a .png needs Pillow")
    assert 'pip install ".[pictures]"' in str(caught.value)
    assert list(tmp_path.iterdir()) == []
    draw(tmp_path / "plan.svg")


def test_pillow_is_not_loaded_for_a_page_or_a_drawing(tmp_path: Path) -> None:
    program = (
        "import sys\n"
        "from pathlib import Path\n"
        "from tests.picture.plans import draw\n"
        f"draw(Path({str(tmp_path / 'plan.html')!r}))\n"
        f"draw(Path({str(tmp_path / 'plan.svg')!r}))\n"
        "print('PIL' in sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "False\n"


@pytest.mark.parametrize("name", ["plan.pdf", "plan", "plan.svg.gz", ".svg", "html"])
def test_another_ending_is_refused_in_one_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"\.html.*\.svg.*\.png") as caught:
        draw(tmp_path / name)
    assert str(caught.value).startswith(f"{tmp_path / name}: ")
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", [".html", ".svg", ".png"])
def test_a_folder_that_is_not_there_is_refused_in_one_sentence(tmp_path: Path, suffix: str) -> None:
    with pytest.raises(InputError, match="no such folder") as caught:
        draw(tmp_path / "nowhere" / f"plan{suffix}")
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "plan.svg"
    path.write_text("x" * 1_000_000)
    draw(path)
    assert ElementTree.parse(path).getroot().tag.endswith("svg")
    assert list(tmp_path.iterdir()) == [path]


def test_the_same_plan_gives_the_same_file(tmp_path: Path) -> None:
    for suffix in (".html", ".svg", ".png"):
        one, two = tmp_path / f"one{suffix}", tmp_path / f"two{suffix}"
        draw(one)
        draw(two)
        assert one.read_bytes() == two.read_bytes()
