"""What the page makes of the phone that it is on: an alarm, a screen that stays on, a page without
a link."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.async_api import Browser, Locator, Page, expect

from supervisor.core.events import Severity
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.opening import PHONE, Opened, opened
from tests.web.serving import line_to, serving

pytestmark = pytest.mark.browser

COUNT_TONES = """
window.tones = 0;
const create = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  window.tones += 1;
  return create.call(this);
};
"""
WAKE_LOCK = """
window.locks = 0;
Object.defineProperty(navigator, "wakeLock", { value: { async request() {
  window.locks += 1;
  const held = new EventTarget();
  held.release = async () => held.dispatchEvent(new Event("release"));
  window.letGo = () => held.release();
  return held;
} } });
"""
NO_WAKE_LOCK = 'Object.defineProperty(navigator, "wakeLock", { value: undefined });'


async def tones(page: Page) -> int:
    count: int = await page.evaluate("window.tones")
    return count


async def pressed(button: Locator) -> None:
    """Tap as a person does: on a machine that is busy the browser takes a tap whose end it sees
    late for a long press, and one taps again."""
    for _ in range(2):
        await button.tap()
        try:
            await expect(button).to_have_attribute("aria-pressed", "true", timeout=5_000)
        except AssertionError:
            continue
        return
    await button.tap()
    await expect(button).to_have_attribute("aria-pressed", "true")


async def test_the_alarm_sounds_after_one_tap_until_somebody_acknowledges(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.add_init_script(COUNT_TONES)
        await page.clock.install()
        await page.goto(server.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        on = page.locator("#sound-on")
        await on.tap()
        await expect(on).to_have_attribute("aria-pressed", "true")
        await expect(page.locator("#sound-asleep")).to_be_hidden()
        tried = await tones(page)
        assert tried > 0, "one hears what one has turned on"
        await page.clock.run_for(9_000)
        desk.read(30_660.0, {"top": 1_150.0, "middle": 1_140.0, "bottom": 1_130.0})
        await expect(page.locator("#lead-temp")).to_have_text("1,140\u202f°C")
        assert await tones(page) == tried, "a calm kiln makes no sound"

        desk.change(alerts=[stall_alert(severity=Severity.CRITICAL)])
        await expect(page.locator("#verdict-title")).to_have_text("Go to the kiln now")
        await page.clock.run_for(1_000)
        once = await tones(page)
        assert once > tried
        await page.clock.run_for(5_000)
        assert await tones(page) > once, "again, until somebody acknowledges"
        await page.get_by_role("button", name="Acknowledge").tap()
        await expect(page.locator("#verdict-title")).to_have_text("Trouble you know of")
        quiet = await tones(page)
        await page.clock.run_for(9_000)
        assert await tones(page) == quiet

        desk.change(stale=True)
        await expect(page.locator("#verdict-title")).to_have_text("No fresh readings")
        await page.clock.run_for(1_000)
        assert await tones(page) > quiet
        await page.locator("#silence").tap()
        await expect(page.locator("#silence")).to_be_hidden()
        silenced = await tones(page)
        await page.clock.run_for(11_000)
        desk.read(30_690.0, {"top": 1_150.0, "middle": 1_141.0, "bottom": 1_130.0})
        await expect(page.locator("#lead-temp")).to_have_text("1,141\u202f°C")
        await page.clock.run_for(4_000)
        assert await tones(page) == silenced
        await context.close()


async def test_news_of_a_cone_sounds_once_and_what_was_there_before_does_not(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        played = await page.evaluate(
            """async () => {
              const { Sounder } = await import("/static/sound.js");
              const sounder = new Sounder();
              sounder.isOn = true;
              const played = [];
              sounder.play = (tones) => played.push(tones.length);
              const news = (...ids) => ({ alerts: ids.map((id) =>
                ({ id, severity: "info", acknowledged_at: null })) });
              sounder.look("fine", news("old"), 0);
              sounder.look("fine", news("old"), 1000);
              const before = played.length;
              sounder.look("fine", news("old", "cone"), 2000);
              sounder.look("fine", news("old", "cone"), 3000);
              return [before, played.length];
            }"""
        )
    assert played == [0, 1]


async def test_the_screen_stays_on_where_the_browser_can_and_comes_back(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.add_init_script(WAKE_LOCK)
        await page.goto(server.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        on = page.locator("#screen-on")
        await pressed(on)
        assert await page.evaluate("window.locks") == 1
        # The browser lets go when the page is out of sight; it is taken again when it is back.
        await page.evaluate("window.letGo(); document.dispatchEvent(new Event('visibilitychange'))")
        await expect(on).to_have_attribute("aria-pressed", "true")
        assert await page.evaluate("window.locks") == 2
        await context.close()


async def test_a_browser_that_can_not_keep_the_screen_on_says_so(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.add_init_script(NO_WAKE_LOCK)
        await page.goto(server.url)
        await expect(page.locator("#screen-note")).to_contain_text("https")
        await expect(page.locator("#screen-on")).to_be_disabled()
        await context.close()


async def test_without_a_link_the_page_opens_with_what_was_last_seen_dated_and_grey(
    browser: Browser, desk: FakeDesk
) -> None:
    shape: dict[str, Any] = PHONE | {"service_workers": "allow"}
    async with serving(desk) as server, line_to(server) as line:
        context = await browser.new_context(**shape)
        page = await context.new_page()
        seen = Opened(page)
        await page.goto(line.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        await page.evaluate("navigator.serviceWorker.ready.then(() => null)")
        kept: list[str] = await page.evaluate(
            """async () => {
              const [name] = await caches.keys();
              const requests = await (await caches.open(name)).keys();
              return requests.map(({ url }) => new URL(url).pathname);
            }"""
        )
        assert {"/", "/static/app.js", "/static/views/watch.js", "/static/words/de.js"} <= set(kept)
        assert not [path for path in kept if path.startswith("/api/")]
        assert seen.complaints == []
        await line.cut()
        await page.reload()
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        await expect(page.locator("#verdict-last")).to_contain_text("Last known: Climbing 70")
        await expect(page.locator("#verdict-sentence")).to_have_text(
            re.compile(r"^What you see is \d+\u202fs old, of 15\u00a0Mar, 04:00\.")
        )
        await expect(page.locator("#channels li")).to_have_count(3)
        grey = await page.locator("#temps").evaluate("e => getComputedStyle(e).filter")
        assert grey == "grayscale(1)"
        await page.evaluate("location.hash = '#/plans'")
        await expect(page.locator("#plans-next-heading")).to_have_text("Fired next")
        await page.evaluate("location.hash = '#/watch'")
        await line.lay(server.port)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen", timeout=9_000)
        await context.close()
