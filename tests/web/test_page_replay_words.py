"""What is shipped with spyhole is called in both languages: its scenarios, and its starters where a
firing is named after one."""

from __future__ import annotations

import pytest
from playwright.async_api import Browser

from simulator.scenario import load_scenario, scenario_names
from supervisor.core.schedule import starter
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving

pytestmark = pytest.mark.browser

TITLES = """
async (entries) => {
  const { calledOf } = await import("/static/views/replay/called.js");
  const [en, de] = await Promise.all(
    ["en", "de"].map((one) => import(`/static/words/replay/${one}.js`)));
  return [en.words.scenarioTitles, de.words.scenarioTitles, entries.map(calledOf)];
}
"""


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_every_scenario_has_its_title_in_both_languages(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    titles = {name: load_scenario(name).title for name in scenario_names()}
    midfire = starter("midfire-glaze").name
    shown = [
        {"id": f"scenario:{name}", "name": title, "origin": "scenario"}
        for name, title in titles.items()
    ]
    shown.append({"id": "scenario:of tomorrow", "name": "Of tomorrow", "origin": "scenario"})
    shown.append({"id": "2026-11-25-b07f", "name": midfire, "origin": "firing"})
    shown.append({"id": "2026-11-25-b07a", "name": "Mine", "origin": "firing"})
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        english, german, called = await page.evaluate(TITLES, shown)
    assert english == titles
    assert set(german) == set(titles)
    assert not set(german.values()) & set(titles.values())
    last = midfire if locale == "en-GB" else "Steinzeugglasur, Kegel 6, mit Haltezeit unter der "
    assert called[-2].startswith(last)
    ours = english if locale == "en-GB" else german
    assert called == [*(ours[name] for name in titles), "Of tomorrow", called[-2], "Mine"]
