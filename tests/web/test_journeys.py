"""A night with two phones: the real daemon, a simulated kiln, real pages, and all that goes wrong.

Somebody writes down what they did and what the cones show, one phone loses its link, the daemon is
killed and comes back, a plan is chosen and its log begun, the climb dies and both phones say so,
one of them acknowledges, and the log is ended: whatever is done on one phone is seen on the other.
Then the firing is opened in the log, taken away and compared.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.async_api import Browser, Locator, Page, expect

from supervisor.record.store import Record
from tests.daemons import PATIENCE_S, Daemon
from tests.test_end_to_end import fast_forward, onset_s
from tests.web.opening import PHONE
from tests.web.serving import Line

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300)]

SCENARIO = "stall"
LOOK = "Go and look"
BEFORE_ONSET_S = 1800.0
"""Of the kiln's time: at the fast pace a minute of ours, in which the log begins."""
SLOWLY, FAST = 2.0, 30.0
PLAN = "Mid-fire glaze, cone 6, cooled slowly for satin surfaces"
SOON_MS = PATIENCE_S * 1000.0
STALL_MS = 3.0 * SOON_MS
"""Until the climb dies, and the watch is sure of it."""


@dataclass
class Phone:
    """A page in somebody's hand, and the line between it and the daemon."""

    page: Page
    line: Line

    def see(self, place: str, text: str | None = None) -> Locator:
        found = self.page.locator(place)
        return found if text is None else found.filter(has_text=text)

    async def shows(self, place: str, text: str) -> None:
        await expect(self.page.locator(place)).to_contain_text(text, timeout=SOON_MS)

    async def goes_to(self, view: str) -> None:
        await self.page.locator("#views a", has_text=view).tap()

    async def taps(self, name: str) -> None:
        await self.page.get_by_role("button", name=name).tap()


@contextlib.asynccontextmanager
async def phone(browser: Browser, port: int) -> AsyncIterator[Phone]:
    line = Line()
    await line.lay(port)
    context = await browser.new_context(**PHONE)
    page = await context.new_page()
    await page.goto(line.url)
    await expect(page.locator("#channels li")).to_have_count(3)
    yield Phone(page, line)
    await context.close()
    await line.cut()


class Night:
    """The daemon over one record, ended and begun anew."""

    def __init__(self, folder: Path) -> None:
        self.data = folder / "data"
        self._config = folder / "spyhole.toml"
        self._config.write_text('[kiln]\nname = "Shed kiln"\n[page]\nport = 0\n')

    @contextlib.asynccontextmanager
    async def watched(self, speed: float) -> AsyncIterator[tuple[Daemon, int]]:
        """The daemon, and its port."""
        words = ("watch", "--simulate", SCENARIO, "--config", self._config, "--speed", f"{speed:g}")
        with Daemon(*words, "--data", self.data) as daemon:
            port = urlsplit(await asyncio.to_thread(lambda: daemon.page)).port
            assert port is not None
            yield daemon, port


async def chooses_a_plan_and_begins_the_log(ana: Phone, ben: Phone) -> None:
    await ana.goes_to("Plans")
    await ana.page.get_by_role("link", name=PLAN).tap()
    await ana.taps("Fire this one next")
    await ana.shows(".plan-status", "the log that is being kept goes on with its own plan")
    await ana.goes_to("Watch")
    await ana.shows("#log-state", f"The one after it begins with “{PLAN}”")
    await ana.taps("End the log now")
    await ana.taps("Yes, end it")
    await ben.shows("#log-state", "This log is closed. The next one begins by itself")
    await ana.taps("Begin the log now")
    await ana.taps("Yes, begin it")
    for hand in (ana, ben):
        await hand.shows("#log-state", "Everything is being kept")
        await hand.shows("#firing", PLAN)
        await expect(hand.see("#not-recording")).to_be_hidden()


async def writes_what_was_done_and_seen(ana: Phone, ben: Phone) -> None:
    await ben.page.locator("#note-text").fill("Damper in by two fingers")
    await ben.taps("Save note")
    await ana.shows("#note-list", "Damper in by two fingers")
    await ana.page.get_by_text("What do the real cones show?").tap()
    for group, name in (("cones", "6"), ("tips", "12, upright"), ("channels", "middle")):
        radio = ana.page.locator(f"#look-{group}").get_by_role("radio", name=name, exact=True)
        await radio.tap()
    await ana.taps("Save what I saw")
    await ben.shows("#look-list", "Cone 6")


async def loses_the_link_and_hears_the_rest(ana: Phone, ben: Phone, port: int) -> None:
    await ben.line.cut()
    await ben.shows("#verdict-title", "No link to spyhole")
    await ben.shows("#verdict-last", "Last known: ")
    await ana.page.locator("#note-text").fill("Ben is out of reach")
    await ana.taps("Save note")
    await ana.shows("#note-list", "Ben is out of reach")
    await expect(ben.see("#note-list", "Ben is out of reach")).to_have_count(0)
    await ben.line.lay(port)
    await ben.shows("#note-list", "Ben is out of reach")
    await expect(ben.see("#verdict-last")).to_be_hidden()


async def hears_of_the_stall(ana: Phone, ben: Phone) -> None:
    for hand in (ana, ben):
        await expect(hand.see("#alert-list li", "stopped climbing")).to_be_visible(timeout=STALL_MS)
        await expect(hand.see("#verdict-title")).to_have_text(LOOK)
    await (
        ben.page.locator("#alert-list li", has_text="stopped climbing")
        .locator("button.acknowledge")
        .tap()
    )
    for hand in (ben, ana):
        await expect(hand.see("#alert-list .alert-was-seen")).to_be_visible(timeout=SOON_MS)


async def ends_the_log(ana: Phone, ben: Phone) -> None:
    await ben.taps("End the log now")
    await ben.taps("Yes, end it")
    for hand in (ana, ben):
        await hand.shows("#log-state", "This log is closed")
        await expect(hand.see("#firing")).to_have_text(PLAN)


async def looks_back(ana: Phone, firing_id: str) -> None:
    """Opened in the log, taken away as a report, and held against the log before it."""
    await ana.goes_to("Log")
    rows = ana.see(".log-list li")
    await expect(rows).to_have_count(2)
    await rows.first.locator("a").tap()
    await expect(ana.see(".log-id")).to_contain_text(firing_id)
    await expect(ana.see(".log-warned li", "stopped climbing").first).to_be_visible()
    address = await ana.page.locator("a[href*='report.html?sheet=binder']").get_attribute("href")
    answer = await ana.page.request.get(f"{ana.line.url}/{address}")
    assert answer.ok
    report = await answer.text()
    assert "stopped climbing" in report
    async with ana.page.expect_download() as coming:
        await ana.page.locator("a[href*='log.csv']").tap()
    log = Path(await (await coming.value).path()).read_text(encoding="utf-8")
    assert log.startswith("elapsed_s,")
    assert log.count("\n") > 100
    await ana.page.get_by_role("link", name="All firings").tap()
    await rows.last.locator("a").tap()
    await ana.shows(".log-part-notes", "Damper in by two fingers")
    await ana.shows(".log-part-cones", "Cone\u00a06")
    await ana.page.get_by_role("link", name="All firings").tap()
    for row in (0, 1):
        await rows.nth(row).get_by_role("checkbox").check()
    await ana.page.get_by_role("link", name="Compare", exact=True).tap()
    await expect(ana.see(".log-overlay canvas")).to_have_count(2)
    await expect(ana.see(".log-said li").first).to_be_visible()


async def test_a_night_with_two_phones(browser: Browser, tmp_path: Path) -> None:
    night = Night(tmp_path)
    until_s = onset_s() - BEFORE_ONSET_S
    before_id = await asyncio.to_thread(fast_forward, night.data, "Shed kiln", until_s)
    async with contextlib.AsyncExitStack() as hands:
        async with night.watched(SLOWLY) as (daemon, port):
            ana = await hands.enter_async_context(phone(browser, port))
            ben = await hands.enter_async_context(phone(browser, port))
            await writes_what_was_done_and_seen(ana, ben)
            await loses_the_link_and_hears_the_rest(ana, ben, port)
            await asyncio.to_thread(daemon.kill)
        for hand in (ana, ben):
            await hand.shows("#verdict-title", "No link to spyhole")
            await hand.line.cut()
        async with night.watched(FAST) as (daemon, port):
            for hand in (ana, ben):
                await hand.line.lay(port)
                await expect(hand.see("#verdict-last")).to_be_hidden(timeout=SOON_MS)
                await hand.shows("#note-list", "Damper in by two fingers")
            assert daemon.snapshot()["firing"]["id"] == before_id, "the same firing goes on"
            await chooses_a_plan_and_begins_the_log(ana, ben)
            firing_id = daemon.snapshot()["firing"]["id"]
            await hears_of_the_stall(ana, ben)
            await ends_the_log(ana, ben)
            await looks_back(ana, firing_id)
            code, _ = await asyncio.to_thread(daemon.stop)
            assert code == 0
            assert daemon.complaints == []
        for hand in (ana, ben):
            await hand.shows("#state", "spyhole has been stopped")
    with Record.open_to_read(night.data) as record:
        assert {one.id for one in record.firings()} == {before_id, firing_id}
        assert not any(one.is_open for one in record.firings())
        written = [[note.text for note in record.notes(one)] for one in (before_id, firing_id)]
        by_hand = ["The log was begun by hand.", "The log was ended by hand."]
        assert written == [
            ["Damper in by two fingers", "Ben is out of reach", by_hand[1]],
            by_hand,
        ]
        (look,) = record.observations(before_id)
        assert (look.seen.cone, look.seen.channel) == ("6", "middle")
        (stall,) = (one for one in record.alerts(firing_id) if one.kind.value == "stall")
        assert stall.acknowledged_at_s is not None
