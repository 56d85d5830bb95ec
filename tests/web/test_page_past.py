"""The log view in a browser: from the list to one firing, to a comparison, to what changes."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import httpx
import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page, expect

from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.record.put_away import put_away
from supervisor.record.rows import NewFiring
from supervisor.record.store import Record
from supervisor.record.unloading import Account, Finding
from supervisor.service.archive import Archive
from supervisor.service.comparing import Comparer
from supervisor.service.following import Follower
from tests.service.firings import Kept, begin, keep, night, opened_copy
from tests.web.contrast import SCRIPT as FAINT
from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, opened
from tests.web.serving import Serving, serving
from tests.web.test_accessible import violations
from web.app import create_app
from web.routers import Router, comparison, firings, trends

pytestmark = pytest.mark.browser

OTHERS, PAGE = 32, 30

STUCK = """(position) => document.querySelectorAll(".bar, .views, .log-bar")
  .forEach((one) => { one.style.position = position; })"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A firing that stalled, of which people wrote, one that did not, and many before them."""
    folder = tmp_path_factory.mktemp("past")
    with Record.open(folder) as record:
        for n in range(OTHERS):
            cold = record.start_firing(NewFiring("test kiln", ("top",), f"Test tiles {n}"))
            record.append(cold.result(10.0).id, Reading(0.0, {"top": 20.0 + n}))
            record.close_firing(cold.result(10.0).id, 1.0)
        for name in ("tripped-breaker", "healthy-midfire"):
            firing = begin(record, name)
            kept = keep(record, firing)
            kept.feed(*night(name))
            for alert in kept.keeper.book.alerts:
                if alert.kind.value == "stall":
                    kept.keeper.acknowledge(alert.id, "Ana")
            if name == "tripped-breaker":
                record.add_note(firing.id, 27_000.0, "Reset the breaker.", by="Ana")
                record.add_observation(firing.id, Observation(39_000.0, "6", "3:30", "top"))
                record.tell(firing.id, Account("load", "forty mugs, tenmoku", "Ana"))
                ticks = [Finding("too-glossy", 2, "top", by="Ana"), Finding("a-chip", 1)]
                record.find_at_unloading(firing.id, ticks)
            kept.keeper.close()
            record.flush().result(30.0)
            put_away(record, record.firing(firing.id))
    return folder


@pytest_asyncio.fixture(loop_scope="session")
async def server(made: Path, tmp_path: Path, desk: FakeDesk) -> AsyncIterator[Serving]:
    with opened_copy(made, tmp_path) as record:
        now = keep(record, begin(record))
        now.feed(*night()[:100])
        record.flush().result(30.0)
        app = create_app(desk, routers=routers(record, now))
        async with serving(desk, app=app) as serves:
            yield serves


def routers(record: Record, now: Kept) -> list[Router]:
    return [
        firings.router(Archive(record, lambda: now.keeper, lambda: None)),
        comparison.router(Comparer(record)),
        trends.router(Follower(record)),
    ]


async def in_order(page: Page) -> None:
    """Nothing stands out of the screen, is too faint or keeps WCAG's rules not."""
    assert await page.evaluate(FAINT) == []
    assert await page.evaluate("document.documentElement.scrollWidth <= document.body.clientWidth")
    # What is stuck to the screen's edges lies over whatever is scrolled there, which moves away.
    await page.evaluate(STUCK, "static")
    assert await violations(page) == []
    await page.evaluate(STUCK, "")


async def test_from_the_list_to_a_firing_to_a_comparison_to_trends(
    browser: Browser, server: Serving
) -> None:
    async with httpx.AsyncClient(base_url=server.url) as client:
        ids = [one["id"] for one in (await client.get("/api/firings")).json()["firings"]]
        going, fine, stalled = ids[:3]
        compared = await client.get("/api/comparison", params={"firing": [fine, stalled]})
        followed = (await client.get("/api/trends")).json()
    async with opened(browser, server) as page:
        await page.locator("#views a", has_text="Log").tap()
        rows = page.locator(".log-list li")
        await expect(rows).to_have_count(PAGE)
        await expect(rows.first).to_contain_text("still going on")
        await expect(rows.nth(2)).to_contain_text("1 note")
        await expect(rows.nth(2).locator(".log-sign").last).to_contain_text("warning")
        await in_order(page)
        # Earlier ones come behind them, and the thumb goes on where they begin.
        await expect(page.locator(".log-count")).to_have_text("The latest 30 of 35 firings")
        await page.get_by_role("button", name="Earlier firings").tap()
        await expect(rows).to_have_count(OTHERS + 3)
        await expect(rows.nth(PAGE).locator("a")).to_be_focused()
        await expect(rows.last).to_contain_text("Test tiles 0")
        await expect(page.locator(".log-count")).to_have_text("35 firings")
        await expect(page.get_by_role("button", name="Earlier firings")).to_be_hidden()
        # Searched by a word of the load, which stays in the address.
        await page.get_by_label("Search names").fill("tenmoku")
        await expect(rows).to_have_count(1)
        await expect(page.locator(".log-count")).to_have_text("1 firing")
        assert page.url.endswith("#/log?search=tenmoku")
        await page.get_by_label("Search names").fill("nothing of the kind")
        await expect(page.locator(".log-count")).to_contain_text("No firing matches")
        await page.get_by_label("Search names").fill("tenmoku")
        await expect(rows).to_have_count(1)
        # Opened: what it was, what was said, what was written.
        await rows.first.locator("a").tap()
        await expect(page.locator(".log-chart canvas")).to_have_count(1)
        await expect(page.locator(".log-figures")).to_contain_text("1,2")
        warned = page.locator(".log-warned li", has_text="stopped climbing")
        await expect(warned.first).to_contain_text("by Ana")
        await expect(page.locator(".log-steps li")).to_have_count(4)
        await expect(page.locator(".log-part-cones")).to_contain_text("Cone\u00a06 at 3:30")
        unloaded = page.locator(".log-part-unloaded li")
        await expect(unloaded).to_contain_text(
            ["forty mugs, tenmoku", "a chip", "a matt or satin glaze came out glossy"]
        )
        await expect(unloaded.last).to_contain_text("some · top · Ana")
        for text, end in (
            ("One sheet for the wall", "report.html?sheet=wall&units=C"),
            ("Log in °C (CSV)", "log.csv?units=C"),
            ("Play it once more", f"#/replay/{stalled}"),
            ("Trace defects", f"#/unload/{stalled}"),
        ):
            href = await page.get_by_role("link", name=text).get_attribute("href")
            assert href is not None
            assert href.endswith(end)
        for summary in await page.locator(".view-log summary").all():
            await summary.tap()
        await in_order(page)
        # Looked at closely, the rows between are fetched; one tap shows all of it again.
        over = page.locator(".log-chart .u-over")
        await over.scroll_into_view_if_needed()
        box = await over.bounding_box()
        assert box is not None
        middle = box["y"] + box["height"] / 2
        async with page.expect_response(lambda answer: "from_s=" in answer.url) as closer:
            await page.mouse.move(box["x"] + 80, middle)
            await page.mouse.down()
            await page.mouse.move(box["x"] + 120, middle, steps=3)
            await page.mouse.up()
        assert (await closer.value).ok
        await page.get_by_role("button", name="Whole firing").tap()
        await expect(page.get_by_role("button", name="Whole firing")).to_be_disabled()
        # Added afterwards: a note at its time, and a cone out of the cold kiln.
        await page.get_by_label("What is to be kept").fill("Shelf 3 was too hot.")
        await page.get_by_label("When, in hours").fill("half past")
        await page.get_by_role("button", name="Save note").tap()
        await expect(page.locator(".log-part-notes .note-answer")).to_contain_text("such as 7:30")
        await page.get_by_label("When, in hours").fill("7:30")
        await page.get_by_role("button", name="Save note").tap()
        notes = page.locator(".log-part-notes .note-list li")
        await expect(notes.last).to_contain_text("Shelf 3 was too hot.")
        await expect(notes.last).to_contain_text("(7:30\u202fh)")
        await notes.first.get_by_role("button", name="Take back").tap()
        await expect(notes).to_have_count(1)
        await expect(notes.last).to_contain_text("Shelf 3 was too hot.")
        await page.locator(".tips label", has_text="touching").last.tap()
        await page.locator(".log-part-cones .choice", has_text="bottom").tap()
        await page.get_by_role("button", name="Save what I saw").tap()
        await expect(page.locator(".log-part-cones")).to_contain_text("Cone\u00a06 touching")
        await page.get_by_role("button", name="°F").tap()
        await expect(page.locator(".log-figures")).to_contain_text("°F")
        await page.get_by_role("button", name="°C").tap()
        # Two are ticked and compared, in the core's own words.
        await page.get_by_role("link", name="All firings").tap()
        await expect(rows).to_have_count(PAGE)
        for row in (1, 2):
            await rows.nth(row).get_by_role("checkbox").check()
        await in_order(page)
        await page.get_by_role("link", name="Compare", exact=True).tap()
        await expect(page.locator(".log-overlay canvas")).to_have_count(2)
        expected = compared.json()["against"][0]["sentences_c"]
        said = [plain(text) for text in await page.locator(".log-said li").all_inner_texts()]
        assert said[0] == expected[0]
        assert len(said) == len(expected)
        await in_order(page)
        await page.get_by_role("button", name="By temperature").tap()
        await expect(page.locator(".log-said li").first).to_contain_text("on the way up")
        await expect(page.locator(".log-overlay")).to_contain_text("Rate of climb")
        assert "by=temperature" in page.url
        await page.get_by_label("against the plan").check()
        await expect(page.locator(".log-compared li")).to_have_count(3)
        await page.reload()
        await expect(page.locator(".log-compared li")).to_have_count(3)
        # What changes from firing to firing; of two nothing is told yet.
        await page.get_by_role("link", name="All firings").tap()
        await page.get_by_role("link", name="Trends").tap()
        await expect(page.locator(".log-trends section")).to_have_count(len(followed["trends"]))
        told = [plain(text) for text in await page.locator(".log-said li").all_inner_texts()]
        assert told == [plain(s) for one in followed["trends"] for s in one["sentences_c"]]
        assert any("from 5 firings on" in text for text in told)
        for summary in await page.locator(".view-log summary").all():
            await summary.tap()
        await in_order(page)
        await page.locator(".log-values a").first.tap()
        await expect(page.locator(".log-chart canvas")).to_have_count(1)
        assert going not in page.url


async def test_a_record_that_does_not_answer_is_not_called_empty(
    browser: Browser, server: Serving
) -> None:
    async with opened(browser, server, quiet=False) as page:
        await page.route("**/api/firings?*", lambda route: route.abort())
        await page.locator("#views a", has_text="Log").click()
        panel = page.locator("section", has_text="Firings of the record")
        await expect(panel.get_by_role("alert")).to_contain_text("does not answer")
        await page.locator("#unit-F").click()
        await expect(page.locator("#unit-F")).to_have_attribute("aria-pressed", "true")
        await expect(page.locator(".log-count")).to_have_text("")


async def test_a_german_phone_reads_it_in_german(browser: Browser, server: Serving) -> None:
    places = ("#/log", "#/log?trends")
    async with opened(
        browser, server, locale="de-DE", color_scheme="dark", **{k: DESK[k] for k in ("viewport",)}
    ) as page:
        for place in places:
            await page.evaluate(f"location.hash = '{place}'")
            await expect(page.locator(".view-log h2").first).to_be_visible()
        await page.get_by_role("link", name="Brände", exact=True).click()
        ticks = page.locator(".log-list input")
        await expect(ticks).to_have_count(PAGE)
        await ticks.nth(1).check()
        await ticks.nth(2).check()
        await page.get_by_role("link", name="Vergleichen").click()
        await expect(page.locator(".log-said")).to_contain_text("gingen sie auseinander")
        await in_order(page)
        await page.locator(".log-compared a").last.click()
        await expect(page.locator(".log-part-figures h2")).to_have_text("In Kürze")
        await expect(page.locator(".log-chart canvas")).to_have_count(1)
        await expect(page.locator(".log-part-warnings")).to_contain_text("bestätigt von Ana")
        await in_order(page)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")
