"""The chart in a real browser: what is drawn, and how one looks closer."""

from __future__ import annotations

import re

import pytest
from playwright.async_api import Browser, Page, expect

from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, opened
from tests.web.serving import serving

pytestmark = pytest.mark.browser


async def test_the_chart_is_drawn_grows_and_shows_gaps(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#chart-box canvas")).to_have_count(1)
        await expect(page.locator("#chart-box")).to_have_attribute(
            "aria-label", re.compile("middle 1,133")
        )
        before = await drawn(page)
        assert before > 500, "lines and axes leave their ink"
        desk.read(52_000.0, {"top": 900.0, "middle": 890.0, "bottom": 880.0})
        await expect(page.locator("#lead-temp")).to_have_text("890\u202f°C")
        await page.wait_for_timeout(200)  # one frame of the browser, which has no clock of ours
        await page.locator("#chart-box .u-over").hover(position={"x": 200, "y": 60})
        await expect(page.locator("#chart-readout")).to_have_text(re.compile(r"^\d\d:\d\d: plan "))
        readout = await page.locator("#chart-readout").text_content()
        assert "middle" not in (readout or ""), "there is no reading in the gap under the pointer"


async def drawn(page: Page) -> int:
    """How many pixels of the chart's canvas are not blank."""
    count: int = await page.evaluate(
        """() => {
          const canvas = document.querySelector("#chart-box canvas");
          const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
          let ink = 0;
          for (let i = 3; i < data.length; i += 4) if (data[i]) ink += 1;
          return ink;
        }"""
    )
    return count


async def test_points_that_overtake_the_chart_are_not_lost_and_too_many_are_thinned(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        rows = await page.evaluate(
            """async () => {
              const { FiringChart } = await import("/static/chart.js");
              const box = document.createElement("div");
              document.body.append(box);
              let full = 0;
              const readout = document.createElement("p");
              const chart = new FiringChart(box, readout, () => { full += 1; }, () => {});
              const points = (from, count) => {
                const elapsed_s = Array.from({ length: count }, (_, row) => from + row);
                return { elapsed_s, channels: { top: elapsed_s.map(() => 500) }, revision: 1 };
              };
              const fresh = () => ({
                ...points(0, 10),
                plan: { elapsed_s: [], temp_c: [] },
                start_time: null,
                chart_revision: 0,
              });
              chart.add(points(8, 4));
              chart.show(fresh());
              const early = [...chart.chart.elapsed_s];
              chart.add(points(10, 3000));
              const { length } = chart.chart.elapsed_s;
              const fullAfterMany = full;
              chart.show({ ...fresh(), chart_revision: 1 });
              box.remove();
              return { early, length, fullAfterMany, otherFiring: chart.chart.elapsed_s.length };
            }"""
        )
        assert rows["early"] == list(range(12))
        assert rows["length"] == 3_010
        assert rows["fullAfterMany"] == 1
        assert rows["otherFiring"] == 10


async def test_dragging_looks_closer_and_one_tap_shows_the_whole_firing(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        whole = page.locator("#chart-whole")
        await expect(whole).to_be_disabled()
        box = await page.locator("#chart-box .u-over").bounding_box()
        assert box is not None
        await page.mouse.move(box["x"] + 100, box["y"] + 50)
        await page.mouse.down()
        await page.mouse.move(box["x"] + 220, box["y"] + 60, steps=4)
        await page.mouse.up()
        await expect(whole).to_be_enabled()
        await whole.click()
        await expect(whole).to_be_disabled()


async def test_two_fingers_look_closer_and_one_still_scrolls_the_page(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.locator("#chart-box").scroll_into_view_if_needed()
        box = await page.locator("#chart-box .u-over").bounding_box()
        assert box is not None
        touch = await page.context.new_cdp_session(page)
        middle = box["x"] + box["width"] / 2
        y = box["y"] + box["height"] / 2

        async def fingers(kind: str, *xs: float) -> None:
            await touch.send(
                "Input.dispatchTouchEvent",
                {
                    "type": kind,
                    "touchPoints": [{"x": x, "y": y, "id": n} for n, x in enumerate(xs)],
                },
            )

        await fingers("touchStart", middle - 20, middle + 20)
        for apart in range(25, 100, 5):
            await fingers("touchMove", middle - apart, middle + apart)
        await fingers("touchEnd")
        await expect(page.locator("#chart-whole")).to_be_enabled()
        style = await page.locator("#chart-box .u-over").evaluate(
            "e => getComputedStyle(e).touchAction"
        )
        assert style == "pan-y"
