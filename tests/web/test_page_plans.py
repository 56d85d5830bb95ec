"""The plan view in a browser: from the list to a changed copy, with every mistake at its field."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.async_api import Browser, Page, expect

from supervisor.core.schedule import parse_schedule
from supervisor.core.units import Unit
from tests.web.contrast import SCRIPT as FAINT
from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, Opened, opened
from tests.web.serving import serving
from tests.web.test_plans_api import shelf_in
from web.app import create_app
from web.models import Log, LogState
from web.routers import plans

pytestmark = pytest.mark.browser

TILES = """\
name = "Tiles"
kind = "bisque"
[[step]]
rate = 60
to = 1000
[[band]]
name = "quartz turns back"
from = 620
to = 520
fastest = 60
"""


async def fits(page: Page) -> bool:
    return bool(
        await page.evaluate("document.documentElement.scrollWidth <= document.body.clientWidth")
    )


async def test_a_plan_is_looked_at_chosen_changed_and_kept(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    app = create_app(desk, routers=[plans.router(shelf_in(tmp_path))])
    async with serving(desk, app=app) as server, opened(browser, server) as page:
        await page.locator("#views a", has_text="Plans").click()
        await page.get_by_role("link", name="Mid-fire glaze, cone 6, by").click()
        await expect(page.locator(".plan-figures")).to_contain_text("Cone 6")
        await expect(page.locator(".drawing svg.narrow")).to_be_visible()
        await expect(page.locator(".plan-section").first).to_contain_text("0:00 to 1:15")
        assert await page.evaluate(FAINT) == []
        assert await fits(page)
        await page.locator("#unit-F").click()
        await expect(page.locator(".plan-figures")).to_contain_text("2,201")
        await page.get_by_role("button", name="How long at the peak?").click()
        await expect(page.locator("#view")).to_contain_text("in place of the plan's own")
        await page.get_by_role("button", name="Fire this one next").click()
        await expect(page.locator(".plan-status")).to_contain_text("This one is fired next")

        # The form is in the scale that is shown; to and fro nothing is rounded twice.
        await page.get_by_role("link", name="Change a copy").click()
        await expect(page.locator("#step-1-to")).to_have_value("1112")
        await page.locator("#unit-C").click()
        await expect(page.locator("#step-1-to")).to_have_value("600")
        await page.locator("#plan-name").fill("Bisque")
        await page.locator("#step-1-to").fill("1,250")
        await page.locator("#step-0-rate").fill("-5")
        await expect(page.locator("#mistake-step-1-to")).to_contain_text("give 0 to 1500 °C")
        await expect(page.locator("#mistake-step-0-rate")).to_contain_text("a positive number")
        await expect(page.locator("#step-1-to")).to_have_attribute("aria-invalid", "true")
        await expect(page.locator("#step-0-to")).not_to_have_attribute("aria-invalid", "true")
        assert await page.evaluate(FAINT) == []
        # What was typed is still there after a look at the kiln.
        await page.locator(".strip").click()
        await expect(page.locator("#channels li")).to_have_count(3)
        await page.go_back()
        await expect(page.locator("#step-1-to")).to_have_value("1,250")
        await page.get_by_role("button", name="Save as new").click()
        await expect(page.locator("#step-0-rate")).to_be_focused()
        await page.locator("#step-0-rate").fill("75")
        await page.locator("#step-1-to").fill("610,5")
        await expect(page.locator("#mistake-step-1-to")).to_have_text("")
        # Steps by keyboard: one more, moved up, and the focus stays with it.
        await page.get_by_role("button", name="Add after: step 1").press("Enter")
        await expect(page.locator("#step-1-to")).to_be_focused()
        await page.locator("#step-1-to").fill("300")
        await page.get_by_role("button", name="Up: step 2").press("Enter")
        await expect(page.locator("#step-0-to")).to_have_value("300")
        await page.get_by_role("button", name="Down: step 1").press("Enter")
        await expect(page.get_by_role("button", name="Down: step 2")).to_be_focused()
        await page.get_by_role("button", name="How long at the peak?").click()
        await page.get_by_role("button", name="Use this hold").click()
        await page.get_by_role("button", name="Save as new").click()
        await expect(page.locator("#mistake-name")).to_contain_text("The starter “bisque”")
        await page.locator("#plan-name").fill("Blue <b>jars</b>")
        await page.get_by_role("button", name="Save as new").click()
        await expect(page.locator(".plan-status")).to_contain_text("Saved as blue-b-jars-b.toml.")
        await expect(page.locator(".plan-title")).to_have_text("Blue <b>jars</b>")
        kept = parse_schedule((tmp_path / "blue-b-jars-b.toml").read_text())
        assert [step.to_c for step in kept.steps[:3]] == [120.0, 300.0, 610.5]
        assert kept.steps[0].rate_c_per_h == 75.0
        await page.get_by_role("link", name="All plans").click()
        await expect(page.locator("#plans-next")).to_contain_text("as chosen here")
        await page.get_by_role("button", name="Back to the configuration's plan").click()
        await expect(page.locator("#plans-next")).to_contain_text("the plan of the configuration")


async def test_the_log_panel_names_what_was_chosen_and_a_broken_file_says_why(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    (tmp_path / "broken.toml").write_text("name = 'x'\n[[step]]\nto = 9999\n")
    (tmp_path / "tiles.toml").write_text(TILES)
    app = create_app(desk, routers=[plans.router(shelf_in(tmp_path))])
    desk.change(log=Log(state=LogState.OPEN, chosen_plan="Bisque <i>"))
    async with serving(desk, app=app) as server:
        context = await browser.new_context(**DESK, color_scheme="dark")
        page = await context.new_page()
        seen = Opened(page)
        await page.goto(server.url)
        await expect(page.locator("#log-state")).to_contain_text("begins with “Bisque <i>”")
        desk.change(log=Log(state=LogState.ARMED, next_plan="Raku", chosen_plan="Raku"))
        await expect(page.locator("#log-state")).to_contain_text("“Raku”. It was chosen under")
        await page.get_by_role("link", name="Choose another plan for the next log").click()
        await expect(page.locator(".plan-bad")).to_contain_text("broken.toml, line 3: to = 9999")
        assert await page.evaluate(FAINT) == []
        await page.goto(f"{server.url}/#/plans/broken.toml")
        await expect(page.locator(".plan-title")).to_have_text("broken")
        await expect(page.locator("#view")).to_contain_text("broken.toml, line 3: to = 9999")
        await expect(page.get_by_role("link", name="Change a copy")).to_have_count(0)
        # What a plan says of bands goes into the copy, in the scale that is shown.
        await page.goto(f"{server.url}/#/plans/tiles.toml?edit=1")
        await page.locator("#unit-F").click()
        await expect(page.locator("#step-0-to")).to_have_value("1832")
        await expect(page.locator(".plan-form")).to_contain_text("quartz turns back")
        await page.locator("#plan-name").fill("Tiles, slower")
        await page.get_by_role("button", name="Save as new").click()
        await expect(page.locator(".plan-status")).to_contain_text("tiles-slower.toml")
        kept = parse_schedule((tmp_path / "tiles-slower.toml").read_text())
        (band,) = kept.bands
        assert (band.from_c, band.to_c) == (620.0, 520.0)
        assert band.fastest_c_per_h == pytest.approx(60.0)
        assert kept.units is Unit.F
        await page.goto(f"{server.url}/#/plans/midfire-glaze")
        await expect(page.locator(".drawing svg.wide")).to_be_visible()
        assert await page.evaluate(FAINT) == []
        assert seen.complaints == []
        await context.close()
