"""The page in a real browser, as a potter holds it: what is shown, and what happens on a tap."""

from __future__ import annotations

import contextlib
import re
from collections.abc import AsyncIterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Page, expect

from supervisor.core.events import Severity
from supervisor.core.units import Unit
from tests.web.contrast import SCRIPT as CONTRAST
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.serving import Line, Serving, line_to, serving
from web.models import ChannelState, Firing, FiringState, Mode, MqttState, RecordState

pytestmark = pytest.mark.browser

PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 800}, "has_touch": True}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}}
XSS = '<img src=x onerror="window.broken=1"><script>window.broken=1</script>'


@pytest.fixture
def desk() -> FakeDesk:
    desk = FakeDesk()
    desk.fill(30_600)
    desk.read(30_630.0, {"top": 1_142.0, "middle": 1_133.0, "bottom": 1_117.0})
    return desk


class Opened:
    """A page, and all it asked for and complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on(
            "console",
            lambda message: (
                self.complaints.append(message.text)
                if message.type in ("error", "warning")
                else None
            ),
        )


@contextlib.asynccontextmanager
async def opened(
    browser: Browser, server: Serving | Line, *, quiet: bool = True, **context: Any
) -> AsyncIterator[Page]:
    """The page, opened; at the end it has asked nobody else, and complained of nothing."""
    where = await browser.new_context(**(PHONE | context))
    page = await where.new_page()
    seen = Opened(page)
    await page.goto(server.url)
    await expect(page.locator("#channels li")).to_have_count(3)
    yield page
    await where.close()
    assert [url for url in seen.asked if not url.startswith(f"{server.url}/")] == []
    if quiet:
        assert seen.complaints == []


async def test_the_sentence_comes_first_with_all_the_rest_below(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        await expect(page.locator("#verdict-sentence")).to_have_text(desk.now.sentence_c)
        await expect(page.locator("#kiln")).to_have_text("Shed kiln")
        await expect(page.locator("#age")).to_have_text(
            re.compile(r"^last reading \d+\u202fs ago$")
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
            "[...document.querySelectorAll('main > section, footer')]"
            ".map(e => e.id || e.tagName).join(' ')"
        )
        assert order == "verdict alerts temps chart plan cones notes FOOTER"


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
        assert asked == []


async def test_the_chart_is_drawn_grows_and_shows_gaps(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#chart-box canvas")).to_have_count(1)
        await expect(page.locator("#chart-box")).to_have_attribute(
            "aria-label", re.compile("middle 1,133")
        )
        before = await drawn(page)
        assert before > 500, "lines and axes leave their ink"
        desk.read(52_000.0, {"top": 900.0, "middle": 890.0, "bottom": 880.0})
        await expect(page.locator("#lead-temp")).to_have_text("890\u202f°C")
        await page.wait_for_timeout(200)  # one frame of the browser, which has no clock of ours
        await page.locator("#chart-box .u-over").hover(position={"x": 200, "y": 60})
        await expect(page.locator("#chart-readout")).to_have_text(re.compile(r"^\d\d:\d\d: plan "))
        readout = await page.locator("#chart-readout").text_content()
        assert "middle" not in (readout or ""), "there is no reading in the gap under the pointer"


async def drawn(page: Page) -> int:
    """How many pixels of the chart's canvas are not blank."""
    count: int = await page.evaluate(
        """() => {
          const canvas = document.querySelector("#chart-box canvas");
          const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
          let ink = 0;
          for (let i = 3; i < data.length; i += 4) if (data[i]) ink += 1;
          return ink;
        }"""
    )
    return count


async def test_points_that_overtake_the_chart_are_not_lost_and_too_many_are_thinned(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        rows = await page.evaluate(
            """async () => {
              const { FiringChart } = await import("/static/chart.js");
              const box = document.createElement("div");
              document.body.append(box);
              let full = 0;
              const readout = document.createElement("p");
              const chart = new FiringChart(box, readout, () => { full += 1; }, () => {});
              const points = (from, count) => {
                const elapsed_s = Array.from({ length: count }, (_, row) => from + row);
                return { elapsed_s, channels: { top: elapsed_s.map(() => 500) }, revision: 1 };
              };
              const fresh = () => ({
                ...points(0, 10),
                plan: { elapsed_s: [], temp_c: [] },
                start_time: null,
                chart_revision: 0,
              });
              chart.add(points(8, 4));
              chart.show(fresh());
              const early = [...chart.chart.elapsed_s];
              chart.add(points(10, 3000));
              const { length } = chart.chart.elapsed_s;
              const fullAfterMany = full;
              chart.show({ ...fresh(), chart_revision: 1 });
              box.remove();
              return { early, length, fullAfterMany, otherFiring: chart.chart.elapsed_s.length };
            }"""
        )
        assert rows["early"] == list(range(12))
        assert rows["length"] == 3_010
        assert rows["fullAfterMany"] == 1
        assert rows["otherFiring"] == 10


async def test_dragging_looks_closer_and_one_tap_shows_the_whole_firing(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, **DESK) as page:
        whole = page.locator("#chart-whole")
        await expect(whole).to_be_disabled()
        box = await page.locator("#chart-box .u-over").bounding_box()
        assert box is not None
        await page.mouse.move(box["x"] + 100, box["y"] + 50)
        await page.mouse.down()
        await page.mouse.move(box["x"] + 220, box["y"] + 60, steps=4)
        await page.mouse.up()
        await expect(whole).to_be_enabled()
        await whole.click()
        await expect(whole).to_be_disabled()


async def test_two_fingers_look_closer_and_one_still_scrolls_the_page(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        await page.locator("#chart-box").scroll_into_view_if_needed()
        box = await page.locator("#chart-box .u-over").bounding_box()
        assert box is not None
        touch = await page.context.new_cdp_session(page)
        middle = box["x"] + box["width"] / 2
        y = box["y"] + box["height"] / 2

        async def fingers(kind: str, *xs: float) -> None:
            await touch.send(
                "Input.dispatchTouchEvent",
                {
                    "type": kind,
                    "touchPoints": [{"x": x, "y": y, "id": n} for n, x in enumerate(xs)],
                },
            )

        await fingers("touchStart", middle - 20, middle + 20)
        for apart in range(25, 100, 5):
            await fingers("touchMove", middle - apart, middle + apart)
        await fingers("touchEnd")
        await expect(page.locator("#chart-whole")).to_be_enabled()
        style = await page.locator("#chart-box .u-over").evaluate(
            "e => getComputedStyle(e).touchAction"
        )
        assert style == "pan-y"


async def test_an_alert_appears_and_is_acknowledged(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        info = stall_alert("a2", kind="lagging", severity=Severity.INFO, message="A little late.")
        desk.change(alerts=[stall_alert(), info])
        await expect(page.locator("#verdict-title")).to_have_text("Go and look")
        await expect(page).to_have_title("Go and look – Shed kiln")
        worst = page.locator("#alert-list li").first
        await expect(worst).to_contain_text("The kiln has stopped climbing (middle)")
        await expect(worst).to_contain_text("look at the elements")
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
        await page.evaluate(
            """() => {
              const script = document.createElement("script");
              script.textContent = "window.broken = 1";
              document.body.append(script);
            }"""
        )
        assert await page.evaluate("window.broken") is None


async def test_a_daemon_that_ends_on_purpose_is_said_to_be_stopped(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        desk.close()
        await expect(page.locator("#verdict-title")).to_have_text("spyhole has been stopped")
        await expect(page.locator("#verdict-last")).to_have_text(
            f"Last known: {desk.now.sentence_c}"
        )


async def test_a_lost_link_is_unmistakable_and_a_restart_mends_it(
    browser: Browser, desk: FakeDesk
) -> None:
    again = FakeDesk()
    again.fill(32_400)
    again.read(32_430.0, {"top": 1_165.0, "middle": 1_157.0, "bottom": 1_140.0})
    async with (
        serving(desk) as server,
        serving(again) as restarted,
        line_to(server) as line,
        opened(browser, line, quiet=False) as page,
    ):
        await line.cut()
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        await expect(page.locator("#verdict-sentence")).to_contain_text("look at the kiln yourself")
        await expect(page.locator("#verdict-last")).to_contain_text("Last known: Climbing 70")
        await expect(page).to_have_title("No link to spyhole – Shed kiln")
        assert await page.evaluate("document.body.dataset.level") == "blind"
        age = await page.locator("#age").text_content()
        await expect(page.locator("#age")).not_to_have_text(age or "")  # it goes on ageing

        charts: list[str] = []
        page.on("request", lambda r: charts.append(r.url) if "/api/chart" in r.url else None)
        await line.lay(restarted.port)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen", timeout=9_000)
        await expect(page.locator("#lead-temp")).to_have_text("1,157\u202f°C")
        await expect(page.locator("#verdict-last")).to_be_hidden()
        assert len(charts) == 1, "the chart is fetched anew, once"


async def test_a_silent_network_is_noticed_by_the_phones_own_clock(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, line_to(server) as line:
        context = await browser.new_context(**PHONE)
        page = await context.new_page()
        await page.clock.install()
        await page.goto(line.url)
        await expect(page.locator("#channels li")).to_have_count(3)
        line.silence()
        await page.clock.run_for(11_000)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        await page.clock.run_for(5_000)
        await expect(page.locator("#verdict-title")).to_have_text("No link to spyhole")
        await expect(page.locator("#age")).to_have_text(
            re.compile("last reading 1[6-9]\u202fs ago")
        )
        await context.close()


async def test_readings_that_stop_are_stale_though_the_link_stands(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        desk.change(stale_after_s=1.0)
        await expect(page.locator("#verdict-title")).to_have_text("No fresh readings")
        await expect(page.locator("#verdict-sentence")).to_contain_text("converter and its wiring")
        desk.read(30_690.0, stale_after_s=60.0)
        await expect(page.locator("#verdict-title")).to_have_text("No trouble seen")
        desk.change(stale=True)
        await expect(page.locator("#verdict-title")).to_have_text("No fresh readings")


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


async def test_peers_that_fail_are_named_in_the_footer(browser: Browser, desk: FakeDesk) -> None:
    desk.change(mqtt=MqttState.AWAY, record=RecordState.FAILING)
    async with serving(desk) as server, opened(browser, server) as page:
        await expect(page.locator("#mqtt")).to_contain_text("the broker is away")
        await expect(page.locator("#record")).to_contain_text("CAN'T BE WRITTEN")


async def test_cones_bend_as_the_work_grows(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        tips = await page.evaluate(
            """async () => {
              const { conePath } = await import("/static/cones.js");
              const ys = (work) =>
                conePath(work).match(/-?[\\d.]+ -?[\\d.]+/g).map((point) => +point.split(" ")[1]);
              const height = (work) => -Math.min(...ys(work));
              return [0, 0.25, 0.5, 0.75, 1, 3].map(height);
            }"""
        )
        assert tips[0] > 70
        assert all(higher > lower for higher, lower in pairwise(tips[:5]))
        assert tips[5] == tips[4]
        cones = [
            cone.model_copy(update={"work": 1.2, "down_at_s": 30_000.0}) for cone in desk.now.cones
        ]
        desk.change(cones=cones)
        await expect(page.locator("#cone-pack li").first).to_contain_text(
            re.compile("Cone 5 guide.*down.*at 03:50")
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


LOOKS = ["fine", "look", "go", "seen", "blind"]


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
    desk.read(30_660.0, {"top": 1140.0, "middle": 1131.0, "bottom": None})
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
