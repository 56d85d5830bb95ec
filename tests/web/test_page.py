"""The page in a real browser, as a potter holds it: what is shown, and what happens on a tap."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Error, Page, expect

from supervisor.core.events import Severity
from supervisor.core.units import Unit
from supervisor.core.watch import Activity
from supervisor.core.watch.sentence import ON_TIME_S, STILL_C_PER_H
from tests.web.contrast import SCRIPT as CONTRAST
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.opening import DESK, PHONE, Opened, opened
from tests.web.serving import serving
from web.models import (
    ChannelState,
    Firing,
    FiringState,
    Mode,
    MqttState,
    RecordState,
)

pytestmark = pytest.mark.browser

XSS = '<img src=x onerror="window.broken=1"><script>window.broken=1</script>'


async def test_the_sentence_comes_first_with_all_the_rest_below(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        await expect(page.locator("#verdict-sentence")).to_have_text(desk.now.sentence_c)
        await expect(page.locator("#kiln")).to_have_text("Shed kiln")
        await expect(page.locator("#age")).to_have_text(
            re.compile(r"^last reading \d+\u202fs\u00a0ago$")
        )
        await expect(page.locator("#lead-temp")).to_have_text("1,133\u202f°C")
        await expect(page.locator("#spread")).to_have_text("25\u202f°C")
        await expect(page.locator("#plan-where")).to_have_text("Step 3 of 4")
        await expect(page.locator("#plan-doing")).to_have_text("climbing to 1,222\u202f°C")
        await expect(page.locator("#plan-late")).to_have_text("7\u202fmin behind plan")
        await expect(page.locator("#plan-end")).to_contain_text("Ends about 12:10")
        cones = page.locator("#cone-pack li")
        await expect(cones).to_have_count(3)
        await expect(cones.nth(1)).to_contain_text("Cone 6 target")
        await expect(cones.nth(1)).to_contain_text("31\u202f%")
        await expect(cones.nth(1)).to_contain_text("about 05:30")
        await expect(page.locator("#cones")).to_contain_text("the witness cones decide")
        await expect(page.locator("footer")).to_contain_text("it can't switch the kiln off")
        await expect(page.locator("#not-live")).to_be_hidden()
        await expect(page.locator("#alerts")).to_be_hidden()
        order = await page.evaluate(
            "[...document.querySelectorAll('.view > section, footer')]"
            ".map(e => e.id || e.tagName).join(' ')"
        )
        assert order == "verdict alerts temps chart plan cones witness notes log FOOTER"


async def test_a_reading_arrives_without_being_asked_for(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        desk.read(
            30_660.0,
            {"top": 1150.0, "middle": 1140.0, "bottom": 1130.0},
            sentence_c="Climbing 71 °C an hour.",
        )
        await expect(page.locator("#lead-temp")).to_have_text("1,140\u202f°C")
        await expect(page.locator("#verdict-sentence")).to_have_text("Climbing 71 °C an hour.")
        # Files, and what the chart is told of the way ahead, may come late on a busy machine.
        assert [url for url in asked if "/api/" in url and "/api/course" not in url] == []


async def test_an_alert_appears_and_is_acknowledged(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        info = stall_alert("a2", kind="lagging", severity=Severity.INFO, message="A little late.")
        desk.change(alerts=[stall_alert(), info])
        await expect(page.locator("#verdict-title")).to_have_text("Go and look")
        await expect(page).to_have_title("Go and look – Shed kiln")
        worst = page.locator("#alert-list li").first
        await expect(worst).to_contain_text("The kiln has stopped climbing (middle)")
        await expect(worst).to_contain_text("Look at the elements")
        await expect(worst).to_contain_text("since 04:00")
        button = worst.get_by_role("button", name="Acknowledge")
        size = await button.bounding_box()
        assert size is not None
        assert size["height"] >= 56
        assert size["width"] > 280
        await button.tap()
        await expect(page.locator("#verdict-title")).to_have_text("Trouble you know of")
        await expect(page.locator("#alert-list")).to_contain_text("Acknowledged 04:00")
        assert desk.acknowledged == [("a1", None)]
        # The information still wants a look and so moves up.
        await expect(page.locator("#alert-list li").first).to_contain_text("A little late.")
        await page.get_by_role("button", name="Acknowledge").tap()
        await expect(page.locator("#alert-list .alert-seen")).to_have_count(2)
        await expect(page.get_by_role("button", name="Acknowledge")).to_have_count(0)
        desk.change(alerts=[])
        await expect(page.locator("#alerts")).to_be_hidden()
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")


async def test_a_critical_alert_says_go_now(browser: Browser, desk: FakeDesk) -> None:
    desk.change(alerts=[stall_alert(severity=Severity.CRITICAL, kind="something_new")])
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#verdict-title")).to_have_text("Go to the kiln now")
        await expect(page.locator("#alert-list")).to_contain_text("Critical")
        await expect(page.locator("#alert-list h3")).to_have_text("Something to look at (middle)")
        await expect(page.locator(".alert-told")).to_have_count(0)
        alert = stall_alert(reminders=1, reminded_at="2025-03-15T04:05:10+01:00")
        desk.change(alerts=[alert])
        await expect(page.locator(".alert-told")).to_have_text("Reminded once, last at 04:05.")
        told_others = {"reminders": 3, "escalated_at": "2025-03-15T04:15:00+01:00"}
        desk.change(alerts=[alert.model_copy(update=told_others)])
        await expect(page.locator(".alert-told")).to_have_text(
            "Reminded 3 times, last at 04:05. Nobody had answered by 04:15: told to others too."
        )
        noted = {**told_others, "acknowledged_at": "2025-03-15T04:16:00+01:00"}
        desk.change(alerts=[alert.model_copy(update=noted)])
        await expect(page.locator(".alert-was-seen")).to_have_text("Acknowledged 04:16")
        await expect(page.locator(".alert-told")).to_have_count(0)


async def test_the_button_stays_under_the_thumb_while_readings_arrive(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert()])
    async with serving(desk) as server, opened(browser, server) as page:
        button = await page.get_by_role("button", name="Acknowledge").element_handle()
        assert button is not None
        desk.read(31_000.0, {"top": 1_149.0, "middle": 1_140.0, "bottom": 1_130.0})
        await expect(page.locator("#lead-temp")).to_have_text("1,140\u202f°C")
        assert await button.evaluate("e => e.isConnected")


async def test_an_acknowledgement_that_is_not_recorded_says_so(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert()])
    desk.record_is_broken = True
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        await page.get_by_role("button", name="Acknowledge").tap()
        await expect(page.locator("#alert-list .problem")).to_have_text(
            "Not acknowledged: The record can't be written: the disk is full."
        )
        await expect(page.get_by_role("button", name="Acknowledge")).to_be_enabled()
        assert desk.acknowledged == []


async def test_a_note_is_saved_and_listed(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.get_by_label("What did you see or do?").fill("Damper in 2 cm")
        await page.get_by_role("button", name="Save note").tap()
        await expect(page.locator("#note-list")).to_contain_text("Damper in 2 cm")
        await expect(page.locator("#note-list")).to_contain_text("04:00")
        await expect(page.get_by_label("What did you see or do?")).to_have_value("")
        assert desk.written_notes == [("Damper in 2 cm", None)]


async def test_a_note_of_the_last_hours_is_taken_back_with_one_tap(
    browser: Browser, desk: FakeDesk
) -> None:
    late = await desk.add_note("Damper in 2 cm", "Ana")
    old = late.model_copy(update={"id": "77", "elapsed_s": late.elapsed_s - 13 * 3600.0})
    desk.change(notes=[*desk.now.notes, old])
    async with serving(desk) as server, opened(browser, server, locale="de-DE") as page:
        rows = page.locator("#note-list li")
        await page.get_by_role("button", name="Schauloch offen").tap()
        await expect(rows).to_have_count(3)
        await expect(page.locator("#note-quick-answer")).not_to_be_empty()
        buttons = rows.get_by_role("button")
        await expect(buttons).to_have_text(["Zurücknehmen"] * 2)
        size = await buttons.first.bounding_box()
        assert size is not None
        assert min(size["width"], size["height"]) >= 44
        await buttons.first.tap()
        await expect(rows).to_have_count(2)
        await expect(rows.first).to_contain_text("Damper in 2 cm")
        await expect(page.locator("#note-quick-answer")).to_be_empty()
        assert desk.withdrawn_notes == {2: None}


async def test_a_note_that_is_not_recorded_stays_in_the_field(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.record_is_broken = True
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        await page.get_by_label("What did you see or do?").fill("Cone 5 moves")
        await page.get_by_role("button", name="Save note").tap()
        await expect(page.locator("#note-answer")).to_contain_text("Not saved: The record")
        await expect(page.get_by_label("What did you see or do?")).to_have_value("Cone 5 moves")


async def test_what_people_and_messages_say_is_never_markup(
    browser: Browser, desk: FakeDesk
) -> None:
    await desk.add_note(XSS, XSS)
    desk.read(
        30_660.0,
        sentence_c=XSS,
        alerts=[stall_alert(XSS, kind=XSS, channel=XSS, message=XSS)],
        kiln=desk.now.kiln.model_copy(update={"name": XSS}),
        firing=Firing(id=XSS, name=XSS, started_at=XSS, state=FiringState.FIRING),
        channels=[
            desk.now.channels[0].model_copy(update={"name": f"{n}{XSS}", "fault": XSS})
            for n in range(3)
        ],
        cones=[desk.now.cones[0].model_copy(update={"cone": XSS})],
    )
    async with serving(desk) as server, opened(browser, server) as page:
        for place in ("#kiln", "#verdict-sentence", "#alert-list", "#note-list", "#cone-pack"):
            await expect(page.locator(place)).to_contain_text("<script>window.broken=1</script>")
        assert await page.evaluate("window.broken") is None
        assert await page.locator("img").count() == 0


async def test_the_policy_stops_a_script_even_if_one_got_in(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        refused = await page.evaluate(
            """() => ["textContent", "text", "src", "innerHTML"].filter((way) => {
              try {
                const script = document.createElement("script");
                script[way] = "window.broken = 1";
                document.body.append(script);
                return false;
              } catch (error) {
                return error instanceof TypeError;
              }
            })"""
        )
        assert refused == ["textContent", "text", "src", "innerHTML"]
        await page.evaluate(
            """() => {
              const script = document.createElement("script");
              script.append("window.broken = 1");
              document.body.append(script);
            }"""
        )
        assert await page.evaluate("window.broken") is None
        with pytest.raises(Error, match="TrustedHTML"):
            await page.evaluate("document.body.insertAdjacentHTML('beforeend', '<b>x</b>')")
        read = 'new DOMParser().parseFromString("<svg><g/></svg>", "image/svg+xml")'
        assert await page.evaluate(f"{read}.documentElement.tagName") == "svg"


@pytest.mark.parametrize(
    ("mode", "words"),
    [
        (Mode.SIMULATION, "Simulation at 60×: no real kiln"),
        (Mode.REPLAY, "Replay at 60×: not happening now"),
    ],
)
async def test_what_is_not_live_says_so_at_the_top(
    browser: Browser, desk: FakeDesk, mode: Mode, words: str
) -> None:
    desk.change(mode=mode, speed=60.0)
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#not-live")).to_have_text(words)
        await page.mouse.wheel(0, 3000)
        await expect(page.locator("#not-live")).to_be_in_viewport()
        await expect(page.locator("#age")).to_be_in_viewport()


async def test_fahrenheit_is_shown_everywhere_and_remembered(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.get_by_role("button", name="°F").tap()
        await check_fahrenheit(page, desk)
        await page.reload()
        await check_fahrenheit(page, desk)
        await page.get_by_role("button", name="°C").tap()
        await expect(page.locator("#lead-temp")).to_have_text("1,133\u202f°C")


async def check_fahrenheit(page: Page, desk: FakeDesk) -> None:
    await expect(page.locator("#lead-temp")).to_have_text("2,071\u202f°F")
    await expect(page.locator("#lead-rate")).to_have_text("climbing 127\u202f°F an hour")
    await expect(page.locator("#spread")).to_have_text("45\u202f°F")
    await expect(page.locator("#plan-doing")).to_have_text("climbing to 2,232\u202f°F")
    await expect(page.locator("#verdict-sentence")).to_have_text(desk.now.sentence_f)
    await expect(page.locator("main")).not_to_contain_text("°C")
    await expect(page.get_by_role("button", name="°F")).to_have_attribute("aria-pressed", "true")


async def test_the_owners_scale_is_shown_until_another_is_chosen(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(units=Unit.F)
    async with serving(desk) as server, opened(browser, server) as page:
        await check_fahrenheit(page, desk)


async def test_a_faulty_and_a_silent_channel_are_named_in_words(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.read(30_660.0, {"top": None, "middle": 1_134.0, "bottom": None})
    top, middle, bottom = desk.now.channels
    silent = bottom.model_copy(update={"state": ChannelState.SILENT, "fault": None})
    desk.change(channels=[top, middle, silent])
    async with serving(desk) as server, opened(browser, server) as page:
        rows = page.locator("#channels li")
        await expect(rows.nth(0)).to_contain_text("no value")
        await expect(rows.nth(0)).to_contain_text("probe, lead or terminal")
        await expect(rows.nth(2)).to_contain_text("Gives no value")


async def test_nothing_known_yet_is_shown_as_such(browser: Browser) -> None:
    desk = FakeDesk()
    desk.change(firing=None, reading_age_s=None, sentence_c="Waiting for the first reading.")
    async with serving(desk) as server:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        seen = Opened(page)
        await page.goto(server.url)
        await expect(page.locator("#verdict-title")).to_have_text("Waiting for the kiln")
        await expect(page.locator("#verdict-sentence")).to_have_text(
            "Waiting for the first reading."
        )
        await expect(page.locator("#age")).to_have_text("no reading yet")
        await expect(page.locator("#lead-temp")).to_have_text("no value")
        await expect(page.locator("#plan-where")).to_have_text("There is no plan to compare with.")
        await expect(page.locator("#cones")).to_be_hidden()
        await expect(page.locator("#firing")).to_have_text("No firing is being watched.")
        assert seen.complaints == []
        await context.close()


async def test_the_worst_alerts_button_is_at_the_thumb_however_long_its_message_is(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert(message="The kiln has all but stopped climbing. " * 20)])
    viewport = {"width": 360, "height": 740}
    async with serving(desk) as server, opened(browser, server, viewport=viewport) as page:
        button = page.get_by_role("button", name="Acknowledge")
        await expect(button).to_be_in_viewport(ratio=1.0)
        await button.tap()
        await expect(button).to_have_count(0)
        assert [alert for alert, _ in desk.acknowledged] == ["a1"]


async def test_peers_that_fail_are_named_in_the_footer(browser: Browser, desk: FakeDesk) -> None:
    desk.change(mqtt=MqttState.AWAY, record=RecordState.FAILING)
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#mqtt")).to_contain_text("the broker is away")
        await expect(page.locator("#record")).to_contain_text("CAN'T BE WRITTEN")
        await expect(page.locator("#notify")).to_be_hidden()
        who = "number 1 of notify.urls (mailtos://…)"
        desk.change(notify_failing=[who])
        await expect(page.locator("#notify")).to_have_text(
            f"Messages: NOT TAKEN by {who}; they are tried again"
        )
        desk.change(notify_failing=[])
        await expect(page.locator("#notify")).to_be_hidden()


async def test_a_disk_that_fills_is_told_and_in_every_view_once_it_is_urgent(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        room, strip = page.locator("#room"), page.locator("#not-recording")
        await expect(room).to_be_hidden()
        desk.change(room_left_h=1912.6)
        await expect(room).to_contain_text("room for about 1,912\u202fh of a firing")
        await expect(strip).to_be_hidden()
        desk.change(room_left_h=11.9)
        await expect(strip).to_contain_text("nearly full: room for 11\u202fh of a firing")
        await page.evaluate("location.hash = '#/replay'")
        await expect(strip).to_be_in_viewport()
        desk.change(record=RecordState.FAILING)
        await expect(strip).to_have_text(re.compile("^NOTHING IS BEING WRITTEN"))
        desk.change(record=RecordState.OK, room_left_h=None)
        await expect(strip).to_be_hidden()
        await page.get_by_role("button", name="Deutsch").tap()
        desk.change(room_left_h=2.0)
        await expect(strip).to_contain_text("Platz für 2\u202fh Brand")


async def test_cones_bend_as_the_work_grows(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        tips = await page.evaluate(
            """async () => {
              const { conePath } = await import("/static/cones.js");
              const points = (angle) => conePath(angle).match(/-?[\\d.]+ -?[\\d.]+/g)
                .map((point) => point.split(" ").map(Number));
              // The outline goes up the left side, over the tip and down the right side.
              const middle = (all, one, other) =>
                [0, 1].map((axis) => (all.at(one)[axis] + all.at(other)[axis]) / 2);
              return [8, 20, 40, 60, 75, 90].map((angle) => {
                const all = points(angle);
                const [x, y] = middle(all, all.length / 2 - 1, all.length / 2);
                return [angle, Math.atan2(x, -y) * 180 / Math.PI, -y];
              });
            }"""
        )
        for angle, drawn, _ in tips:
            assert drawn == pytest.approx(angle, abs=0.5), "the chord from foot to tip"
        heights = [height for _, _, height in tips]
        assert heights[0] > 70
        assert all(higher > lower for higher, lower in pairwise(heights))
        cones = [
            cone.model_copy(update={"work": 1.2, "down_at_s": 30_000.0}) for cone in desk.now.cones
        ]
        desk.change(cones=cones)
        await expect(page.locator("#cone-pack li").first).to_contain_text(
            re.compile("Cone\\s5 guide.*down.*at 03:50")
        )


@pytest.mark.parametrize("width", [320, 360, 412, 768, 1280])
async def test_nothing_makes_the_page_scroll_sideways(
    browser: Browser, desk: FakeDesk, width: int
) -> None:
    desk.change(
        alerts=[stall_alert(message="unbroken" * 40)],
        kiln=desk.now.kiln.model_copy(update={"name": "A kiln with a very long name " * 4}),
        sentence_c="Climbing " * 30,
        mode=Mode.SIMULATION,
        speed=3600.0,
    )
    await desk.add_note("x" * 2000, None)
    async with (
        serving(desk) as server,
        opened(browser, server, viewport={"width": width, "height": 800}) as page,
    ):
        assert await page.evaluate("document.documentElement.scrollWidth") == width


def complete(desk: FakeDesk) -> dict[str, Any]:
    """What the desk holds once the plan is complete."""
    assert desk.now.plan is not None
    assert desk.now.firing is not None
    ended = {"activity": Activity.FINISHED, "step": 4, "late_s": 30.0, "ends_in_s": 0.0}
    return {
        "plan": desk.now.plan.model_copy(update=ended),
        "firing": desk.now.firing.model_copy(update={"state": FiringState.FINISHED}),
        "sentence_c": "The plan is complete; cooling. Keep it shut until it is cool.",
    }


@pytest.mark.parametrize("temp_c", [101.0, 1_131.0, None])
async def test_a_hot_kiln_with_its_plan_complete_does_not_look_done(
    browser: Browser, desk: FakeDesk, temp_c: float | None
) -> None:
    desk.read(60_100.0, {"top": 40.0 if temp_c else None, "middle": temp_c, "bottom": None})
    desk.change(**complete(desk))
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#verdict-title")).to_have_text("The plan is complete")
        await expect(page.locator("#plan-doing")).to_have_text("the plan is complete")
        for part in ("#plan-late", "#plan-end"):
            await expect(page.locator(part)).to_be_hidden()
        await expect(page.locator("main")).not_to_contain_text(
            re.compile("finished|on time|is over|all well|no trouble", re.IGNORECASE),
            use_inner_text=True,
        )
        hot = await calm(page)
        desk.read(66_100.0, {"top": 60.0, "middle": 100.0, "bottom": 50.0})
        await expect(page.locator("body[data-level=finished]")).to_have_count(1)
        cold = await calm(page)
        assert hot[0] != cold[0], "the sign of a good end waits until the kiln is cold"
        assert hot[1] != cold[1], "so does its colour"


async def calm(page: Page) -> tuple[str | None, str]:
    """The verdict's sign and colour."""
    sign = await page.locator("#verdict-sign use").get_attribute("href")
    colour: str = await page.locator("#verdict").evaluate("e => getComputedStyle(e).background")
    return sign, colour


async def test_a_cone_that_will_not_come_is_not_expected(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        guard = page.locator("#cone-pack li").nth(2)
        await expect(guard).to_contain_text("no time yet")
        desk.change(**complete(desk))
        await expect(guard).to_contain_text("not expected")
        await expect(page.locator("#cone-pack")).not_to_contain_text("no time yet")


async def test_a_closed_firing_says_plainly_that_nothing_is_recorded(
    browser: Browser, desk: FakeDesk
) -> None:
    assert desk.now.firing is not None
    closed = desk.now.firing.model_copy(update={"state": FiringState.FINISHED})
    async with serving(desk) as server, opened(browser, server) as page:
        strip = page.locator("#not-recording")
        await expect(strip).to_be_hidden()
        desk.change(recording=False, firing=closed)
        await expect(strip).to_have_text("Not recording: this firing is closed")
        await page.mouse.wheel(0, 3000)
        await expect(strip).to_be_in_viewport()
        # Its plan was never completed, so the page must not say that it was.
        await expect(page.locator("#verdict-title")).to_have_text("This firing is closed")
        desk.change(mode=Mode.REPLAY)
        await expect(page.locator("#not-live")).to_be_visible()
        await expect(strip).to_be_hidden()


async def test_the_panels_call_on_time_and_steady_what_the_sentence_does(
    browser: Browser, desk: FakeDesk
) -> None:
    assert desk.now.plan is not None
    middle = desk.now.channels[1]
    async with serving(desk) as server, opened(browser, server) as page:
        for by, late, rate in (
            (-0.01, "On time", "steady"),
            (0.01, "3\u202fmin behind plan", "climbing 5\u202f°C an hour"),
        ):
            desk.change(
                plan=desk.now.plan.model_copy(update={"late_s": ON_TIME_S + by}),
                channels=[
                    middle.model_copy(update={"name": name, "rate_c_per_h": STILL_C_PER_H + by})
                    for name in ("top", "middle", "bottom")
                ],
            )
            await expect(page.locator("#plan-late")).to_have_text(late)
            await expect(page.locator("#lead-rate")).to_have_text(rate)


LOOKS = ["fine", "look", "go", "seen", "blind", "cooling", "finished", "closed"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "desktop"])
async def test_every_state_is_readable_day_and_dark(
    browser: Browser, desk: FakeDesk, tmp_path: Path, scheme: str, size: str
) -> None:
    await desk.add_note("Damper in 2 cm.", "Ana")
    info = stall_alert("a9", severity=Severity.INFO, kind="lagging")
    looks: dict[str, dict[str, Any]] = {
        "fine": {"alerts": []},
        "look": {"alerts": [stall_alert(), info], "mode": Mode.SIMULATION, "speed": 60.0},
        "go": {"alerts": [stall_alert(severity=Severity.CRITICAL)], "mqtt": MqttState.AWAY},
        "seen": {"alerts": [stall_alert(acknowledged_at="2025-03-15T04:05:00+01:00")]},
        "blind": {"stale": True, "record": RecordState.FAILING},
    }
    assert desk.now.firing is not None
    closed = desk.now.firing.model_copy(update={"state": FiringState.FINISHED})
    calm: dict[str, Any] = {"alerts": [], "stale": False, "mode": Mode.LIVE}
    looks["closed"] = calm | {"recording": False, "firing": closed, "plan": desk.now.plan}
    looks["cooling"] = calm | complete(desk)
    desk.read(30_660.0, {"top": 1140.0, "middle": 1131.0, "bottom": None})
    cold = [channel.model_copy(update={"temp_c": 40.0}) for channel in desk.now.channels]
    looks["finished"] = calm | complete(desk) | {"channels": cold}
    shape = PHONE if size == "phone" else DESK
    async with (
        serving(desk) as server,
        opened(browser, server, color_scheme=scheme, **shape) as page,
    ):
        signs = set()
        for look in LOOKS:
            desk.change(**looks[look])
            await expect(page.locator(f"body[data-level={look}]")).to_have_count(1)
            signs.add(await page.locator("#verdict-sign use").get_attribute("href"))
            await page.screenshot(path=tmp_path / f"{size}-{scheme}-{look}.png", full_page=True)
            faint = await page.evaluate(CONTRAST)
            assert faint == [], f"texts below WCAG AA in {scheme}, {look}"
        assert len(signs) == len(LOOKS), "every state has a shape of its own"
