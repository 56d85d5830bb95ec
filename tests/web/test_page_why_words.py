"""What is refused or does not count, and why: every reason that the server may give has its words
in both languages, each gap in them has its figure wherever the reason is given, and a German page
shows them; where it has none, it shows the server's English and says that it is."""

from __future__ import annotations

import ast
import asyncio
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.async_api import Browser, Page, expect

import supervisor
from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.reasons import Reason
from supervisor.core.schedule import parse_schedule, starter
from supervisor.core.schedule.parse import named_cone
from supervisor.core.units import Unit
from supervisor.record.image_file import clean_image
from supervisor.service.plans.draft import read_draft
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from web import writing
from web.intake import MAX_BODY_BYTES
from web.models import Log, LogState, Note, Why
from web.plans import DraftStep, PlanDraft
from web.requests import NOTE_MAX_CHARS, LookRequest
from web.wire import why_of

HOUSE = Path(supervisor.__file__).parent.parent
ENGLISH = re.compile(r"\b(the|it|is|are|this|that|give|allowed|send|firing|plan|not|can't)\b")
GAP = re.compile(r"\{(\w+)\}")

WORDS = """
async () => {
  const found = {};
  for (const language of ["en", "de"]) {
    const { reasons, fields } = (await import(`/static/words/whys/${language}.js`)).words;
    found[language] = { reasons, fields };
  }
  return found;
}
"""
SAY = """
async (whys) => {
  const { worded } = await import("/static/whys.js");
  return whys.map(worded);
}
"""


def given() -> Iterator[tuple[Reason, set[str] | None]]:
    """Each place in the program that gives a reason, with the names of its figures; None where
    they are not written beside it."""
    folders = ("core", "record", "service")
    files = [one for folder in folders for one in (HOUSE / "supervisor" / folder).rglob("*.py")]
    for file in (*files, *(HOUSE / "web").rglob("*.py")):
        if file.name == "reasons.py":
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield from given_by(node)


def given_by(call: ast.Call) -> Iterator[tuple[Reason, set[str] | None]]:
    keywords = {one.arg: one.value for one in call.keywords}
    name = call.func.attr if isinstance(call.func, ast.Attribute) else ""
    if isinstance(call.func, ast.Name):
        name = call.func.id
    reasons = [one for one in (*call.args, keywords.get("reason"), keywords.get("why")) if one]
    for reason in filter(None, map(named, reasons)):
        if name == "because":
            yield reason, {one for one in keywords if one}
        elif name == "Why":
            figures = keywords.get("figures", call.args[1] if len(call.args) > 1 else None)
            yield reason, keys(figures)
        elif name == "answer":
            yield reason, set()


def named(node: ast.expr) -> Reason | None:
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        return Reason[node.attr] if node.value.id == "Reason" else None
    return None


def keys(figures: ast.expr | None) -> set[str] | None:
    if figures is None:
        return set()
    if not isinstance(figures, ast.Dict):
        return None
    return {str(key.value) for key in figures.keys if isinstance(key, ast.Constant)}


ADDED = {
    reason: {"value"}
    for reason in (Reason.TEMP_NOT_ALLOWED, Reason.RATE_NOT_ALLOWED, Reason.HOLD_NOT_ALLOWED)
}
"""What the parser adds to every number that it refuses."""


async def test_every_reason_has_its_words_and_every_gap_its_figure(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        words = await page.evaluate(WORDS)
    english, german = words["en"]["reasons"], words["de"]["reasons"]
    assert set(english) == set(german) == set(Reason)
    assert set(words["en"]["fields"]) == set(words["de"]["fields"])
    for reason in Reason:
        assert sorted(GAP.findall(english[reason])) == sorted(GAP.findall(german[reason])), reason
        assert not ENGLISH.search(GAP.sub("", german[reason])), reason
        assert german[reason].endswith("."), reason
    places = list(given())
    for reason, figures in places:
        if figures is not None:
            gaps = set(GAP.findall(english[reason]))
            assert gaps <= figures | ADDED.get(reason, set()), reason
    # Those of a request's parts are in a table (web/problems.py), and asked of the page below.
    unfit = {"MISSING", "EMPTY", "TOO_LONG", "NO_NUMBER", "AT_LEAST", "AT_MOST"}
    beside = {Reason[name] for name in unfit} | {Reason.UNPRINTABLE, Reason.UNFIT}
    named_elsewhere = {Reason.TOO_COLD_FOR_LOOK, Reason.TOO_HOT_FOR_LOOK, Reason.SIGN_IN_TO_READ}
    named_elsewhere |= {Reason.SIGN_IN_TO_WRITE, Reason.NOTHING_HERE}
    assert {reason for reason, _ in places} >= set(Reason) - beside - named_elsewhere


def refused(what: Callable[[], object]) -> tuple[str, Why]:
    with pytest.raises(SpyholeError) as found:
        what()
    why = why_of(found.value)
    assert why is not None
    return str(found.value), why


def drafts() -> Iterator[PlanDraft]:
    """Forms with everything wrong that a person can type into one."""
    good = DraftStep(rate=100, to=600, hold_min=0)
    blank = PlanDraft(name=" ", units=Unit.C, steps=[])
    yield blank
    steps = [
        DraftStep(rate="fast", to="9999", hold_min="-3"),
        DraftStep(rate="0", to="", hold_min="99999"),
        DraftStep(rate="100", to="600", note="x" * 501),
    ]
    yield PlanDraft(name="x" * 501, units=Unit.F, target_cone="99", kind="tea", steps=steps)
    yield PlanDraft(name="long", units=Unit.C, atmosphere="smoke", steps=[good] * 101)


def same(a: str, b: str) -> bool:
    """Whether two sentences say the same but for their first letter, quotes and full stop."""
    a, b = (re.sub(r"[“”\"]", "'", re.sub(r"(\d),(\d{3})", r"\1\2", text)) for text in (a, b))
    a, b = a.rstrip("."), b.rstrip(".")
    return a[0].lower() + a[1:] == b[0].lower() + b[1:]


MIDFIRE = starter("midfire-glaze").name
JPEG = b"\xff\xd8\xff\xe0\x00"


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
async def test_what_does_not_fit_is_said_from_its_figures(
    browser: Browser, desk: FakeDesk, locale: str
) -> None:
    mistakes = [one for draft in drafts() for one in read_draft(draft)[2]]
    told = [(one.message, one.why) for one in mistakes]
    assert len(told) >= 12
    told += [
        refused(lambda: named_cone("tea")),
        refused(lambda: parse_clock("7")),
        refused(lambda: clean_image(b"GIF89a")),
        refused(lambda: clean_image(JPEG)),
    ]
    whys = [why.model_dump(mode="json") for _, why in told if why is not None]
    assert len(whys) == len(told)
    reworded = {Reason.NO_STEP, Reason.TOO_MANY_STEPS, Reason.NO_NAME, Reason.TEXT_LENGTH}
    reworded |= {Reason.NO_CONE, Reason.NO_TIP}
    async with serving(desk) as server, opened(browser, server, locale=locale) as page:
        said = await page.evaluate(SAY, whys)
        assert None not in said
        assert [text for text in said if "{" in text or "undefined" in text] == []
        if locale == "de-DE":
            typed = re.compile(r"[\"„“][^\"“]*[\"“]|oxidation|reduction|bisque|glaze|other")
            assert [text for text in said if ENGLISH.search(typed.sub("", text))] == []
            return
        apart = [
            (ours, theirs)
            for ours, (theirs, why) in zip(said, told, strict=True)
            if why is not None and why.reason not in reworded and not same(ours, theirs)
        ]
        assert apart == []


async def test_a_file_that_is_no_plan_is_named_with_its_line(
    browser: Browser, desk: FakeDesk
) -> None:
    texts = {
        'name = "x"\n[[step]]\nto = 9000\n': "mine.toml, Zeile 3: 9000 geht nicht; 0 bis 1500 °C",
        'name = "x"\nnick = 3\n[[step]]\nto = 900\n': "mine.toml, Zeile 2: Unbekannter Schlüssel",
        "name = \n": "mine.toml, Zeile 1: Das ist kein fehlerfreies TOML.",
    }
    whys = []
    for text in texts:
        _, why = refused(lambda text=text: parse_schedule(text, "mine.toml"))  # type: ignore[misc]
        whys.append(why.model_dump(mode="json"))
    async with serving(desk) as server, opened(browser, server, locale="de-DE") as page:
        said = await page.evaluate(SAY, whys)
    assert [text.startswith(start) for text, start in zip(said, texts.values(), strict=True)] == [
        True
    ] * len(texts), said


REQUESTS: list[tuple[str, dict[str, Any], str]] = [
    ("api/notes", {"text": "x" * (NOTE_MAX_CHARS + 1)}, "Der Text darf höchstens 2000 Zeichen"),
    ("api/notes", {"text": "  "}, "Der Text ist leer."),
    ("api/notes", {}, "Der Text fehlt."),
    ("api/notes", {"text": "x", "by": "A\x07"}, "Der Name enthält Zeichen, die man nicht sieht"),
    ("api/notes", {"text": 3}, "Der Text passt so nicht."),
    ("api/notes", {"text": "x" * MAX_BODY_BYTES}, "Das ist mehr als die 32 kB,"),
    ("api/cones", {"cone": "6", "clock": "3", "minutes_ago": "tea"}, "Die Minuten: das ist keine "),
    ("api/cones", {"cone": "6", "clock": "3", "minutes_ago": -1}, "Die Minuten: mindestens 0."),
    ("api/cones", {"cone": "6", "clock": "3", "minutes_ago": 1e6}, "Die Minuten: höchstens 100.00"),
    ("api/of/tomorrow", {"a": 1}, "Unter dieser Adresse gibt es nichts."),
]


async def test_a_request_that_does_not_fit_is_answered_with_its_reason(
    browser: Browser, desk: FakeDesk
) -> None:
    whys = []
    async with serving(desk) as server:
        async with httpx.AsyncClient(base_url=server.url) as client:
            for path, body, _ in REQUESTS:
                answer = await client.post(path, json=body)
                assert answer.status_code >= 400
                whys.append(answer.json()["error"]["why"])
        async with opened(browser, server, locale="de-DE") as page:
            said = await page.evaluate(SAY, whys)
    wanted = [start for *_, start in REQUESTS]
    assert [text for text, start in zip(said, wanted, strict=True) if start not in text] == []


class StrictDesk(FakeDesk):
    """Refuses what is told to it, or takes its time."""

    async def add_note(self, text: str, by: str | None, client_id: str | None = None) -> Note:
        if text == "slow":
            await asyncio.sleep(60.0)
        if text == "of tomorrow":
            raise InputError("That is of tomorrow.")
        return await super().add_note(text, by, client_id)

    async def begin_log(self, after_id: str, by: str | None) -> None:
        raise InputError("a log is being kept already").because(Reason.LOG_KEPT)


async def test_a_german_page_says_why_in_german_or_marks_what_is_not(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "WAIT_S", 0.05)
    desk = StrictDesk.filled()
    look = await FakeDesk.add_look(desk, LookRequest(cone="5", clock="4", channel="top"))
    async with (
        serving(desk) as server,
        opened(browser, server, quiet=False, locale="de-DE") as page,
    ):
        answer = page.locator("#note-answer")
        await noted(page, "of tomorrow")
        await expect(answer).to_have_text("Nicht gesichert: That is of tomorrow.")
        await expect(answer.locator("[lang=en]")).to_have_text("That is of tomorrow.")
        await noted(page, "slow")
        await expect(answer).to_have_text(
            "Im Arbeitsspeicher; gesichert wird es, sobald der Speicher es annimmt."
        )
        desk.change(log=Log(state=LogState.CLOSED, next_plan=MIDFIRE))
        await expect(page.locator("#log-state")).to_contain_text("Steinzeugglasur, Kegel 6, mit ")
        await page.locator("#log-ask").tap()
        await page.locator("#log-yes").tap()
        began = page.locator("#log-answer")
        await expect(began).to_have_text(re.compile("^Nicht geschehen: Es wird schon aufgez"))
        await expect(began.locator("[lang=en]")).to_have_count(0)
        why = Why(reason=Reason.TOO_COLD_FOR_LOOK, figures={"cone": "5", "tip": "4"})
        doubted = look.model_copy(update={"doubt": "Cone 5 can't have been “4”.", "why": why})
        desk.change(witness=[doubted])
        row = page.locator("#look-list li .look-doubt")
        await expect(row).to_contain_text("Kegel 5 kann nicht „auf 4 Uhr“ gewesen sein, denn")
        desk.change(witness=[look.model_copy(update={"doubt": "It can't have been."})])
        await expect(row).to_have_attribute("lang", "en")


async def noted(page: Page, text: str) -> None:
    await page.locator("#note-form textarea").fill(text)
    await page.locator("#note-form button[type=submit]").tap()
