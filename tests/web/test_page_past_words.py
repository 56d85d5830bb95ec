"""What the page says of comparisons and trends, worded from figures; in English as the core."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest
from playwright.async_api import Browser

from supervisor.core.compare import Align, Subject, compared, planned_subject
from supervisor.core.trends import Apart, Cooling, FiringPoint, Heating, trends_of
from supervisor.core.trends.theil_sen import LEAST_POINTS
from supervisor.core.units import Unit
from supervisor.service.comparing import comparison_shape
from supervisor.service.following import trend_shape
from tests.core.compare.test_compare import MINUTE_S, PLAN, fired, subject
from tests.core.firings import HOUR_S, Points, as_planned, cooled, cut, interrupted, plan, reached_s
from tests.core.trends.test_trends import PLAIN
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from tests.web.test_page_files import number

pytestmark = pytest.mark.browser

COMPARED = """
async ([answers, unit]) => {
  const { sentencesOf } = await import("/static/views/log/parting.js");
  return answers.map((answer) => answer.against.map((one) => sentencesOf(one, answer, unit)));
}
"""
FOLLOWED = """
async ([trends, unit]) => {
  const { sayingsOf } = await import("/static/views/log/following.js");
  return trends.map((trend) => sayingsOf(trend, unit));
}
"""


SLOWER = ("100 600", "120 1090", "40 1190 10", "60 900 60")


def plain(text: str) -> str:
    return re.sub(r"[\u00a0\u202f]", " ", text)


def comparisons() -> Iterator[Any]:
    """Firings that differ in everything that is told, and some that don't."""
    usual = subject(fired(), "A")
    points = fired()
    stalled = interrupted(points, reached_s(points, 800.0), 40 * MINUTE_S)
    hotter = cooled(_shaped("100 600", "170 1090", "90 1218 50"), 8 * HOUR_S)
    slower = cooled(_shaped(*SLOWER), 8 * HOUR_S)
    hurried = cooled(_shaped("110 600 28", "150 1090", "60 1205 30"), 8 * HOUR_S)
    late = interrupted(hurried, reached_s(hurried, 1000.0), 2 * HOUR_S)
    unheld = cooled(_shaped("100 600", "150 1090", "60 1205"), 8 * HOUR_S)
    others = [
        subject(fired(), "B", seed=2),
        subject(stalled, "C"),
        subject(hotter, "D"),
        subject(slower, "E", plan(*SLOWER, cone="6")),
        subject(cut(points, reached_s(points, 1000.0)), "F"),
        # Two that still go on: one climbs, later than the first did, and one falls.
        replace(subject(cut(stalled, reached_s(stalled, 1000.0)), "J"), goes_on=True),
        replace(subject(cut(points, points[-1][0] - 5 * HOUR_S), "K"), goes_on=True),
    ]
    more = [subject(late, "H"), subject(unheld, "I")]
    cold = subject([(0.0, 20.0), (HOUR_S, 21.0)], "G", schedule=None)
    for align in Align:
        yield compared(usual, [*others, *more, cold], align)
        yield compared(planned_subject(PLAN), [replace(usual, name="A"), others[1], cold], align)
        climbing = replace(others[-2], name="A")
        waiting = replace(cold, goes_on=True)
        yield compared(climbing, [replace(usual, name="B"), replace(more[0], name="C")], align)
        yield compared(planned_subject(PLAN), [climbing, waiting], align)


def _shaped(*steps: str) -> Points:
    return as_planned(plan(*steps, cone="6"))


def shaped(all_compared: list[Any]) -> list[Any]:
    return [
        json.loads(comparison_shape(each, _whose(each), "a plan").model_dump_json())
        for each in all_compared
    ]


def _whose(each: Any) -> list[Any]:
    subjects: list[Subject] = [each[0].reference, *(one.other for one in each)]
    return [None if one.is_plan else FIRING for one in subjects]


class _Firing:
    id, name, kiln, started_label = "2026-11-25-b07f", "glaze", "big kiln", None
    is_open = False


FIRING: Any = _Firing()


def trends() -> list[Any]:
    """Every kind of trend: told, not told apart from chance, and of too few firings."""
    dice = random.Random(4)

    def points(count: int, change: Callable[[int], dict[str, Any]]) -> tuple[FiringPoint, ...]:
        return tuple(
            replace(PLAIN, firing=f"2026-{n:02d}", started="2026-01-01T10:00:00+00:00", **change(n))
            for n in range(1, count + 1)
        )

    def heating(heat: float, *, is_full: bool) -> Heating:
        cooling = Cooling(a=-7.35, power=1.8, points=9, hottest_c=1000.0, ambient_c=20.0)
        return Heating(heat, is_full, 8, cooling, 1205.0, 50.0, 60.0, 1150.0, is_full)

    rising = points(
        12,
        lambda n: {
            "apart": {"top": Apart(n - 2.0, n + 2.0), "low": Apart(-n - 1.0, -n + 1.0)},
            "peak_apart_c": 4.0 + n,
            "late_s": 400.0 * n - 900.0,
            "kwh": 80.0 + 2.0 * n,
            "losses": int(n > 6),
            "heating": heating(330.0 - 4.0 * n, is_full=True),
        },
    )
    level = points(
        9,
        lambda n: {
            "apart": {"top": Apart(*sorted((dice.gauss(0, 2) - 2.0, 1.0)))},
            "peak_apart_c": dice.uniform(3.0, 9.0),
            "late_s": dice.gauss(0.0, 900.0),
            "kwh": dice.gauss(84.0, 3.0),
            "losses": n % 2,
            "heating": heating(340.0 + dice.gauss(0, 9.0), is_full=n % 3 > 0),
        },
    )
    few = points(
        3, lambda n: {"kwh": 80.0, "late_s": 20.0, "heating": heating(400.0, is_full=False)}
    )
    short = (*rising[:-1], replace(rising[-1], heating=heating(180.0, is_full=True)))
    return [
        json.loads(trend_shape(trend, some).model_dump_json())
        for some in (rising, level, few, short)
        for trend in trends_of(some)
    ]


async def test_the_page_words_comparisons_as_the_core_does(
    browser: Browser, desk: FakeDesk
) -> None:
    answers = shaped(list(comparisons()))
    told = [one for answer in answers for one in answer["against"]]
    async with serving(desk) as server, opened(browser, server) as page:
        for unit in Unit:
            said = await page.evaluate(COMPARED, [answers, unit.value])
            for one, sentences in zip(told, [s for each in said for s in each], strict=True):
                expected = one[f"sentences_{unit.value.lower()}"]
                assert [plain(text) for text in sentences] == expected
        text = " ".join(sentence for one in told for sentence in one["sentences_c"])
    for part in (
        "fell behind",
        "got ahead",
        "was hotter",
        "was cooler",
        "Before the peak",
        "After the peak",
        "Farthest apart",
        "farthest apart after",
        "heat-work",
        "held the peak",
        "for the climb",
        "on the way down",
        "the last 100",
        "where",
        "They did not part",
        "in common",
        "The plan and",
        "between their peaks",
        "in the hold",
    ):
        assert part in text, part
    async with serving(desk) as server, opened(browser, server, locale="de-DE") as page:
        for scale, other in (("C", "°F"), ("F", "°C")):
            said = await page.evaluate(COMPARED, [answers, scale])
            german(said, other)


async def test_the_page_words_trends_as_the_core_does(browser: Browser, desk: FakeDesk) -> None:
    shapes = trends()
    async with serving(desk) as server, opened(browser, server) as page:
        for unit in Unit:
            said = await page.evaluate(FOLLOWED, [shapes, unit.value])
            for trend, sentences in zip(shapes, said, strict=True):
                expected = [plain(s) for s in trend[f"sentences_{unit.value.lower()}"]]
                assert [plain(text) for text in sentences] == expected
        text = " ".join(sentence for trend in shapes for sentence in trend["sentences_c"])
    for part in (
        "more than chance",
        "No trend",
        "from 5 firings on",
        "If it goes on so",
        "no longer be kept",
        "less and less",
        "more and more than",
        "grows uneven",
        "longer and longer",
        "took as long as planned",
        "takes more",
        "comes more often",
        "In none of",
        "enough for",
    ):
        assert part in text, part
    async with serving(desk) as server, opened(browser, server, locale="de-DE") as page:
        for scale, other in (("C", "°F"), ("F", "°C")):
            german([await page.evaluate(FOLLOWED, [shapes, scale])], other)


def german(said: list[Any], other: str) -> None:
    texts = [plain(text) for each in said for sentences in each for text in sentences]
    assert texts
    assert [text for text in texts if other in text or "undefined" in text or "NaN" in text] == []
    assert [text for text in texts if re.search(r"\b(the|were|kiln|than|hours?)\b", text)] == []
    assert all(text.endswith(".") and "  " not in text and ",." not in text for text in texts)


def test_a_trend_is_told_from_as_many_firings_as_in_the_core() -> None:
    assert number("LEAST_POINTS") == LEAST_POINTS
