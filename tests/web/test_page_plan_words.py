"""What is said of plans: every sentence of the core's has its words in both languages, and what is
worded from the figures is what the core says."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import pytest
from playwright.async_api import Browser

from supervisor.core.languages import Language
from supervisor.core.phases.bands import BANDS, CARE_ASKED
from supervisor.core.phases.explain import CAUTIONS, explain
from supervisor.core.phases.line import Line, PlanSaying
from supervisor.core.schedule import Schedule, Timeline, parse_schedule, starter, starter_names
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.picture.german import PHASES, STARTERS
from supervisor.service.plans.shown import explained_shape
from tests.core.phases.test_plan_explained import fired
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from tests.web.test_page_causes import plain, same

pytestmark = pytest.mark.browser

NAMES = """
async (names) => {
  const { LINES } = await import("/static/views/plans/saying.js");
  const found = { lines: Object.keys(LINES) };
  for (const language of ["en", "de"]) {
    const { words } = await import(`/static/words/plans/${language}.js`);
    const shell = (await import(`/static/words/${language}.js`)).words;
    const { why, sections, starterNotes } = words;
    const phases = Object.keys(shell.phase);
    const phaseNames = shell.phase;
    const called = names.map(shell.called);
    found[language] = { why, sections, called, starterNotes, phases, phaseNames };
  }
  return found;
}
"""


async def test_every_sentence_and_band_has_its_words_in_both_languages(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        found = await page.evaluate(NAMES, [starter(name).name for name in starter_names()])
    assert set(found["lines"]) == set(PlanSaying)
    reasons = {band.why_key: band.why for band in BANDS}
    assert found["en"]["why"] == {**reasons, "asked": CARE_ASKED}
    assert set(found["de"]["why"]) == set(found["en"]["why"])
    headings = {heading for plan in plans() for heading, _ in explained(plan, Unit.C)[0]}
    starters = [starter(name) for name in starter_names()]
    assert found["en"]["called"] == [one.name for one in starters]
    assert found["de"]["called"] == [STARTERS[name] for name in starter_names()]
    assert found["de"]["phaseNames"] == dict(PHASES)
    notes = {step.note for one in starters for step in one.steps if step.note}
    for words in (found["en"], found["de"]):
        assert set(words["starterNotes"]) == notes
        assert set(words["sections"]) == headings
        assert set(words["phases"]) == {band.name for band in BANDS}


BAND = '\n[[band]]\nname = "mine"\nfrom = 300\nto = 400\nfastest = 50\n'


def plans() -> list[Schedule]:
    """Plans that together say all there is to say."""
    return [
        *(starter(name) for name in starter_names()),
        fired("- 600", "300 1000", "- 20", kind="other", top=""),
        fired("- 600", "300 1222 5", top=""),
        fired("100 400", "50 600", "100 950", kind="bisque", top=""),
        fired("100 1280 300", "- 1000 780", top='target_cone = "6"'),
        fired("100 1180", top='target_cone = "6"'),
        fired("100 1000", top='target_cone = "10"'),
        fired("100 500", top='target_cone = "10"'),
        fired("400 1240 20", "60 40", top='target_cone = "6"'),
        parse_schedule('name = "y"\nkind = "bisque"\n[[step]]\nrate = 90\nto = 980\n' + BAND),
    ]


ASKED = (("6", None), ("10", 1230.0), ("13", None), ("06", None))
"""A cone whose hold is asked for, and the kiln maker's limit."""


@cache
def explained(plan: Schedule, unit: Unit) -> list[list[tuple[str, tuple[Line, ...]]]]:
    words = Words(unit)
    timeline = Timeline(plan)
    return [
        list(explain(plan, timeline, words, limit_c=limit_c, hold_for_cone=cone).sections)
        for cone, limit_c in ASKED
    ]


@cache
def lines(unit: Unit) -> tuple[Line, ...]:
    """Each line once, and the cautions of a kiln that bears less."""
    seen = dict.fromkeys(
        line
        for plan in plans()
        for sections in explained(plan, unit)
        for _, said in sections
        for line in said
    )
    return tuple(seen)


SAY = """
async ([lines, unit]) => {
  const { lineSaid } = await import("/static/views/plans/saying.js");
  return lines.map((part) => lineSaid(part, "no words of ours", unit));
}
"""


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_a_plan_is_explained_from_its_figures(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        for unit, other in ((Unit.C, "°F"), (Unit.F, "°C")):
            told = lines(unit)
            assert {line.saying for line in told} == set(PlanSaying)
            parts: list[dict[str, Any]] = [
                {"saying": line.saying.value, "figures": line.figures} for line in told
            ]
            found = await page.evaluate(SAY, [parts, unit.value])
            assert [one for one in found if one["lang"] is not None] == []
            said = [
                plain(f"{one['time']}  {one['text']}" if one["time"] else one["text"])
                for one in found
            ]
            assert [text for text in said if other in text or "undefined" in text] == []
            if locale == "de-DE":
                ours = [re.sub(r"\([^)]*\)|kind = \S+", "", text) for text in said]
                assert [text for text in ours if re.search(r"\b(the|it|cone|kiln)\b", text)] == []
                continue
            apart = [(a, b) for a, b in zip(said, told, strict=True) if not same(a, b)]
            assert apart == []
    assert CAUTIONS in {heading for heading, _ in explained(plans()[6], Unit.C)[0]}


@pytest.mark.parametrize("unit", list(Unit))
def test_a_drawing_for_german_readers_has_no_english_word(unit: Unit) -> None:
    english = re.compile(
        r"\b(the|cones?|peak|hold|hours|down|after|by|firing|drying|quartz|to|what|of)\b"
    )
    for plan in plans():
        ours, cores = (
            explained_shape(plan, unit, limit_c=None, language=one).picture
            for one in (Language.DE, Language.EN)
        )
        for drawing, as_core in ((ours.wide, cores.wide), (ours.narrow, cores.narrow)):
            texts = [shape.text for shape in drawing.shapes if shape.text]
            assert "Stunden" in texts
            told = [shape.text for shape in as_core.shapes if shape.text]
            # There is room for the same labels.
            for german, other in ((r"max\. \d", r"peak \d"), (r"Kegel \d", r"cone \d")):
                found = [text for text in texts if re.match(german, text)]
                assert len(found) >= len([text for text in told if re.match(other, text)])
            texts += [drawing.title, drawing.description]
            assert [text for text in texts if english.search(text)] == []
