"""A drawn cone whose tip is dragged to where the real one's is, in a real browser."""

from __future__ import annotations

import math

import pytest
from playwright.async_api import Browser, Locator, Page, expect

from supervisor.core.heatwork import tip
from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, PHONE, opened
from tests.web.serving import serving

pytestmark = pytest.mark.browser


async def dial(page: Page) -> Locator:
    """The form opened at the drawn cone, as large as a thumb needs its tip."""
    await page.get_by_text("What do the real cones show?").click()
    handle = page.get_by_role("slider", name="Its tip")
    await expect(handle).to_have_attribute("aria-valuetext", "Drag the tip, or tap where it is")
    await page.locator(".dial-face").evaluate("e => e.scrollIntoView({ block: 'center' })")
    size = await handle.bounding_box()
    assert size is not None
    assert min(size["width"], size["height"]) >= 44
    return handle


async def foot(page: Page) -> tuple[float, float, float]:
    """Where the drawn cone's foot is on the screen, and pixels for one unit of the drawing."""
    box = await page.locator(".dial-face svg").bounding_box()
    left, top, width, _ = (
        float(one)
        for one in (await page.locator(".dial-face svg").get_attribute("viewBox") or "").split()
    )
    assert box is not None
    scale = box["width"] / width
    return box["x"] - left * scale, box["y"] - top * scale, scale


def towards(at: tuple[float, float, float], clock: float, side: int = 1) -> tuple[float, float]:
    """A place of the screen where the tip of a cone is whose hand shows ``clock``."""
    angle = math.radians(clock * tip.DEG_PER_HOUR)
    return at[0] + side * 60 * at[2] * math.sin(angle), at[1] - 60 * at[2] * math.cos(angle)


async def middle(handle: Locator) -> tuple[float, float]:
    box = await handle.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def shown(page: Page) -> Locator:
    """The choice below that is ticked."""
    return page.locator("#look-tips input:checked")


async def save(page: Page) -> None:
    await page.locator("#look-cones").get_by_role("radio", name="5", exact=True).check()
    await page.locator("#look-channels").get_by_role("radio", name="middle").check()
    await page.get_by_role("button", name="Save what I saw").click()
    await expect(page.locator("#look-answer")).to_have_text("Saved.")


async def test_the_tip_is_dragged_to_the_half_hour_and_saved(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        handle = await dial(page)
        at = await foot(page)
        await page.mouse.move(*await middle(handle))
        await page.mouse.down()
        await page.mouse.move(*towards(at, 2.0), steps=4)
        await expect(shown(page)).to_have_value("2")
        await page.mouse.move(*towards(at, 3.6), steps=4)
        await page.mouse.up()
        await page.mouse.move(*towards(at, 5.0))
        await expect(handle).to_have_attribute("aria-valuetext", "at 3:30")
        await expect(shown(page)).to_have_count(0)
        await save(page)
        assert desk.looked[0].clock == "3:30"
        await expect(page.locator(".dial-told")).to_contain_text("Drag the tip")


async def test_a_finger_bends_it_to_the_left_and_the_page_stays_where_it_is(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **PHONE) as page:
        handle = await dial(page)
        before = await page.evaluate("scrollY")
        at = await foot(page)
        session = await page.context.new_cdp_session(page)

        async def touch(kind: str, *places: tuple[float, float]) -> None:
            points = [{"x": x, "y": y} for x, y in places]
            await session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        await touch("touchStart", await middle(handle))
        for clock in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0):
            await touch("touchMove", towards(at, clock, side=-1))
        await touch("touchEnd")
        assert await page.evaluate("scrollY") == before
        await expect(handle).to_have_attribute("aria-valuetext", "just touching")
        await expect(shown(page)).to_have_value("just touching")
        assert (await middle(handle))[0] < at[0]
        # A tap where the tip is does as well as dragging it there (WCAG 2.2, 2.5.7).
        await page.touchscreen.tap(*towards(at, 4.5))
        await expect(handle).to_have_attribute("aria-valuetext", "at 4:30")
        assert (await middle(handle))[0] > at[0]


async def test_arrow_keys_move_it_and_the_choices_below_do(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        handle = await dial(page)
        await handle.focus()
        await page.keyboard.press("Enter")
        await expect(handle).to_have_attribute("aria-valuetext", "upright")
        await expect(shown(page)).to_have_value("upright")
        for _ in range(2):
            await page.keyboard.press("ArrowRight")
        await expect(handle).to_have_attribute("aria-valuetext", "at 1:30")
        await page.keyboard.press("End")
        await expect(handle).to_have_attribute("aria-valuetext", "touching")
        last = await handle.get_attribute("aria-valuemax")
        assert await handle.get_attribute("aria-valuenow") == last
        await page.locator("#look-tips").get_by_role("radio", name="5", exact=True).check()
        await expect(handle).to_have_attribute("aria-valuetext", "at 5 o'clock")


async def test_without_the_drawn_cone_the_choices_do(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False, **DESK) as page:
        await page.route("**/static/views/watch/tip.js", lambda route: route.abort())
        await page.get_by_text("What do the real cones show?").click()
        await page.locator("#look-tips").get_by_role("radio", name="4", exact=True).check()
        await save(page)
        assert desk.looked[0].clock == "4"
        await expect(page.get_by_role("slider")).to_have_count(0)
