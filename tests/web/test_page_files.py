"""What the page's files must agree on among themselves and with the core, read as text."""

from __future__ import annotations

import json
import posixpath
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser

import web
from supervisor.core import watch
from supervisor.core.heatwork import CONE_NAMES, tip
from supervisor.core.watch.sentence import ON_TIME_S, STILL_C_PER_H
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from web import models

STATIC = Path(web.__file__).parent / "static"
SCRIPTS = {
    str(file.relative_to(STATIC)): file.read_text(encoding="utf-8")
    for file in STATIC.rglob("*.js")
    if "vendor" not in file.parts
}
STYLE = (STATIC / "style.css").read_text(encoding="utf-8")
PAGE = (STATIC / "index.html").read_text(encoding="utf-8")


def number(name: str) -> float:
    """The one constant of that name in the page's scripts."""
    found = [
        value
        for script in SCRIPTS.values()
        for value in re.findall(rf"\bconst {name} = ([\d.]+);", script)
    ]
    assert len(found) == 1, f"{name} has one place"
    return float(found[0])


def test_the_panels_use_the_thresholds_of_the_cores_sentence() -> None:
    assert number("ON_TIME_S") == ON_TIME_S
    assert number("STEADY_C_PER_H") == STILL_C_PER_H


def test_a_cones_angles_and_names_are_the_cores() -> None:
    assert number("STANDING_DEG") == tip.STANDING_DEG
    assert number("LEVEL_DEG") == tip.LEVEL_DEG == 6 * tip.DEG_PER_HOUR
    assert number("DEG_PER_HOUR") == tip.DEG_PER_HOUR
    names = re.search(r"const CONE_NAMES = (\[.*\]);", SCRIPTS["cones.js"])
    assert names is not None
    assert tuple(json.loads(names[1])) == CONE_NAMES


def list_of(name: str, script: str) -> list[Any]:
    found = re.search(rf"const {name} = (\[.*\]);", SCRIPTS[script])
    assert found is not None
    listed = json.loads(found[1])
    assert isinstance(listed, list)
    return listed


def test_every_tip_that_can_be_tapped_or_dragged_to_is_one_that_the_core_reads() -> None:
    tapped = list_of("TIPS", "views/watch/witness.js")
    dragged = list_of("STOPS", "views/watch/tip.js")
    assert [tip.parse_clock(one) for one in dragged] == dragged
    assert set(tapped) < set(dragged)
    told_apart = [tip.work_range_of(one) for one in dragged]
    assert len(set(told_apart)) == len(dragged), "each says something of its own"


def test_an_activity_is_the_cores_own() -> None:
    assert models.PlanPosition.model_fields["activity"].annotation is watch.Activity


def test_channels_looks_are_one_list_that_the_style_sheet_follows() -> None:
    dashes = re.search(r"export const DASHES = (\[.*\]);", SCRIPTS["looks.js"])
    assert dashes is not None
    looks = list(range(len(json.loads(dashes[1]))))
    light, dark = STYLE.split("prefers-color-scheme: dark", 1)
    for sheet in (light, dark):
        assert [int(n) for n in re.findall(r"--channel-(\d+):", sheet)] == looks
    assert [int(n) for n in re.findall(r"\.swatch-(\d+) \{", STYLE)] == looks
    for name, script in SCRIPTS.items():
        assert not re.search(r"COLOURS\b", script), name


IMPORT = re.compile(r'^(?:import|export) (?:.*?from )?"(\.[^"]+)";', re.MULTILINE)


def imported_by(name: str, seen: set[str]) -> set[str]:
    """A script and all that it loads before it runs."""
    if name not in seen:
        seen.add(name)
        for found in IMPORT.findall(SCRIPTS[name]):
            imported_by(posixpath.normpath(posixpath.join(posixpath.dirname(name), found)), seen)
    return seen


def test_the_first_views_scripts_are_fetched_ahead_and_no_others() -> None:
    first = re.search(r'import\("\./(views/\w+\.js)"\)', SCRIPTS["views.js"])
    assert first is not None
    ahead = set(re.findall(r'(?:href|src)="static/([\w/]+\.js)"', PAGE))
    assert ahead == imported_by("app.js", set()) | imported_by(first[1], set())


def test_every_view_of_the_list_is_a_module_with_a_sign_and_a_name() -> None:
    views = re.findall(
        r'\{ name: "(\w+)".*load: \(\) => import\("\./(.+?)"\) \}', SCRIPTS["views.js"]
    )
    assert views
    for name, file in views:
        assert file == f"views/{name}.js"
        assert re.search(r"^export (async )?function mount\(", SCRIPTS[file], re.MULTILINE)
        assert f'<symbol id="sign-{name}"' in PAGE
    for language in ("en", "de"):
        names = re.search(r"\bviews: \{(.*?)\}", SCRIPTS[f"words/{language}.js"], re.DOTALL)
        assert names is not None
        assert re.findall(r"(\w+): \"", names[1]) == [name for name, _ in views]


def paths(texts: Any, path: str = "words") -> Iterator[str]:
    if isinstance(texts, dict):
        for name, inner in texts.items():
            yield from paths(inner, f"{path}.{name}")
    else:
        yield path


WORDS_MODULE = re.compile(
    r'^import \{ words(?: as (\w+))?\b[^}]*\} from "(\.[^"]*/words\.js|\./words\.js)";',
    re.MULTILINE,
)


def users(module: str) -> Iterator[tuple[str, str]]:
    """What each script calls the texts of that module, and the script."""
    for name, script in SCRIPTS.items():
        for short, path in WORDS_MODULE.findall(script):
            if posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) == module:
                yield short or "words", script


def is_used(path: str, module: str) -> bool:
    """Whether a text is named, or a group of texts around it is looked up or spread."""
    if module == "words.js":
        if f'data-words="{path.removeprefix("words.")}"' in PAGE:
            return True
        if path.startswith("words.views."):
            return True  # a view's label is looked up by its name
    return any(is_named(re.sub(r"^words\b", name, path), script) for name, script in users(module))


def is_named(path: str, script: str) -> bool:
    group, _, name = path.rpartition(".")
    if group not in script:
        return False
    if re.search(rf"\b{re.escape(path)}\b", script):
        return True
    group = re.escape(group)
    looked_up = rf"\b{group}\[|\.\.\.{group}(?![.\w])"
    for_short = rf"\bconst say = {group};[\s\S]*\bsay\.{re.escape(name)}\b"
    return re.search(f"{looked_up}|{for_short}", script) is not None


@pytest.mark.browser
async def test_every_text_is_shown_somewhere(browser: Browser, desk: FakeDesk) -> None:
    modules = [name for name in SCRIPTS if re.fullmatch(r"(views/\w+/)?words\.js", name)]
    unused = []
    async with serving(desk) as server, opened(browser, server) as page:
        for module in modules:
            texts = await page.evaluate(
                """async (module) => {
                  const { words } = await import(`/static/${module}`);
                  return JSON.parse(JSON.stringify(words, (_, text) =>
                    typeof text === "function" ? "" : text));
                }""",
                module,
            )
            unused += [f"{module}: {path}" for path in paths(texts) if not is_used(path, module)]
    assert "words.js" in modules
    assert len(modules) > 1
    assert unused == []
