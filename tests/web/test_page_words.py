"""The page's texts: two languages that say the same, and wording from figures that the core agrees
with."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Page, expect

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.report import names
from supervisor.core.trends import TrendKind
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.sentence import LOOK_WITHIN_S, sentence
from supervisor.core.watch.status import WatchStatus
from supervisor.core.watch.wording import Words
from supervisor.service import shapes
from tests.core.watch.test_every_detector import CHANNELS, EVENTFUL, eventful, whole
from tests.web.fake_desk import START_TIME, FakeDesk, stall_alert
from tests.web.opening import opened
from tests.web.serving import serving
from tests.web.test_page_files import SCRIPTS, STATIC
from web.models import Alert, Snapshot

pytestmark = pytest.mark.browser

COMPARE = """
async ([folder, other]) => {
  const [{ words: en }, { words: there }] = await Promise.all(
    ["en", other].map((language) => import(`/static/words/${folder}${language}.js`)));
  // Every text is called with marks, and must give all of them back in both languages.
  const MARKS = ["<1>", "<2>", "<3>", "<4>", "<5>"];
  const shape = (texts, path, found) => {
    for (const [key, text] of Object.entries(texts)) {
      const at = `${path}.${key}`;
      if (typeof text === "object") shape(text, at, found);
      else if (typeof text === "string") found[at] = text.trim() ? "text" : "EMPTY";
      else {
        const said = text(...MARKS.slice(0, text.length));
        found[at] = MARKS.filter((mark) => said.includes(mark)).join("") || "NONE";
      }
    }
    return found;
  };
  return [shape(en, "words", {}), shape(there, "words", {})];
}
"""

FOLDERS = sorted(file.parent for file in (STATIC / "words").rglob("en.js"))
"""The shell's texts with the first view's, and each other view's."""
OTHERS = sorted({file.stem for file in (STATIC / "words").glob("*.js")} - {"en"})


async def test_every_language_has_the_same_texts_with_the_same_gaps(
    browser: Browser, desk: FakeDesk
) -> None:
    counts = {}
    async with serving(desk) as server, opened(browser, server) as page:
        for folder in FOLDERS:
            below = "".join(f"{part}/" for part in folder.relative_to(STATIC / "words").parts)
            assert sorted(file.stem for file in folder.glob("*.js")) == sorted(["en", *OTHERS])
            for other in OTHERS:
                english, there = await page.evaluate(COMPARE, [below, other])
                counts[below] = len(english)
                assert english == there, f"{below}{other}.js"
                assert "EMPTY" not in english.values()
                without = {path for path, gaps in english.items() if gaps == "NONE"}
                assert without <= {"words.time.hours"}, "a text that takes something shows it"
    assert counts[""] > 150
    assert all(count > 0 for count in counts.values())


NAMES = """
async () => {
  const [{ words: log }, { words: unload }] = await Promise.all(
    ["log", "unload"].map((view) => import(`/static/words/${view}/en.js`)));
  const { load, glazes, result } = unload.told;
  return {
    headings: ["steps", "cones", "ware", "happened", "unloaded"].map((part) => log[part].heading),
    notes: log.written.notes, found: log.unloaded.found, topics: log.unloaded.topics,
    told: { load, glazes, result }, amounts: unload.ware.level,
    within: log.ware.within("50"), tooFast: log.ware.tooFast("60", "50"),
  };
}
"""


async def test_page_and_report_have_one_name_for_a_thing(browser: Browser, desk: FakeDesk) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        said = await page.evaluate(NAMES)
    assert said["headings"] == [
        *(names.STEPS, names.CONES, names.WARE, names.WARNED_OF, names.ACCOUNTS)
    ]
    assert (said["notes"], said["found"]) == (names.NOTES, names.FOUND)
    assert said["topics"] == names.TOPICS
    assert said["told"] == {topic: names.TOPICS[topic] for topic in said["told"]}
    assert said["amounts"] == {str(level): text for level, text in names.AMOUNTS.items()}
    assert names.ADVISABLE in said["within"]
    assert names.ADVISABLE in said["tooFast"]


def test_texts_lie_where_a_view_asks_for_them() -> None:
    """A folder of texts has its view, whose own `words.js` gives them and nothing else; but for
    the reasons, which any view may have to give."""
    views = [folder for folder in FOLDERS[1:] if folder.name != "whys"]
    assert "./words/whys/" in SCRIPTS["whys.js"]
    for folder in views:
        assert f"../../words/{folder.name}/" in SCRIPTS[f"views/{folder.name}/words.js"]
    asked = [name for name in SCRIPTS if re.fullmatch(r"views/\w+/words\.js", name)]
    assert [Path(name).parent.name for name in sorted(asked)] == [one.name for one in views]


def test_the_walk_to_the_cones_begins_where_the_core_says() -> None:
    found = re.search(r"const LOOK_WITHIN_S = (\d+);", SCRIPTS["sentence.js"])
    assert found is not None
    assert float(found[1]) == LOOK_WITHIN_S


def label(elapsed_s: float) -> str:
    return (datetime.fromisoformat(START_TIME) + timedelta(seconds=elapsed_s)).isoformat()


def clock_time(elapsed_s: float) -> str:
    return label(elapsed_s)[11:16]


def snapshot_of(status: WatchStatus, base: Snapshot) -> dict[str, Any]:
    """What the page is sent of that status, as far as the sentence needs it."""
    shown = base.model_copy(
        update={
            "temp_c": status.temp_c,
            "rate_c_per_h": status.rate_c_per_h,
            "elapsed_s": status.elapsed_s,
            "time": label(status.elapsed_s),
            "plan": shapes.plan_shape(status),
            "cones": [shapes.cone_shape(cone) for cone in status.cones],
            "correction": shapes.correction_shape(status.correction),
        }
    )
    return json.loads(shown.model_dump_json())  # type: ignore[no-any-return]


def statuses() -> list[WatchStatus]:
    """The kiln every quarter of an hour of a firing in which nearly everything happens."""
    watch = Watch(EVENTFUL, CHANNELS, WatchSettings(limit_c=1010.0))
    found = [watch.status()]
    for reading in eventful():
        watch.feed(reading)
        if reading.elapsed_s - found[-1].elapsed_s >= 900.0:
            found.append(watch.status())
    return found


def far_off(status: WatchStatus, in_s: float) -> WatchStatus:
    """The same kiln, whose next cone is not expected before so long."""
    cone = next(cone for cone in status.cones if cone.forecast is not None)
    assert cone.forecast is not None
    late = replace(cone.forecast, expected_s=in_s, earliest_s=None, latest_s=None)
    return replace(status, cones=(replace(cone, down_at_s=None, forecast=late),))


WORD = """
async ([snapshots, unit]) => {
  const { worded } = await import("/static/sentence.js");
  return snapshots.map((snapshot) => worded(snapshot, unit));
}
"""


def plain(text: str) -> str:
    return re.sub(r"[\u00a0\u202f]", " ", text)


async def test_the_page_words_the_sentence_as_the_core_does(
    browser: Browser, desk: FakeDesk
) -> None:
    kept = statuses()
    kept += [
        far_off(status, in_s) for status in kept[20:21] for in_s in (43_199.4, 43_200.0, 99_000.0)
    ]
    sent = [snapshot_of(status, desk.now) for status in kept]
    async with serving(desk) as server, opened(browser, server) as page:
        for unit in Unit:
            said = await page.evaluate(WORD, [sent, unit.value])
            expected = [sentence(status, Words(unit), clock_time) for status in kept]
            assert [plain(text) for text in said] == expected
    text = " ".join(expected)
    for part in (
        "Climbing",
        "Holding",
        "Cooling",
        "The plan is complete",
        ", between ",
        ", in 28 h",
    ):
        assert part in text


def alert_of(n: int, event: Event) -> Alert:
    return Alert(
        id=f"e{n}",
        kind=event.kind.value,
        severity=event.severity,
        channel=event.channel,
        message=event.message,
        data=dict(event.data),
        raised_at_s=event.elapsed_s,
        time=label(event.elapsed_s),
    )


SAY = """
async ([alerts, kilns, unit]) => {
  const { worded } = await import("/static/saying.js");
  return alerts.flatMap((alert) => kilns.map((kiln) => [alert.kind, worded(alert, kiln, unit)]));
}
"""
NOT_AN_ALERT = {Kind.STEP_BEGUN, Kind.PHASE_BEGUN}


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_every_alert_of_an_eventful_firing_is_worded_from_its_figures(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    raised = [event for event in whole(eventful()) if event.state is State.RAISED]
    told = [event for event in raised if event.kind not in NOT_AN_ALERT]
    trends: list[dict[str, Value]] = [
        {"trend": kind.value, "is_short": False} for kind in TrendKind
    ]
    trends.append({"trend": "climb", "is_short": True})
    told += [
        Event(9.0, Kind.TREND, Severity.INFO, State.RAISED, "it changes", data=data)
        for data in trends
    ]
    left: dict[str, Value] = {"hot": "top", "cold": "bottom", "apart_c": 30.0, "left_c": 22.0}
    told.append(
        Event(9.0, Kind.UNEVEN, Severity.WARNING, State.RAISED, "one zone stands", data=left)
    )
    assert {event.kind for event in told} == set(Kind) - NOT_AN_ALERT
    alerts = [json.loads(alert_of(n, event).model_dump_json()) for n, event in enumerate(told)]
    kilns = ["electric", "gas", "wood", "raku"]
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        for unit, other in (("C", "°F"), ("F", "°C")):
            said = await page.evaluate(SAY, [alerts, kilns, unit])
            assert [kind for kind, text in said if text is None] == []
            texts = [plain(text) for _, text in said]
            assert [text for text in texts if other in text or "undefined" in text] == []
            assert all(text.endswith(".") and "  " not in text for text in texts)
        english = [text for text in texts if re.search(r"\b(the|kiln|look)\b", text)]
        assert (english == []) is (locale == "de-DE")


APART = """
async ([alerts, snapshot, unit]) => {
  const { saidApart, sayingOf } = await import("/static/saying.js");
  return alerts.map((alert) =>
    [alert.kind, sayingOf(alert, snapshot, unit).text, saidApart(alert, snapshot, unit)]);
}
"""


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_what_to_look_at_is_told_apart_and_no_word_is_lost(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    raised = [event for event in whole(eventful()) if event.state is State.RAISED]
    alerts = [json.loads(alert_of(n, event).model_dump_json()) for n, event in enumerate(raised)]
    snapshot = json.loads(desk.now.model_dump_json())
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        apart = {
            kind: (whole_text, said["text"], said["look"])
            for unit in "CF"
            for kind, whole_text, said in await page.evaluate(APART, [alerts, snapshot, unit])
            if said["look"] is not None
        }
    assert {"stall", "heat_lost", "heat_stuck_on"} <= set(apart)
    for whole_text, text, look in apart.values():
        words = re.findall(r"\w+", whole_text.lower())
        assert re.findall(r"\w+", f"{text} {look}".lower()) == words
        assert text.endswith(".")
        assert look[0].isupper()


async def test_an_alert_is_said_in_the_scale_and_language_of_the_phone(
    browser: Browser, desk: FakeDesk
) -> None:
    figures = {"temp_c": 400.2, "rate_c_per_h": -2.0, "planned_rate_c_per_h": 150.0, "to_c": 600.0}
    desk.change(alerts=[stall_alert(data=figures), stall_alert("a2", kind="of tomorrow")])
    async with serving(desk) as server, opened(browser, server) as page:
        messages = page.locator(".alert-message")
        looks = page.locator(".alert-look")
        walks = looks.locator("strong")
        await expect(messages.first).to_contain_text("climbed only 3\u00a0°C in the last")
        await expect(walks.first).to_have_text(re.compile("^Look at the elements, .* damper.$"))
        await page.get_by_role("button", name="°F").tap()
        await expect(messages.first).to_contain_text("at 752\u202f°F, where the plan climbs 270")
        await expect(messages.first).not_to_contain_text("Go and look")
        await expect(walks.first).to_have_text(re.compile("^Go and look at breaker, .* glows;$"))
        await expect(looks.first).to_contain_text("is a licensed electrician's.")
        await expect(messages.last).to_contain_text("climbed only 3\u00a0°C in the last")
        await page.get_by_role("button", name="Deutsch").tap()
        await expect(page.locator("html")).to_have_attribute("lang", "de")
        await expect(messages.first).to_contain_text("steigt bei 752\u202f°F so gut wie nicht mehr")
        await expect(walks.first).to_have_text(re.compile("^Nach Sicherung, .* glüht;$"))
        await expect(looks.last).to_have_attribute("lang", "en")
        await expect(messages.first).not_to_have_attribute("lang", re.compile("."))
        await expect(messages.last).to_have_attribute("lang", "en")
        await expect(page.locator("#verdict-title")).to_have_text("Nachsehen")


async def test_a_german_phone_reads_german_and_chooses_its_clock(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, locale="de-AT") as page:
        await german_at(page, "04:50")
        await expect(page.locator("#lead-temp")).to_contain_text(re.compile("1.133\u202f°C"))
        await page.get_by_role("button", name="12 h").tap()
        await german_at(page, "4:50\u00a0AM")
        await page.reload()
        await german_at(page, "4:50\u00a0AM")
        await page.get_by_role("button", name="English").tap()
        await expect(page.locator("#verdict-sentence")).to_have_text(
            re.compile(
                "^Climbing 70\u202f°C an hour, 1,133.*Cone\u00a05 about 4:50\u00a0am, between"
            )
        )


async def german_at(page: Page, time: str) -> None:
    await expect(page.locator("html")).to_have_attribute("lang", "de")
    await expect(page.locator("#verdict-sentence")).to_have_text(
        re.compile(f"^Steigt um 70\u202f°C je Stunde, .*Kegel\u00a05 gegen {time}, zwischen ")
    )
    await expect(page.locator("#cone-pack li").nth(1)).to_contain_text("Zielkegel")
