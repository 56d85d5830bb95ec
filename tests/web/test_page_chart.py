"""The chart in a real browser: what is drawn, and how one looks closer."""

from __future__ import annotations

import re

import pytest
from playwright.async_api import Browser, Page, expect

from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, opened
from tests.web.serving import line_to, serving

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
        await expect(page.locator("#chart-readout")).to_have_text(re.compile(r"^\d\d:\d\d: plan\s"))
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
                const channels = { top: elapsed_s.map(() => 500) };
                return { firing_id: "f1", elapsed_s, channels, revision: 1 };
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
              const movedPlan = chart.chart.elapsed_s.length;
              box.remove();
              return { early, length, fullAfterMany, movedPlan };
            }"""
        )
        assert rows["early"] == list(range(12))
        assert rows["length"] == 3_010
        assert rows["fullAfterMany"] == 1
        assert rows["movedPlan"] == 3_010, "what overtook the same firing's chart stays"


async def test_two_firings_never_mix_and_another_one_is_seen_whole(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        rows = await page.evaluate(
            """async () => {
              const { FiringChart } = await import("/static/chart.js");
              const box = document.createElement("div");
              document.body.append(box);
              const readout = document.createElement("p");
              const views = [];
              const chart = new FiringChart(box, readout, () => {}, (whole) => views.push(whole));
              const points = (firing_id, from, count) => {
                const elapsed_s = Array.from({ length: count }, (_, row) => from + row * 30);
                const channels = { top: elapsed_s.map(() => 500) };
                return { firing_id, elapsed_s, channels, revision: 1 };
              };
              const fresh = (firing_id, count) => ({
                ...points(firing_id, 0, count),
                plan: { elapsed_s: [], temp_c: [] },
                start_time: null,
                chart_revision: 1,
              });
              const held = () => (chart.chart ? [...chart.chart.elapsed_s] : null);
              chart.show(fresh("f1", 100));
              chart.add(points("f1", 3000, 2));
              chart.setView({ min: 600, max: 1200 });
              const zoomed = chart.view !== null;
              chart.add(points("f2", 60, 1));
              const first = held().length;
              const left = chart.leaveOther("f2");
              const cleared = { rows: held(), view: chart.view, whole: views.at(-1) };
              const canvases = box.querySelectorAll("canvas").length;
              chart.add(points("f2", 90, 1));
              chart.show(fresh("f2", 2));
              const second = held();
              const stays = chart.leaveOther("f2");
              chart.setView({ min: 0, max: 300 });
              chart.show(fresh("f3", 3));
              box.remove();
              return { zoomed, first, left, cleared, canvases, second, stays, third: held(),
                       view: chart.view };
            }"""
        )
        assert rows["zoomed"]
        assert rows["first"] == 102, "another firing's row is not drawn into this one"
        assert rows["left"]
        assert rows["cleared"] == {"rows": None, "view": None, "whole": True}
        assert rows["canvases"] == 0
        assert rows["second"] == [0, 30, 60, 90], "and it is there when its own chart comes"
        assert not rows["stays"]
        assert rows["third"] == [0, 30, 60]
        assert rows["view"] is None


async def test_an_open_page_turns_to_another_firing_and_goes_on_with_it(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        await expect(page.locator("#chart-box canvas")).to_have_count(1)
        async with page.expect_response(lambda r: "/api/chart" in r.url) as answered:
            desk.begin_another("f2")
        chart = await (await answered.value).json()
        assert (chart["firing_id"], chart["elapsed_s"]) == ("f2", [0.0])
        desk.fill(3_600.0)
        over = page.locator("#chart-box .u-over")
        await expect(over).to_have_count(1)
        box = await over.bounding_box()
        assert box is not None
        # An hour of readings over a plan of 60,000 s: all drawn in the first sixteenth.
        await over.hover(position={"x": box["width"] * 0.058, "y": 60})
        await expect(page.locator("#chart-readout")).to_contain_text("middle")
        await over.hover(position={"x": box["width"] * 0.4, "y": 60})
        await expect(page.locator("#chart-readout")).to_have_text(
            re.compile(r"^\d\d:\d\d: plan\s[^·]+$")
        )


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


async def test_what_is_expected_and_what_happened_is_told_under_the_finger(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.expect()
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        over = page.locator("#chart-box .u-over")
        await expect(over).to_have_count(1)
        box = await over.bounding_box()
        assert box is not None
        readout = page.locator("#chart-readout")

        async def point_at(elapsed_s: float) -> None:
            # The drawn time is that of the plan: 60,000 s.
            await over.hover(position={"x": box["width"] * elapsed_s / 60_000.0, "y": 60})

        await point_at(33_000.0)
        await expect(readout).to_contain_text("expected")
        await expect(readout).to_contain_text("melting")
        await expect(readout).not_to_contain_text("middle")
        await point_at(48_000.0)
        await expect(readout).to_contain_text("our own")
        await point_at(14_400.0)
        await expect(readout).to_contain_text("23:30: The kiln has stopped climbing (middle).")
        await expect(readout).not_to_contain_text("expected")


async def test_a_mouse_moves_the_stretched_chart(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        over = page.locator("#chart-box .u-over")
        await expect(over).to_have_count(1)
        box = await over.bounding_box()
        assert box is not None
        readout = page.locator("#chart-readout")

        async def drag(from_x: float, to_x: float) -> str:
            y = box["y"] + 50
            await page.mouse.move(box["x"] + from_x, y)
            await page.mouse.down()
            await page.mouse.move(box["x"] + to_x, y, steps=4)
            await page.mouse.up()
            await page.mouse.move(box["x"] + 150, y + 5, steps=2)
            return (await readout.text_content() or "")[:5]

        stretched = await drag(100, 220)
        await expect(page.locator("#chart-whole")).to_be_enabled()
        moved = await drag(100, 200)
        assert moved < stretched, "what was earlier came from the left"
        await expect(page.locator("#chart-whole")).to_be_enabled()


async def test_the_chart_comes_once_after_the_daemon_has_begun_anew(
    browser: Browser, desk: FakeDesk
) -> None:
    again = FakeDesk()
    again.fill(32_400)
    again.change(chart_revision=3)
    async with (
        serving(desk) as server,
        serving(again) as restarted,
        line_to(server) as line,
        opened(browser, line, quiet=False) as page,
    ):
        await expect(page.locator("#chart-box canvas")).to_have_count(1)
        charts: list[str] = []
        page.on("request", lambda r: charts.append(r.url) if "/api/chart" in r.url else None)
        await line.cut()
        await line.lay(restarted.port)
        async with page.expect_response(lambda r: "/api/course" in r.url and charts != []):
            pass
        assert len(charts) == 1
