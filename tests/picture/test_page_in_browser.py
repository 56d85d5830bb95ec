"""The page in a real browser: on a phone, on a desk, by night and on paper."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.async_api import Browser

from tests.picture.plans import SLOW_COOL, crowd, draw
from tests.web.conftest import browser, one_browser

__all__ = ["browser", "one_browser"]

pytestmark = pytest.mark.browser

LOOK = """() => {
  const shown = [...document.querySelectorAll('svg')].filter(svg => svg.clientWidth > 0);
  const texts = [...shown[0].querySelectorAll('text')].map(text => text.getBoundingClientRect());
  const frame = shown[0].getBoundingClientRect();
  return {
    shown: shown.map(svg => svg.getAttribute('class')),
    overflow: document.documentElement.scrollWidth - window.innerWidth,
    lowest: Math.min(...texts.map(box => box.height)),
    outside: texts.filter(
      box => box.left < frame.left || box.right > frame.right || box.bottom > frame.bottom
    ).length,
    ground: getComputedStyle(document.body).backgroundColor,
    ink: getComputedStyle(shown[0].querySelector('[data-part=phase]')).fill,
    dash: getComputedStyle(shown[0].querySelector('[data-part=cone]')).stroke,
  };
}"""
LEAST_TEXT_PX = 12.0
"""Height of a line of the smallest text as shown, not of its letters."""
DAY = ("rgb(251, 253, 253)", "rgb(20, 33, 42)")
NIGHT = ("rgb(20, 28, 32)", "rgb(228, 235, 236)")


@pytest.mark.parametrize(
    ("width", "scheme", "shown"),
    [
        (390, "light", "narrow"),
        (320, "dark", "narrow"),
        (1000, "light", "wide"),
        (700, "light", "narrow"),
        (810, "dark", "wide"),
    ],
)
async def test_the_page_can_be_read_at_every_width(
    tmp_path: Path, browser: Browser, width: int, scheme: str, shown: str
) -> None:
    path = tmp_path / "plan.html"
    long = "a long word of nobody's: " + "w" * 400
    draw(path, sections=[("Cautions", ["mind the glaze", long])], phases=crowd(SLOW_COOL))
    page = await browser.new_page(viewport={"width": width, "height": 800})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    await page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    await page.goto(path.as_uri())
    seen = await page.evaluate(LOOK)
    assert seen["shown"] == [shown]
    assert seen["overflow"] <= 0
    assert seen["outside"] == 0
    assert seen["lowest"] >= (LEAST_TEXT_PX if width != 320 else 11.0)
    assert (seen["ground"], seen["ink"]) == (NIGHT if scheme == "dark" else DAY)
    assert seen["dash"] == "none"
    assert asked == [path.as_uri()]


async def test_the_page_prints_by_day_on_one_sheet(tmp_path: Path, browser: Browser) -> None:
    path = tmp_path / "plan.html"
    draw(path, sections=[("Cautions", ["mind the glaze"])], phases=crowd(SLOW_COOL))
    # A4 less its margins, at 96 pixels an inch.
    page = await browser.new_page(viewport={"width": 688, "height": 1000})
    await page.emulate_media(media="print", color_scheme="dark")
    await page.goto(path.as_uri())
    seen = await page.evaluate(LOOK)
    assert seen["shown"] == ["wide"]
    assert (seen["ground"], seen["ink"]) == DAY
    sheets = await page.pdf(prefer_css_page_size=True)
    assert sheets.count(b"/Type /Page\n") == 1
