"""What the page says when the link, the daemon or the readings are gone."""

from __future__ import annotations

import re

import pytest
from playwright.async_api import Browser, expect

from tests.web.fake_desk import FakeDesk
from tests.web.opening import PHONE, opened
from tests.web.serving import line_to, serving

pytestmark = pytest.mark.browser


async def test_a_daemon_that_ends_on_purpose_is_said_to_be_stopped(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        await server.stop()
        await expect(page.locator("#verdict-title")).to_have_text("spyhole has been stopped")
        await expect(page.locator("#verdict-last")).to_have_text(
            f"Last known: {desk.now.sentence_c}"
        )


async def test_what_a_lost_link_kept_back_comes_with_the_next_one(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, line_to(server) as line:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.route("**/watch/more.js", lambda route: route.abort())
        await page.goto(line.url)
        await expect(page.locator("#view")).to_contain_text("could not be fetched")
        await expect(page.locator("#lead-temp")).to_have_text("1,133\u202f°C")
        await page.unroute("**/watch/more.js")
        await line.cut()
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        await line.lay(server.port)
        await expect(page.locator("#note-form")).to_be_attached()
        await expect(page.locator("#view")).not_to_contain_text("could not be fetched")
        await context.close()


async def test_a_lost_link_is_unmistakable_and_a_restart_mends_it(
    browser: Browser, desk: FakeDesk
) -> None:
    again = FakeDesk()
    again.fill(32_400)
    again.read(32_430.0, {"top": 1_165.0, "middle": 1_157.0, "bottom": 1_140.0})
    async with (
        serving(desk) as server,
        serving(again) as restarted,
        line_to(server) as line,
        opened(browser, line, quiet=False) as page,
    ):
        await line.cut()
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        await expect(page.locator("#verdict-sentence")).to_contain_text("look at the kiln yourself")
        await expect(page.locator("#verdict-last")).to_contain_text("Last known: Climbing 70")
        await expect(page).to_have_title("No link to spyhole – Shed kiln")
        assert await page.evaluate("document.body.dataset.level") == "blind"
        age = await page.locator("#age").text_content()
        await expect(page.locator("#age")).not_to_have_text(age or "")  # it goes on ageing

        charts: list[str] = []
        page.on("request", lambda r: charts.append(r.url) if "/api/chart" in r.url else None)
        await line.lay(restarted.port)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen", timeout=9_000)
        await expect(page.locator("#lead-temp")).to_have_text("1,157\u202f°C")
        await expect(page.locator("#verdict-last")).to_be_hidden()
        assert len(charts) == 1, "the chart is fetched anew, once"


async def test_a_silent_network_is_noticed_by_the_phones_own_clock(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, line_to(server) as line:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.clock.install()
        await page.goto(line.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        line.silence()
        await page.clock.run_for(11_000)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        await page.clock.run_for(5_000)
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        # Sixteen seconds, and what the machine needed for them.
        await expect(page.locator("#age")).to_have_text(
            re.compile("last reading (1[6-9]|[2-5][0-9])\u202fs\u00a0ago")
        )
        await context.close()


async def test_readings_that_stop_are_stale_though_the_link_stands(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        desk.change(stale_after_s=1.0)
        await expect(page.locator("#verdict-title")).to_have_text("No fresh readings")
        await expect(page.locator("#verdict-sentence")).to_contain_text("converter and its wiring")
        desk.read(30_690.0, stale_after_s=60.0)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        desk.change(stale=True)
        await expect(page.locator("#verdict-title")).to_have_text("No fresh readings")
