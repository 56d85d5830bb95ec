"""The sign-in sheet and the line at the foot of the page, in a real browser."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator

import pytest
from playwright.async_api import Browser, Page, expect

from tests.web.access.doors import PHONE as ADDRESS
from tests.web.access.doors import PIN, WRONG, Door
from tests.web.opening import PHONE
from tests.web.serving import serving
from web import news
from web.access.access import Reading
from web.access.attempts import FREE
from web.access.sessions import LIFE_S

pytestmark = pytest.mark.browser


@contextlib.asynccontextmanager
async def phone_at(browser: Browser, door: Door) -> AsyncIterator[Page]:
    """A phone that has opened the page of ``door``; it asks nobody else."""
    door.desk.fill(30_600)
    async with serving(door.desk, app=door.app) as server:
        where = await browser.new_context(**PHONE)
        page = await where.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        await page.goto(server.url)
        yield page
        await where.close()
        assert [url for url in asked if not url.startswith(f"{server.url}/")] == []
        assert not [url for url in asked if PIN in url or WRONG in url]


async def give(page: Page, pin: str, name: str | None = None) -> None:
    """Fill the sheet in and send it."""
    if name is not None:
        await page.get_by_label("Your name").fill(name)
    await page.get_by_label("PIN").fill(pin)
    await page.get_by_role("dialog").get_by_role("button", name="Sign in").tap()


async def save_note(page: Page, text: str) -> None:
    await page.locator("#note-text").fill(text)
    await page.locator("#note-save").tap()


async def test_a_write_asks_for_name_and_pin_and_is_then_written_once(browser: Browser) -> None:
    door = Door()
    async with phone_at(browser, door) as page:
        await expect(page.locator("#session-state")).to_have_text("Writing here needs the PIN.")
        await save_note(page, "Bung in")
        sheet = page.get_by_role("dialog", name="Sign in")
        await expect(sheet).to_be_visible()
        await expect(page.get_by_label("Your name")).to_be_focused()
        pin = page.get_by_label("PIN")
        assert await pin.get_attribute("type") == "password"
        assert await pin.get_attribute("inputmode") == "numeric"
        await give(page, WRONG, "Ana")
        await expect(sheet.get_by_role("alert")).to_have_text("That is not the PIN.")
        await expect(pin).to_be_focused()
        await expect(pin).to_have_value("")
        assert door.desk.written_notes == []
        for button in await sheet.get_by_role("button").all():
            box = await button.bounding_box()
            assert box is not None
            assert box["height"] >= 44, "WCAG 2.2, 2.5.5: a target of 44 pixels"
        await give(page, PIN)
        await expect(sheet).to_have_count(0)
        await expect(page.locator("#note-answer")).to_have_text("Saved.")
        assert door.desk.written_notes == [("Bung in", "Ana")]
        await expect(page.locator("#session-state")).to_have_text("Signed in as Ana, for 30\u202fd")
        await save_note(page, "Damper in")
        await expect(page.locator("#note-answer")).to_have_text("Saved.")
        # What the phone keeps, and what it does not.
        kept = await page.evaluate("JSON.stringify(localStorage) + document.cookie")
        assert '"spyhole.name":"Ana"' in kept
        assert PIN not in kept
        assert "spyhole-" not in kept, "no script sees the cookie"
        await page.get_by_role("button", name="Sign out", exact=True).tap()
        await expect(page.locator("#session-state")).to_have_text("Writing here needs the PIN.")
        await page.reload()
        await page.locator("#sign-in").tap()
        await expect(page.get_by_label("Your name")).to_have_value("Ana")
        await expect(page.get_by_label("PIN")).to_be_focused()
        await give(page, PIN)
        await page.get_by_role("button", name="Sign out on all phones").tap()
        await expect(page.locator("#sign-in")).to_be_visible()
    assert [deed.what for deed in door.trail.deeds if "sign" in deed.what] == [
        *("sign_in", "sign_out", "sign_in", "sign_out_everywhere")
    ]


async def test_who_would_rather_not_keeps_the_text_and_is_told_why(browser: Browser) -> None:
    door = Door()
    async with phone_at(browser, door) as page:
        for leave in ("button", "key"):
            await save_note(page, "Bung in")
            sheet = page.get_by_role("dialog")
            await expect(sheet).to_be_visible()
            if leave == "button":
                await sheet.get_by_role("button", name="Not now").tap()
            else:
                await page.keyboard.press("Escape")
            await expect(sheet).to_have_count(0)
            await expect(page.locator("#note-answer")).to_have_text(
                "Not saved: Sign in with the PIN to write here."
            )
            await expect(page.locator("#note-text")).to_have_value("Bung in")
    assert door.desk.written_notes == []


async def test_the_seconds_of_a_wait_are_counted_down(browser: Browser) -> None:
    door = Door()
    async with phone_at(browser, door) as page:
        await page.locator("#sign-in").tap()
        sheet = page.get_by_role("dialog")
        for _ in range(FREE):
            await give(page, WRONG, "Ana")
            await expect(sheet.get_by_role("alert")).to_have_text("That is not the PIN.")
        door.now_s += 3.0
        await give(page, PIN)
        told = sheet.get_by_role("alert")
        enter = sheet.get_by_role("button", name="Sign in")
        await expect(told).to_have_text("Too many wrong PINs. The next one is looked at in 2 s.")
        await expect(enter).to_be_disabled()
        await expect(told).to_have_text("Too many wrong PINs. The next one is looked at in 1 s.")
        await expect(told).to_have_text("Try again now.")
        await expect(enter).to_be_enabled()
        door.now_s += 2.0
        await give(page, PIN)
        await expect(page.locator("#session-state")).to_contain_text("Signed in as Ana")


async def test_with_reading_by_pin_nothing_is_shown_before_it_and_after_its_session(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(news, "LOOK_UP_S", 0.1)
    door = Door(reading=Reading.PIN)
    async with phone_at(browser, door) as page:
        sheet = page.get_by_role("dialog")
        await expect(sheet).to_contain_text("shown to those who know the PIN")
        await expect(sheet.get_by_role("button", name="Not now")).to_have_count(0)
        await page.keyboard.press("Escape")
        await page.keyboard.press("Escape")
        await expect(sheet).to_be_visible()
        await expect(page.locator("body")).not_to_contain_text("Shed kiln")
        await give(page, PIN, "Ana")
        await expect(page.locator("#kiln")).to_have_text("Shed kiln")
        await expect(page.locator("#channels li")).to_have_count(3)
        door.now_s += LIFE_S
        await expect(sheet).to_be_visible()
        await expect(page.locator("body")).to_have_attribute("data-level", "blind")
        assert "You are signed out" in await page.title()
        await give(page, PIN)
        await expect(sheet).to_have_count(0)
        await expect(page.locator("body")).not_to_have_attribute("data-level", "blind")
        await page.get_by_role("button", name="Sign out", exact=True).tap()
        await expect(sheet).to_be_visible()
        await expect(page.locator("body")).not_to_contain_text("Shed kiln")


async def test_the_machine_itself_writes_without_a_pin(browser: Browser) -> None:
    door = Door(None)
    async with phone_at(browser, door) as page:
        await expect(page.locator("#session-state")).to_contain_text("This is the machine itself")
        await save_note(page, "Bung in")
        await expect(page.locator("#note-answer")).to_have_text("Saved.")
    assert door.desk.written_notes == [("Bung in", None)]


async def test_a_pin_that_is_set_meanwhile_is_known_when_the_foot_of_the_page_is_looked_at(
    browser: Browser,
) -> None:
    door = Door(None, behind_proxy=True)
    async with phone_at(browser, door) as page:
        state = page.locator("#session-state")
        await expect(state).to_contain_text("No PIN is set")
        door.keys.set(PIN)
        await state.scroll_into_view_if_needed()
        await expect(state).to_have_text("Writing here needs the PIN.")
    assert door.desk.written_notes == []


async def test_somebody_elses_phone_is_told_how_to_set_a_pin(browser: Browser) -> None:
    door = Door(None, behind_proxy=True)
    async with phone_at(browser, door) as page:
        await expect(page.locator("#session-state")).to_have_text(
            "No PIN is set, so only the machine at the kiln can write. Set one there: "
            "spyhole pin --data /somewhere"
        )
        await save_note(page, "Bung in")
        await expect(page.locator("#note-answer")).to_contain_text(
            "set one there with “spyhole pin --data /somewhere”"
        )
        door.keys.is_unreadable = True
        await page.reload()
        await expect(page.locator("#session-state")).to_contain_text("The PIN can't be read")
    assert door.desk.written_notes == []
    assert ADDRESS not in [deed.address for deed in door.trail.deeds]
