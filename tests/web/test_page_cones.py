"""Cones on the page in a real browser: forecasts, what the real ones show, and what follows."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Locator, Page, Request, expect

from supervisor.core.watch import Activity
from tests.web.contrast import SCRIPT as CONTRAST
from tests.web.fake_desk import ESTIMATE, FakeDesk
from tests.web.opening import PHONE, opened
from tests.web.serving import serving
from web.models import ChannelOffset, Correction
from web.requests import LookRequest

pytestmark = pytest.mark.browser

LOOK: dict[str, Any] = {"cone": "5", "clock": "4", "channel": "middle"}
THIN = "\u202f"


async def test_a_cone_says_when_it_is_expected_and_how_unsure_that_is(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        guide, target, guard = (page.locator("#cone-pack li").nth(n) for n in range(3))
        await expect(guide).to_contain_text(f"about 04:50, in 50{THIN}min")
        await expect(guide).to_contain_text("likely 04:40 to 05:05")
        await expect(guide).to_contain_text("tip at 1 o'clock")
        await expect(target).to_contain_text("from 05:15 on, or not at all")
        await expect(guard).to_contain_text("no time yet")
        hardly = desk.now.cones[1].model_copy(update={"expected_in_s": None})
        desk.change(cones=[desk.now.cones[0], hardly, desk.now.cones[2]])
        await expect(target).to_contain_text("probably not if the plan is kept")
        await expect(target).to_contain_text("from 05:15 on, or not at all")
        will_not = desk.now.cones[2].model_copy(update={"is_forecast": True})
        desk.change(cones=[*desk.now.cones[:2], will_not])
        await expect(guard).to_contain_text("not if the plan is kept")
        await expect(guard).not_to_contain_text("probably")


async def test_without_a_clock_times_are_said_from_now_on(browser: Browser, desk: FakeDesk) -> None:
    desk.change(time=None)
    async with serving(desk) as server, opened(browser, server) as page:
        guide = page.locator("#cone-pack li").first
        await expect(guide).to_contain_text(f"in about 50{THIN}min")
        await expect(guide).to_contain_text(f"likely 40{THIN}min to 1{THIN}h 5{THIN}min")


async def test_at_a_hold_it_says_how_much_longer(browser: Browser, desk: FakeDesk) -> None:
    assert desk.now.plan is not None
    holding = desk.now.plan.model_copy(update={"activity": Activity.HOLDING})
    held = desk.now.cones[1].model_copy(update={"hold_in_s": 1_860.0, "expected_in_s": None})
    async with serving(desk) as server, opened(browser, server) as page:
        target = page.locator("#cone-pack li").nth(1)
        desk.change(cones=[desk.now.cones[0], held, desk.now.cones[2]])
        await expect(target).to_contain_text("not if the plan is kept")
        await expect(target).not_to_contain_text("another")
        desk.change(plan=holding)
        await expect(target).to_contain_text(f"another 31{THIN}min at 1,133{THIN}°C")
        await page.get_by_role("button", name="°F").tap()
        await expect(target).to_contain_text(f"another 31{THIN}min at 2,071{THIN}°F")
        soon = held.model_copy(update={"expected_in_s": 1_850.0})
        desk.change(cones=[desk.now.cones[0], soon, desk.now.cones[2]])
        await expect(target.locator(".cone-at")).to_have_text(
            f"about 04:31: another 31{THIN}min at 2,071{THIN}°F"
        )
        assert (await target.inner_text()).count("another") == 1, "what is the same is said once"


async def test_other_courses_are_told_on_demand_where_they_differ(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        box = page.locator("#cone-otherwise")
        await expect(box).to_be_visible()
        rows = page.locator("#cone-otherwise-list li")
        await expect(rows.first).to_be_hidden()
        await box.locator("summary").tap()
        # Cone 5 with every planned rate kept is but two minutes off, so only cone 6 is told.
        await expect(rows).to_have_text(["Cone 6, climbing on at this rate: 05:20"])
        desk.read(30_660.0)
        await expect(rows.first).to_be_visible()
        same = desk.now.cones[1].model_copy(update={"at_rate_in_s": 5_400.0})
        desk.change(cones=[desk.now.cones[0], same, desk.now.cones[2]])
        await expect(box).to_be_hidden()


def choice(page: Page, group: str, name: str) -> Locator:
    return page.locator(f"#look-{group}").get_by_role("radio", name=name, exact=True)


async def choose(page: Page, group: str, name: str) -> None:
    await choice(page, group, name).tap()


async def fill_in(page: Page) -> None:
    await page.get_by_text("What do the real cones show?").tap()
    await choose(page, "cones", "5")
    await choose(page, "tips", "4")
    await choose(page, "channels", "middle")


async def test_what_a_real_cone_shows_is_entered_and_followed_only_when_accepted(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        note = page.locator("#cones-note")
        await expect(note).to_contain_text("uncorrected – the witness cones decide")
        await expect(page.locator("#offset-explained")).to_be_hidden()
        await fill_in(page)
        await page.get_by_label("Minutes ago").fill("5")
        await page.get_by_label("Shelf").fill("top shelf")
        await page.get_by_role("button", name="Save what I saw").tap()
        await expect(page.locator("#look-answer")).to_have_text("Saved.")
        (look,) = desk.looked
        assert (look.cone, look.clock, look.channel, look.shelf) == (
            "5",
            "4",
            "middle",
            "top shelf",
        )
        assert look.minutes_ago == pytest.approx(5.0, abs=0.2)
        row = page.locator("#look-list li")
        await expect(row).to_contain_text("03:55 · Cone 5 at 4 o'clock")
        await expect(row).to_contain_text("middle, top shelf")
        offset = page.locator("#offset-list li")
        await expect(offset).to_contain_text(
            f"Beside middle: Your cones say +4{THIN}°C\u00a0±\u00a03{THIN}°C, from 2 looks at "
            "cones in 1 firing."
        )
        await expect(note).to_contain_text("uncorrected")
        assert desk.changed_offsets == []

        await page.get_by_role("button", name="from now on, beside middle").tap()
        await expect(note).to_contain_text(
            f"corrected by +4{THIN}°C from your witness cones – the witness cones decide"
        )
        await expect(offset).to_contain_text(f"+4{THIN}°C is in use.")
        assert desk.changed_offsets == [("middle", ESTIMATE.offset_c)]
        await page.get_by_role("button", name="°F").tap()
        await expect(note).to_contain_text(f"corrected by +8{THIN}°F")
        await expect(offset).to_contain_text(f"+8{THIN}°F\u00a0±\u00a06{THIN}°F")
        await expect(page.locator("main")).not_to_contain_text("°C")

        await page.get_by_role("button", name="Stop using").tap()
        await expect(note).to_contain_text("uncorrected")
        assert desk.changed_offsets[-1] == ("middle", None)
        await page.get_by_role("button", name="Take back: 03:55, Cone 5 at 4 o'clock").tap()
        await expect(row).to_have_count(0)


async def test_the_form_says_what_is_missing_and_any_cone_can_be_chosen(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.get_by_text("What do the real cones show?").tap()
        answer = page.locator("#look-answer")
        lacking = page.locator("#look-lacking")
        save = page.get_by_role("button", name="Save what I saw")
        await save.tap()
        await expect(lacking).to_have_text("Choose the cone first.")
        await expect(page.locator("#look-cones")).to_be_in_viewport(ratio=1)
        await expect(choice(page, "cones", "5")).to_be_focused()
        await choose(page, "cones", "6")
        await page.get_by_label("Another cone").select_option("05.5")
        await expect(choice(page, "cones", "6")).not_to_be_checked()
        await save.tap()
        await expect(lacking).to_have_text("Choose how its tip stands.")
        await choose(page, "tips", "6, just touched")
        await save.tap()
        await expect(lacking).to_have_text("Choose the thermocouple that it stands beside.")
        await choose(page, "channels", "none of them")
        await expect(lacking).to_have_count(0)
        await save.tap()
        await expect(answer).to_have_text("Saved.")
        (look,) = desk.looked
        assert (look.cone, look.clock, look.channel) == ("05.5", "just touching", None)
        await expect(page.locator("#look-list")).to_contain_text("Cone 05.5 just touching")
        await expect(page.locator("#offset-list li")).to_have_count(0)
        # Tapping one of the pack takes the other choice back.
        await choose(page, "cones", "6")
        await expect(page.get_by_label("Another cone")).to_have_value("")


async def test_the_form_can_be_filled_in_from_the_keyboard(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.locator("#look summary").focus()
        await page.keyboard.press("Enter")
        await expect(page.get_by_role("slider")).to_be_visible()
        for keys in ("Tab", "Space", "Tab", "Tab", "Tab", "Space", "ArrowRight", "ArrowRight"):
            await page.keyboard.press(keys)
        await page.keyboard.press("Tab")
        for keys in ("Space", "Tab", "Tab", "Tab", "Enter"):
            await page.keyboard.press(keys)
        await expect(page.locator("#look-answer")).to_have_text("Saved.")
        (look,) = desk.looked
        assert (look.cone, look.clock, look.channel) == ("5", "2", "top")


async def test_what_is_filled_in_stays_while_readings_arrive(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await fill_in(page)
        six = desk.now.cones[1].model_copy(update={"cone": "8"})
        desk.read(31_000.0, cones=[desk.now.cones[0], six, desk.now.cones[2]])
        await expect(page.locator("#look-cones label")).to_have_text(["5", "8", "7"])
        for group, name in (("cones", "5"), ("tips", "4"), ("channels", "middle")):
            await expect(choice(page, group, name)).to_be_checked()


async def test_a_look_that_is_tried_again_is_the_same_look_and_as_old_as_it_is(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(speed=60.0)
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.clock.install()
        await page.goto(server.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        await fill_in(page)
        desk.record_is_broken = True
        save = page.get_by_role("button", name="Save what I saw")
        await save.tap()
        await expect(page.locator("#look-answer")).to_contain_text("Not saved: The record")
        desk.record_is_broken = False
        sent: list[dict[str, Any]] = []

        def hear(request: Request) -> None:
            if request.method == "POST":
                sent.append(json.loads(request.post_data or ""))

        page.on("request", hear)
        await page.clock.run_for(4_000)
        await save.tap()
        await expect(page.locator("#look-answer")).to_have_text("Saved.")
        (again,) = sent
        # Four real seconds at 60 times are four minutes of the firing.
        assert 4.0 <= again["minutes_ago"] < 5.0
        await context.close()


async def test_an_offset_that_could_not_be_accepted_says_so(
    browser: Browser, desk: FakeDesk
) -> None:
    await desk.add_look(LookRequest(**LOOK))
    desk.record_is_broken = True
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        button = page.get_by_role("button", name="from now on, beside middle")
        await button.tap()
        await expect(page.locator("#offset-problem")).to_have_text(
            "Not done: The record can't be written: the disk is full."
        )
        await expect(button).to_be_enabled()
        await expect(page.locator("#cones-note")).to_contain_text("uncorrected")


async def test_a_proposal_says_when_it_is_nothing_another_or_too_much(
    browser: Browser, desk: FakeDesk
) -> None:
    small = ESTIMATE.model_copy(update={"offset_c": -0.4})
    large = ESTIMATE.model_copy(update={"offset_c": -25.0, "observations": 1, "firings": 3})
    desk.change(
        offsets=[
            ChannelOffset(channel="top", estimate=small),
            ChannelOffset(
                channel="middle",
                estimate=large,
                is_proposed=True,
                is_too_far=True,
                in_force=Correction(offset_c=2.0, sigma_c=3.0),
            ),
            ChannelOffset(channel="bottom", in_force=Correction(offset_c=1.0, sigma_c=3.0)),
        ]
    )
    async with serving(desk) as server, opened(browser, server) as page:
        top, middle, bottom = (page.locator("#offset-list li").nth(n) for n in range(3))
        await expect(top).to_contain_text(re.compile("say 0.°C.*nothing to correct yet"))
        await expect(top.get_by_role("button")).to_have_count(0)
        await expect(middle).to_contain_text("from 1 look at a cone in 3 firings")
        await expect(middle).to_contain_text("look at the probe, its place")
        await expect(middle.get_by_role("button")).to_have_text(
            [f"Use \u221225{THIN}°C instead", f"Stop using +2{THIN}°C"]
        )
        await expect(bottom).to_contain_text(f"+1{THIN}°C is in use.")


async def test_a_look_that_cannot_be_says_why_beside_it(browser: Browser, desk: FakeDesk) -> None:
    look = await desk.add_look(LookRequest(**LOOK))
    async with serving(desk) as server, opened(browser, server) as page:
        row = page.locator("#look-list li")
        await expect(row).to_contain_text("Cone 5 at 4 o'clock")
        await expect(row.locator("p")).to_have_count(2)
        doubt = "Cone 5 can't have been “4”: it does not count."
        desk.change(witness=[look.model_copy(update={"doubt": doubt})])
        await expect(row.locator("p")).to_have_count(3)
        await expect(row).to_contain_text(doubt)


async def test_in_a_kiln_with_one_thermocouple_it_is_not_asked_for(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        desk.change(
            channels=desk.now.channels[1:2],
            offsets=[ChannelOffset(channel="middle", estimate=ESTIMATE, is_proposed=True)],
        )
        await expect(page.locator("#channels li")).to_have_count(1)
        await page.get_by_text("What do the real cones show?").tap()
        await expect(page.locator("#look-channel-set")).to_be_hidden()
        await expect(page.locator("#offset-list")).not_to_contain_text("Beside")
        await choose(page, "cones", "5")
        await choose(page, "tips", "12, upright")
        await page.get_by_role("button", name="Save what I saw").tap()
        await expect(page.locator("#look-answer")).to_have_text("Saved.")
        assert desk.looked[0].channel is None


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
async def test_it_is_readable_large_enough_for_thumbs_and_not_in_the_way(
    browser: Browser, desk: FakeDesk, tmp_path: Path, scheme: str, width: int
) -> None:
    await desk.add_look(LookRequest(**LOOK, shelf="unbroken" * 20))
    viewport = {"width": width, "height": 844}
    async with (
        serving(desk) as server,
        opened(browser, server, color_scheme=scheme, viewport=viewport) as page,
    ):
        for part in ("#verdict-title", "#lead-temp"):
            await expect(page.locator(part)).to_be_in_viewport(ratio=1.0)
        await page.locator("#cone-otherwise summary").tap()
        await fill_in(page)
        await page.screenshot(path=tmp_path / f"cones-{width}-{scheme}.png", full_page=True)
        assert await page.evaluate("document.documentElement.scrollWidth") == width
        assert await page.evaluate(CONTRAST) == []
        targets = page.locator("#witness :is(button, select, summary, .choice, input[type=text])")
        for target in await targets.all():
            size = await target.bounding_box()
            assert size is not None
            assert min(size["width"], size["height"]) >= 44
