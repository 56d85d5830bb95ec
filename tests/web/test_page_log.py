"""The log's panel and the line about a time without a watch, in a real browser."""

from __future__ import annotations

import pytest
from playwright.async_api import Browser, expect

from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from web.models import Blind, FiringState, Log, LogState

pytestmark = pytest.mark.browser


async def test_ending_the_log_is_asked_twice_and_written_once(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        panel = page.locator("#log")
        await expect(panel).to_contain_text("Everything is being kept")
        end = panel.get_by_role("button", name="End the log now")
        await end.tap()
        await expect(page.locator("#log-answer")).to_contain_text("What comes after is not kept")
        no = panel.get_by_role("button", name="No, leave it")
        await expect(no).to_be_focused()
        await no.tap()
        await expect(end).to_be_focused()
        await expect(page.locator("#log-answer")).to_be_empty()
        assert desk.logs == []
        await end.tap()
        # Readings that arrive meanwhile leave the question where it is.
        desk.read(30_660.0)
        yes = panel.get_by_role("button", name="Yes, end it")
        size = await yes.bounding_box()
        assert size is not None
        assert size["height"] >= 44, "WCAG 2.2, 2.5.5: a target of 44 pixels"
        await yes.tap()
        await expect(panel).to_contain_text("This log is closed")
        assert desk.logs == [("end", None)]
        await expect(panel.get_by_role("button", name="Begin the log now")).to_be_visible()
        await expect(page.locator("#not-recording")).to_be_visible()


async def test_an_armed_log_is_begun_with_the_plan_that_is_named(
    browser: Browser, desk: FakeDesk
) -> None:
    assert desk.now.firing is not None
    waiting = desk.now.firing.model_copy(update={"state": FiringState.WAITING})
    armed = Log(state=LogState.ARMED, next_plan="Bisque <b>slow</b>")
    desk.change(log=armed, recording=False, firing=waiting)
    async with serving(desk) as server, opened(browser, server) as page:
        panel = page.locator("#log")
        await expect(panel).to_contain_text("No log is being kept yet")
        # Before the firing it is what one comes for.
        begin = panel.get_by_role("button", name="Begin the log now")
        await expect(begin).to_be_in_viewport(ratio=1.0)
        await expect(page.locator("#not-recording")).to_be_hidden()
        await begin.tap()
        await expect(page.locator("#log-answer")).to_have_text(
            "Begin a log now, with the plan “Bisque <b>slow</b>”?"
        )
        await panel.get_by_role("button", name="Yes, begin it").tap()
        await expect(panel).to_contain_text("Everything is being kept")
        assert desk.logs == [("begin", None)]
        await expect(panel, "it stays under the thumb").to_be_in_viewport()
        await page.reload()
        await expect(page.locator("#notes + #log")).to_be_visible()


async def test_a_question_about_another_firing_is_taken_back(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        panel = page.locator("#log")
        await panel.get_by_role("button", name="End the log now").tap()
        await expect(panel.get_by_role("button", name="Yes, end it")).to_be_visible()
        desk.begin_another("f2")
        await expect(panel.get_by_role("button", name="Yes, end it")).to_have_count(0)
        await expect(page.locator("#log-answer")).to_be_empty()


async def test_what_is_refused_is_said_and_may_be_tried_again(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        panel = page.locator("#log")
        await panel.get_by_role("button", name="End the log now").tap()
        await page.route("**/api/log/**", lambda route: route.abort())
        await panel.get_by_role("button", name="Yes, end it").tap()
        await expect(page.locator("#log-answer")).to_contain_text("Not done: ")
        await expect(panel.get_by_role("button", name="End the log now")).to_be_enabled()
        assert desk.logs == []


async def test_where_nothing_can_begin_there_is_no_button(browser: Browser, desk: FakeDesk) -> None:
    desk.change(log=Log(state=LogState.CLOSED), recording=False)
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#kiln")).to_have_text("Shed kiln")
        await expect(page.locator("#log")).to_be_hidden()


async def test_a_time_without_a_watch_is_said_as_long_as_the_firing_lasts(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        line = page.locator("#blind")
        await expect(line).to_be_hidden()
        day = "2025-03-15T{}:00+01:00"
        desk.change(
            blind=Blind(from_time=day.format("02:13"), to_time=day.format("03:00"), lasted_s=2820.0)
        )
        await expect(line).to_have_text(
            "spyhole was blind from 02:13 to 03:00 (47\u202fmin): nothing of that time was read or "
            "watched."
        )
        desk.change(blind=Blind(from_time=day.format("02:13"), to_time=None, lasted_s=None))
        await expect(line).to_contain_text("from 02:13 on. For how long can't be told")
        desk.change(blind=None)
        await expect(line).to_be_hidden()
