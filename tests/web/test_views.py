"""Several views in one page: addresses, the navigation, and what stays in sight in each."""

from __future__ import annotations

import re

import pytest
from playwright.async_api import Browser, BrowserContext, Route, expect

from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, PHONE, Opened
from tests.web.serving import serving

pytestmark = pytest.mark.browser

TWO_VIEWS = """
export const VIEWS = [
  { name: "watch", load: () => import("./views/watch.js") },
  { name: "other", load: () => import("./views/other.js") },
];
"""
ONE_VIEW = """
export const VIEWS = [{ name: "watch", load: () => import("./views/watch.js") }];
"""
OTHER_VIEW = """
export function mount(root, { live, place, signal }) {
  const told = document.createElement("p");
  told.id = "told";
  root.append(told);
  live.listen({ onSnapshot: (snapshot) => {
    told.textContent = [place.view, place.name, place.query.get("a"), snapshot.kiln.name].join("|");
  } }, signal);
}
"""


async def with_views(
    context: BrowserContext, listed: str = TWO_VIEWS, other: str = OTHER_VIEW
) -> None:
    """Let the page find these views in place of its own."""

    async def views(route: Route) -> None:
        await route.fulfill(body=listed, content_type="text/javascript")

    async def view(route: Route) -> None:
        await route.fulfill(body=other, content_type="text/javascript")

    await context.route("**/static/views.js", views)
    await context.route("**/static/views/other.js", view)


@pytest.mark.parametrize("shape", [PHONE, DESK], ids=["phone", "desktop"])
async def test_views_are_reached_by_the_thumb_and_by_address_and_the_strip_stays(
    browser: Browser, desk: FakeDesk, shape: dict[str, object]
) -> None:
    async with serving(desk) as server:
        context = await browser.new_context(**shape)  # type: ignore[arg-type]
        await with_views(context)
        page = await context.new_page()
        seen = Opened(page)
        await page.goto(server.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        assert not [url for url in seen.asked if "other.js" in url], "fetched only when looked at"
        links = page.locator("#views a")
        await expect(links).to_have_count(2)
        await expect(links.first).to_have_attribute("aria-current", "page")
        if shape is PHONE:
            box = await links.last.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] == pytest.approx(800, abs=1), "at the thumb"
            assert box["height"] >= 44, "WCAG 2.2, 2.5.5: a target of 44 pixels"
        await links.last.click()
        await expect(page.locator("#told")).to_have_text("other|||Shed kiln")
        await expect(page.locator("#channels")).to_have_count(0)
        await expect(page.locator("#view")).to_be_focused()
        await expect(page.locator("#state")).to_have_text("No trouble seen")
        desk.change(stale=True)
        await expect(page.locator("#state")).to_have_text("No fresh readings")
        await expect(page.locator("#age")).to_have_text(re.compile("last reading"))
        await page.evaluate("location.hash = '#/other/2025-03-14-1%2Fa?a=b%20c'")
        await expect(page.locator("#told")).to_have_text("other|2025-03-14-1/a|b c|Shed kiln")
        await page.locator(".strip").click()
        await expect(page.locator("#channels li")).to_have_count(3)
        await page.go_back()
        await expect(page.locator("#told")).to_contain_text("other")
        await page.evaluate("location.hash = '#/nowhere'")
        await expect(page.locator("#channels li")).to_have_count(3)
        assert page.url.endswith("#/watch")
        assert seen.complaints == []
        await context.close()


async def test_one_view_alone_needs_no_navigation_and_one_that_fails_says_so(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        await with_views(context, ONE_VIEW)
        page = await context.new_page()
        await page.goto(server.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        await expect(page.locator("#views a")).to_have_count(1)
        await expect(page.locator("#views")).to_be_hidden()
        await with_views(context, other="export const nothing = 1;")
        await page.goto(f"{server.url}/?again#/other")
        await expect(page.locator("#view")).to_contain_text("could not be fetched")
        await expect(page.locator("#view").get_by_role("button", name="Try again")).to_be_visible()
        await expect(page.locator("#state")).to_have_text("No trouble seen")
        await context.close()
