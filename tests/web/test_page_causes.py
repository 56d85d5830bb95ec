"""Causes and changes on the page: every name of the core's has its words in both languages, and
what is worded from the figures is what the core says of them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from playwright.async_api import Browser

from supervisor.core.defects import DEFECTS, RULES, DefectKind, Saying, trace_defects
from supervisor.core.defects.finding import Case, Finding
from supervisor.core.defects.registry import CONDITIONS
from supervisor.core.events import Kind
from supervisor.core.refit import Advice, LeftOut, Refit, Suggestion, suggestions
from supervisor.core.refit.again import checked, left_out
from supervisor.core.review import FiringFacts, Opening
from supervisor.core.schedule.model import Atmosphere, BandName
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.service.unloading.shapes import change_shapes, fit_shape
from tests.core.defects import made
from tests.core.defects.test_rules import CASES
from tests.core.refit.test_suggest import base, by_cones
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving

pytestmark = pytest.mark.browser

NAMES = """
async () => {
  const { SAYINGS, ADVICE } = await import("/static/views/unload/saying.js");
  const found = { worded: { sayings: Object.keys(SAYINGS), advice: Object.keys(ADVICE) } };
  for (const language of ["en", "de"]) {
    const { words } = await import(`/static/words/unload/${language}.js`);
    const { defects, looks, causes, nextTime, outside, sources } = words;
    found[language] = { defects, looks, causes, nextTime, outside, sources };
    found[language].sayings = Object.keys(words.sayings);
  }
  return found;
}
"""


async def test_every_name_of_the_cores_tables_has_its_words_in_both_languages(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        found = await page.evaluate(NAMES)
    assert set(found["worded"]["sayings"]) == set(Saying)
    assert set(found["worded"]["advice"]) == set(Advice)
    outside = [one for defect in DEFECTS.values() for one in defect.outside]
    assert len({one.key for one in outside}) == len(outside)
    sources = [one.source for one in outside] + [rule.source for rule in RULES]
    described = "; ".join(sources).split("; ")
    for words in (found["en"], found["de"]):
        assert set(words["defects"]) == set(words["looks"]) == set(DefectKind)
        assert set(words["causes"]) == set(words["nextTime"]) == {rule.name for rule in RULES}
        assert set(words["outside"]) == {one.key for one in outside}
        assert set(words["sources"]) == set(described)
        assert set(words["sayings"]) == set(Saying)
    assert found["en"]["causes"] == {rule.name: rule.cause for rule in RULES}
    assert found["en"]["nextTime"] == {rule.name: rule.next_time for rule in RULES}
    assert found["en"]["outside"] == {one.key: one.cause for one in outside}
    assert found["en"]["looks"] == {kind: defect.looks for kind, defect in DEFECTS.items()}
    for part in ("causes", "nextTime", "outside"):
        assert set(found["de"][part].values()).isdisjoint(found["en"][part].values())


def looked_at() -> Iterator[tuple[str, FiringFacts]]:
    """Conditions and firings that together say all there is to say."""
    for name, cases in CASES.items():
        for case in cases:
            yield name, case()
    plan = made.good().plan
    assert plan is not None
    stalled = made.stalled()
    (trouble,) = stalled.troubles
    (cones,) = made.good().cones
    one_seen = replace(cones, seen_place_low=26.2, seen_place_high=26.6)
    yield "underfired", replace(made.good(), cones=(one_seen,))
    for seen in ((27.1, None), (None, 26.5), (26.4, 26.4)):
        yield "underfired", made.seen_cones([seen, (26.0, 27.5)])
    yield "underfired", made.target(None)
    yield "underfired", made.cones(place=None, coolest=None, hottest=None)
    yield "underfired", made.cones(place=27.2, coolest=None, hottest="6")
    yield "little_time_to_heal", replace(made.good(), peak=None)
    yield "opened_hot", made.cooling(opened=None, end_c=60.0)
    yield "dropped_fast", replace(made.good(), cooling=None)
    yield "burnt_out_too_fast", made.band(BandName.BURNING_OUT, too_fast=None, base=made.bisque())
    yield "broken_off", replace(stalled, troubles=())
    lost = replace(trouble, kind=trouble.kind.__class__("heat_lost"), temp_c=None)
    yield "broken_off", replace(stalled, troubles=(lost,))
    yield "top_too_high", replace(made.good(), steps=(), plan=None)
    yield "hold_too_long", replace(made.good(), steps=(), plan=None)
    (*before, last) = made.good().steps
    unheld = replace(last, planned=replace(last.planned, end_s=last.planned.reach_s))
    yield "hold_too_short", replace(made.good(), steps=(*before, unheld))
    reducing = replace(plan, atmosphere=Atmosphere.REDUCTION)
    yield "reduced_late", replace(made.good(), plan=reducing, reduction=None)
    yield "reduced_late", replace(made.good(), reduction=None)


def findings(words: Words) -> list[Finding]:
    return [CONDITIONS[name](Case(facts, words)) for name, facts in looked_at()]


def changes(words: Words) -> list[Suggestion]:
    """Every change that may be suggested."""
    fitted, _ = base()
    unfinished = by_cones(-15.0)
    assert unfinished.plan is not None
    unfinished = replace(unfinished, plan=replace(unfinished.plan, finished_s=None))
    far = made.cones(place=18.0, coolest="08", hottest="06")
    hard = made.target("14")
    shut = made.cooling(opened=Opening(60_000.0, 300.0, 900.0, None))
    lone = [
        by_cones(-15.0),
        by_cones(22.0),
        unfinished,
        made.cones(place=26.3, coolest="4", hottest="5.5"),
        far,
        hard,
    ]
    caused = [
        (made.band(BandName.QUARTZ_TURNS, too_fast=1.5), DefectKind.HEATING_CRACKS),
        (made.band(BandName.QUARTZ_TURNS_BACK, too_fast=1.5), DefectKind.DUNTING),
        (made.cooling(opened=Opening(60_000.0, 300.0, 900.0, 56.0)), DefectKind.CRAZING),
        (shut, DefectKind.CRAZING),
        (made.held(2.0), DefectKind.PINHOLES),
        (made.hot_for(9.0), DefectKind.SHIVERING),
        (made.even(30.0, 1.2), DefectKind.UNEVEN_COLOUR),
        (made.cooling(crystals=made.passed(220.0)), DefectKind.TOO_GLOSSY),
        (made.cooling(crystals=made.passed(50.0)), DefectKind.TOO_DULL),
        (made.cooling(first_c_per_h=700.0), DefectKind.PINHOLES),
        (made.warmed(400.0), DefectKind.CRACKED_SHELF),
        (made.reduced(1100.0), DefectKind.WEAK_REDUCTION),
    ]
    found = [one for facts in lone for one in suggestions(fitted, facts, words)]
    for facts, kind in caused:
        traced = trace_defects(facts, [kind], words)
        found += suggestions(fitted, facts, words, traced=traced)
    # A firing that was held for a moment alone has no hold to shorten.
    step = fitted.schedule.steps[fitted.peak]
    steps = list(fitted.schedule.steps)
    steps[fitted.peak] = replace(step, hold_s=0.0)
    brief = replace(fitted, schedule=replace(fitted.schedule, steps=tuple(steps)))
    facts = made.even(30.0, 1.2)
    traced = trace_defects(facts, [DefectKind.UNEVEN_COLOUR], words)
    found += suggestions(brief, facts, words, traced=traced)
    return found


BEGUN_S = 600.0


def fits() -> list[Refit]:
    """Plans that repeat a firing: well, badly, and one that brought no cone down."""
    fitted, _ = base()
    gone = (
        LeftOut(Kind.STALL, "the climb stalled", 9_000.0, 2_400.0, 640.0),
        LeftOut(Kind.HEAT_LOST, "heat was lost", 300.0, 900.0, 810.0),
    )
    assert fitted.place is not None
    badly = replace(fitted, swing_c=31.0, left_out=gone, place=fitted.place + 0.3)
    return [fitted, badly, replace(fitted, place=None, fired_place=None)]


SAY = """
async ([causes, changes, fits, unit]) => {
  const { causeSaid, changeSaid, fitSaid } = await import("/static/views/unload/saying.js");
  return {
    causes: causes.map((one) => causeSaid(one, unit).said),
    changes: changes.map((one) => changeSaid(one, unit)),
    fits: fits.map((one) => fitSaid(one, unit).join(" ")),
  };
}
"""


def plain(text: str) -> str:
    return re.sub(r"[\u00a0\u202f]", " ", text)


def same(ours: str, cores: str) -> bool:
    """Whether two sentences are the same, but for a figure's last place: it is sent rounded."""
    a, b = (re.split(r"(\d[\d,]*(?:\.\d+)?)", plain(text)) for text in (ours, cores))
    if a[::2] != b[::2] or len(a) != len(b):
        return False
    shown, wanted = ([float(figure.replace(",", "")) for figure in one[1::2]] for one in (a, b))
    return shown == pytest.approx(wanted, abs=1.0)


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_causes_and_changes_are_worded_from_their_figures(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        for unit, other in ((Unit.C, "°F"), (Unit.F, "°C")):
            words = Words(unit)
            found, advised = findings(words), changes(words)
            assert {one.saying for one in found} == set(Saying)
            assert {one.advice for one in advised} == set(Advice)
            plans = fits()
            told = await page.evaluate(
                SAY,
                [
                    [cause_of(one) for one in found],
                    [json.loads(one.model_dump_json()) for one in change_shapes(advised)],
                    [json.loads(fit_shape(one, BEGUN_S).model_dump_json()) for one in plans],
                    unit.value,
                ],
            )
            texts = [*told["causes"]]
            for change in told["changes"]:
                texts += [
                    change["reason"],
                    change["change"],
                    *(way["said"] for way in change["ways"]),
                ]
            assert [one for one in texts if one["lang"] is not None] == []
            said = [plain(one["text"]) for one in texts] + told["fits"]
            assert [text for text in said if other in text or "undefined" in text] == []
            if locale == "de-DE":
                assert [text for text in said if re.search(r"\b(the|it|cone|kiln)\b", text)] == []
                continue
            expected = [one.said for one in found]
            for one in advised:
                ways = [f"{way.said[0].upper()}{way.said[1:]}" for way in one.ways]
                expected += [one.reason, one.change, *ways]
            for plan in plans:
                lost = [left_out(one, words, BEGUN_S) for one in plan.left_out]
                expected.append(" ".join([*checked(plan, words), *lost]))
            apart = [(a, b) for a, b in zip(said, expected, strict=True) if not same(a, b)]
            assert apart == []


def cause_of(one: Finding) -> dict[str, Any]:
    return {
        "name": RULES[0].name,
        "cause": RULES[0].cause,
        "saying": one.saying.value,
        "said": "no words of ours",
        "figures": dict(one.figures),
        "next_time": RULES[0].next_time,
    }
