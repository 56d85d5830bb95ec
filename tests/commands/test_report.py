"""``report`` as a page, a PDF and a picture: figures of the log, and words that stay words."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from base64 import b64decode
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image
from playwright.async_api import Browser
from scipy.integrate import cumulative_trapezoid

from supervisor.commands import report
from supervisor.core.heatwork import CONES
from supervisor.record import photos_shown
from supervisor.record.store import Record
from tests.commands.conftest import Spyhole
from tests.reports import HOSTILE, keep_every_kind
from tests.web.conftest import browser, one_browser

__all__ = ["browser", "one_browser"]

Floats = npt.NDArray[np.float64]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """A record with firings of every kind, and their ids."""
    folder = tmp_path_factory.mktemp("data")
    return folder, keep_every_kind(folder)


class Page(HTMLParser):
    """The tables of a report's page by section, its sentences, and its elements."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.rows: dict[str, list[list[str]]] = {}
        self.said: list[str] = []
        self.tags: set[str] = set()
        self.asks_for: list[str] = []
        self.captions: list[str] = []
        self._section = ""
        self._into: list[str] | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        given = dict(attrs)
        self.asks_for += [v for k, v in attrs if k in ("src", "href", "srcset") and v is not None]
        if tag == "section":
            self._section = given.get("class") or ""
        elif tag == "tr":
            self.rows.setdefault(self._section, []).append([])
        elif tag in ("td", "th"):
            self._into = self.rows[self._section][-1]
            self._into.append("")
        elif tag in ("p", "h1", "h2", "figcaption"):
            self._into = self.captions if tag == "figcaption" else self.said
            self._into.append("")

    def handle_data(self, data: str) -> None:
        if self._into is not None:
            self._into[-1] += data.replace("\u00a0", " ")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th", "p", "h1", "h2", "figcaption"):
            self._into = None


def reported(spyhole: Spyhole, folder: Path, id_: str, out: Path, *more: str) -> str:
    found = spyhole("report", id_, "--out", out, "--data", folder, *more)
    assert (found.code, found.err, found.out) == (0, "", f"{out}: firing {id_}\n")
    return out.read_text(encoding="utf-8")


def number(text: str) -> float:
    return float(text.replace(",", "").replace("−", "-").strip("()"))


def seconds(text: str) -> float:
    hours, minutes = text.removeprefix("down ").split(":")
    return int(hours) * 3600.0 + int(minutes) * 60.0


class Log:
    """A channel of a reported log, as numpy sees it."""

    def __init__(self, path: Path, channel: str) -> None:
        with path.open(encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        self.at_s: Floats = np.array([float(row["elapsed_s"]) for row in rows])
        self.temp_c: Floats = np.array([float(row[channel]) for row in rows])

    def falls_through_s(self, temp_c: float) -> float:
        """When it falls through a temperature after its peak, straight between rows."""
        top = int(np.argmax(self.temp_c))
        falling = self.temp_c[top:]
        return float(np.interp(-temp_c, -falling, self.at_s[top:]))


def test_figures_are_those_of_the_log(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["healthy"], tmp_path / "r.html"))
    reported(spyhole, folder, ids["healthy"], tmp_path / "r.csv")
    log = Log(tmp_path / "r.csv", "top_c")
    # Two minutes between readings: the watch's filter and a half minute more or less.
    near_s, near_c = 180.0, 4.0

    steps = {row[0][:1]: row for row in page.rows["steps"][1:]}
    climbing = (
        (log.temp_c > 650.0) & (log.temp_c < 1050.0) & (log.at_s < log.at_s[log.temp_c.argmax()])
    )
    slope = float(np.polyfit(log.at_s[climbing], log.temp_c[climbing], 1)[0]) * 3600.0
    assert number(steps["3"][4]) == pytest.approx(slope, rel=0.03)
    standing = log.at_s[log.temp_c > 1205.0 - 6.0]
    assert seconds(steps["4"][6]) == pytest.approx(standing[-1] - standing[0], abs=5 * 60.0)
    assert number(steps["4"][2]) == pytest.approx(float(log.temp_c.max()), abs=near_c)

    cone = CONES["6"]
    per_s = np.array([cone.rate_per_s(float(c)) for c in log.temp_c])
    work = cumulative_trapezoid(per_s, log.at_s, initial=0)
    down_s = float(np.interp(1.0, work, log.at_s))
    [head, first, *_] = page.rows["cones"]
    assert seconds(first[head.index("target 6")]) == pytest.approx(down_s, abs=near_s)

    cooling = {row[0]: row for row in page.rows["cooling"][1:]}
    took_s = log.falls_through_s(530.0) - log.falls_through_s(600.0)
    quartz = cooling["quartz turns back"]
    assert seconds(quartz[2]) == pytest.approx(took_s, abs=near_s)
    assert number(quartz[3]) == pytest.approx(70.0 / took_s * 3600.0, rel=0.05)

    ware = {row[0]: row for row in page.rows["ware"][1:]}
    assert ware["quartz turns back"][2] == quartz[2]
    assert (ware["quartz turns back"][5], ware["quartz turns back"][6]) == ("150", "fine")

    above = next(line for line in page.said if line.startswith("Hotter than"))
    rising = float(
        np.interp(1000.0, log.temp_c[: log.temp_c.argmax()], log.at_s[: log.temp_c.argmax()])
    )
    told = above.split("1,000 °C for ")[1].split(" h")[0]
    assert seconds(told) == pytest.approx(log.falls_through_s(1000.0) - rising, abs=near_s)
    # The last degrees by how far below the peak they are: no odd temperature among the hundreds.
    assert "1,104" not in above
    within = next(
        line for line in page.said if line.startswith("Below its hottest by no more than")
    )
    held_s = [seconds(part.split(" h")[0]) for part in within.split(" for ")[1:]]
    assert held_s == sorted(held_s, reverse=True)
    assert len(held_s) == 4


def test_evenness_is_that_of_the_channels(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["uneven"], tmp_path / "r.html"))
    reported(spyhole, folder, ids["uneven"], tmp_path / "r.csv")
    temps = np.array(
        [Log(tmp_path / "r.csv", f"{n}_c").temp_c for n in ("top", "middle", "bottom")]
    )
    hot = temps[:, temps[0] >= temps[0].max() - 5.0].mean(axis=1)
    expected = hot - hot.mean()
    rows = page.rows["evenness"][1:]
    assert [row[0] for row in rows] == ["top", "middle", "bottom"]
    assert [number(row[1]) for row in rows] == pytest.approx(list(expected), abs=2.0)


def test_real_cones_stand_beside_the_calculated_ones(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["healthy"], tmp_path / "r.html"))
    looks = page.rows["cones"][5:]
    assert [(row[0], row[1], row[2]) for row in looks] == [
        ("5:33", "10", "touching"),
        ("10:33", "6", "hand at 3:30"),
        ("10:58", "7", "upright"),
    ]
    assert looks[0][4] == "bottom (left out: it can't be)"
    assert looks[1][4] == "top, second shelf"
    assert "Calculated; the witness cones decide." in page.said
    assert any("(calculated; the witness cones decide)" in line for line in page.said)


def test_what_was_done_about_a_warning_is_told(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["stalled"], tmp_path / "r.html"))
    document = json.loads(reported(spyhole, folder, ids["stalled"], tmp_path / "r.json"))
    head, *rows = page.rows["events"]
    raised = [
        event
        for event in document["events"]
        if event["state"] == "raised"
        and (event["severity"] != "info" or event["kind"] == "lagging")
    ]
    assert [seconds(row[head.index("after")]) for row in rows] == [
        pytest.approx(event["elapsed_s"], abs=30.0) for event in raised
    ]
    told = {row[head.index("what")]: row for row in rows}
    stalled = told["The climb has stalled"]
    [alert] = [a for a in document["alerts"] if a["kind"] == "stall"]
    assert alert["acknowledged_by"] == "Ann"
    after_s = alert["acknowledged_at_s"] - alert["raised_at_s"]
    assert stalled[-1].endswith(f"acknowledged by Ann after {round(after_s / 60.0)} minutes")
    assert stalled[head.index("stood")].endswith(", to the end")
    assert stalled[head.index("clock")][:3] in ("Wed", "Thu")


def test_a_recorded_log_claims_nobody_was_told(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["uneven"], tmp_path / "r.html"))
    assert "From a recorded log: nobody was told at the time." in page.said
    assert "what was done" not in page.rows["events"][0]


def test_a_channel_that_failed_does_not_speak_for_the_firing(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["broken"], tmp_path / "r.html"))
    assert any(line.startswith("It came to cone 6") for line in page.said)
    assert page.rows["cones"][1][0] == "top (failed before the peak)"
    assert not any("cones more than top" in line for line in page.said)


def test_notes_reduction_energy_and_blind_times_are_told(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["reduced"], tmp_path / "r.html"))
    assert page.rows["notes"][2] == [
        "7:15", "Sat 00:55", "Jo", "body reduction begun, damper half in",
    ]  # fmt: skip
    assert any(line.startswith("Noted as ended after 12:13 h") for line in page.said)
    assert any(line.startswith("83.5 kWh, as noted") for line in page.said)
    blind = Page(reported(spyhole, folder, ids["blind"], tmp_path / "b.html"))
    assert any(line.startswith("From 8:20 to 9:10 h nobody saw the kiln") for line in blind.said)
    assert "Nobody saw the kiln for 50 minutes." in blind.said


def test_without_a_plan_nothing_is_compared_and_nothing_is_guarded(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["planless"], tmp_path / "r.html"))
    assert "No plan is known, so nothing is compared with one, and no rate is guarded." in page.said
    assert set(page.rows) == {"cones", "ware", "cooling", "evenness"}
    assert {row[5] + row[6] for row in page.rows["ware"][1:]} == {""}


def test_a_firing_that_was_broken_off_is_not_called_one(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    page = Page(reported(spyhole, folder, ids["short"], tmp_path / "r.html"))
    assert any(
        line.startswith("This was no whole firing: the kiln came to 1") for line in page.said
    )
    assert "cones" not in page.rows
    assert page.rows["steps"][1][2].startswith("(")


def test_a_fahrenheit_firing_is_told_in_fahrenheit_and_another_if_asked(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    own = reported(spyhole, folder, ids["fahrenheit"], tmp_path / "f.html")
    assert "°C" not in own
    assert "size: letter" in own
    asked = reported(spyhole, folder, ids["fahrenheit"], tmp_path / "c.html", "--units", "C")
    assert "°F" not in asked
    fahrenheit, celsius = (
        [number(row[2]) for row in Page(text).rows["steps"][1:]] for text in (own, asked)
    )
    assert fahrenheit == pytest.approx([c * 1.8 + 32.0 for c in celsius], abs=1.5)


@pytest.mark.parametrize("sheet", ["wall", "binder"])
def test_the_page_needs_nothing_and_runs_nothing(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path, sheet: str
) -> None:
    folder, ids = kept
    text = reported(spyhole, folder, ids["named"], tmp_path / "r.html", "--sheet", sheet)
    page = Page(text)
    assert page.asks_for == []
    assert not page.tags & {"script", "link", "img", "iframe", "object"}
    assert "url(" not in text
    assert "<script>alert(1)</script> & back ]]> “quoted”" in page.rows["notes"][1]
    assert HOSTILE not in text


def shown_in(text: str) -> list[Image.Image]:
    """The photos of a page, decoded."""
    found = re.findall(r'<img src="data:image/(\w+);base64,([^"]+)"', text)
    return [Image.open(io.BytesIO(b64decode(data))) for _, data in found]


def test_photos_are_in_the_page_small_and_the_right_way_up(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    text = reported(spyhole, folder, ids["photographed"], tmp_path / "r.html")
    page, photos = Page(text), shown_in(text)
    assert page.asks_for == [url for url in page.asks_for if url.startswith("data:image/jpeg;")]
    assert [photo.size for photo in photos] == [(1000, 750), (562, 1000), (750, 1000), (1000, 125)]
    # Turned by a quarter to the right, the dark upper half of what is stored is the right one.
    red, _, blue = photos[2].convert("RGB").getpixel((150, 500))  # type: ignore[misc]
    assert (red < 60, blue > 130) == (True, True)
    assert max(photos[2].convert("RGB").getpixel((600, 500))) < 30  # type: ignore[arg-type]
    assert page.captions[:1] == ["the whole load"]
    assert page.captions[1].startswith("Third shelf, left: <script>alert(1)</script> & back ]]>")
    assert page.captions[2:] == ["a tile, laid flat"]
    assert "Photo 5 (“the jar”): its file is gone or spoilt." in page.said
    assert page.rows["findings"] == [
        ["what", "where", "how much", "note"],
        ["a cracked lid", "", "a little", ""],
        ["pinholes", "top shelf", "much", "on the tenmoku alone"],
    ]
    at = page.said.index("What was in the load: 40 bowls, 12 jars")
    assert page.said[at + 1].startswith("Glazes: celadon <script>")
    assert page.said[at + 2 : at + 5] == [
        "How it came out: Celadon thin and blue.",
        "Tenmoku ran on two jars.",
        "Clay body: stoneware",
    ]


def test_without_anything_to_make_them_smaller_photos_are_shown_as_they_are(
    spyhole: Spyhole,
    kept: tuple[Path, dict[str, str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder, ids = kept
    monkeypatch.setattr(report, "can_shrink", lambda: False)
    text = reported(spyhole, folder, ids["photographed"], tmp_path / "r.html")
    assert [photo.size[0] for photo in shown_in(text)] == [1600, 900, 1600, 2400]
    with Record.open_to_read(folder) as record:
        photos = record.photos(ids["photographed"])
        most = photos[0].bytes + photos[1].bytes
        monkeypatch.setattr(photos_shown, "_MOST_WHOLE_BYTES", most)
        few = Page(reported(spyhole, folder, ids["photographed"], tmp_path / "few.html"))
    assert len(few.asks_for) == 2
    assert "Photo 4 (“a tile, laid flat”): it is too large to be shown here." in few.said


def test_the_wall_has_a_few_photos_also_as_an_image(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    id_ = ids["photographed"]
    svg = ElementTree.fromstring(reported(spyhole, folder, id_, tmp_path / "r.svg"))
    places = svg.findall("{http://www.w3.org/2000/svg}image")
    assert len(places) == 4
    assert spyhole("report", id_, "--out", tmp_path / "r.png", "--data", folder).code == 0
    with Image.open(tmp_path / "r.png") as sheet:
        for place, colour in zip(places, [(200, 60, 40), (40, 120, 60)], strict=False):
            x, y, width, height = (float(place.get(k, "")) for k in ("x", "y", "width", "height"))
            upper, lower = (
                sheet.getpixel((int(2.0 * (x + width / 2.0)), int(2.0 * (y + height * part))))
                for part in (0.25, 0.75)
            )
            assert lower == pytest.approx(colour, abs=12)
            assert upper == pytest.approx((0, 0, 0), abs=12)
    document = json.loads(reported(spyhole, folder, id_, tmp_path / "r.json"))
    assert [photo["caption"] for photo in document["photos"]][::3] == [
        "the whole load",
        "a tile, laid flat",
    ]


def test_the_wall_s_sheet_is_a_drawing_and_an_image_too(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    svg = ElementTree.fromstring(reported(spyhole, folder, ids["named"], tmp_path / "r.svg"))
    assert svg.get("width") == "595.28"
    found = spyhole("report", ids["short"], "--out", tmp_path / "r.png", "--data", folder)
    assert found.code == 0
    assert (tmp_path / "r.png").read_bytes().startswith(b"\x89PNG")
    asked = ("report", ids["short"], "--out", tmp_path / "no.png", "--sheet", "binder")
    refused = spyhole(*asked, "--data", folder)
    assert (refused.code, refused.out) == (1, "")
    assert "has several sheets: give the file the ending .html or .pdf" in refused.err
    assert not (tmp_path / "no.png").exists()


def test_a_pdf_without_its_library_is_refused_in_one_sentence(
    spyhole: Spyhole,
    kept: tuple[Path, dict[str, str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder, ids = kept
    for name in [name for name in sys.modules if name.split(".")[0] == "reportlab"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "reportlab", None)
    found = spyhole("report", ids["short"], "--out", tmp_path / "r.pdf", "--data", folder)
    assert (found.code, found.out) == (1, "")
    assert found.err == (
        f"spyhole report: {tmp_path / 'r.pdf'}: a .pdf needs ReportLab, which is not installed; "
        '`pip install ".[pdf]"` adds it, and .html needs nothing and prints as well\n'
    )
    assert list(tmp_path.iterdir()) == []


def test_reports_are_made_without_the_pdf_s_library_loaded(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    """A PDF costs memory; a page must not."""
    folder, ids = kept
    for name in [name for name in sys.modules if name.split(".")[0] == "reportlab"]:
        del sys.modules[name]
    reported(spyhole, folder, ids["short"], tmp_path / "r.html")
    assert not [name for name in sys.modules if name.split(".")[0] == "reportlab"]


def test_a_report_shows_a_note_that_came_since(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder, ids = kept
    before = Page(reported(spyhole, folder, ids["short"], tmp_path / "a.html"))
    assert "notes" not in before.rows
    with Record.open(folder) as record:
        record.add_note(ids["short"], 600.0, "unloaded", by="Ann").result(10.0)
    after = Page(reported(spyhole, folder, ids["short"], tmp_path / "b.html"))
    assert after.rows["notes"][1][-1] == "unloaded"


@pytest.mark.browser
async def test_the_page_fits_a_phone_and_the_wall_s_prints_on_one_sheet(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]], tmp_path: Path, browser: Browser
) -> None:
    folder, ids = kept
    page = await browser.new_page(viewport={"width": 360, "height": 800})
    for kind, paper in (("named", "a4"), ("stalled", "letter")):
        out = tmp_path / f"{kind}.html"
        reported(spyhole, folder, ids[kind], out, "--sheet", "wall", "--paper", paper)
        await page.goto(out.as_uri())
        wide = await page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 360
        shown = "[...document.querySelectorAll('svg')].filter(s => s.clientWidth > 0).length"
        assert await page.evaluate(shown) == 1
        printed = await page.pdf(prefer_css_page_size=True)
        assert printed.count(b"/Type /Page\n") == 1
        assert await page.evaluate("document.querySelectorAll('svg.sheet text').length") > 50
