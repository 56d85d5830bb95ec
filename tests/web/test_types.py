"""The page's scripts against their own types, as strictly as TypeScript can."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import web
from tests.web.page_tools import HERE, tool

STATIC = Path(web.__file__).parent / "static"


def complaints(config: Path) -> str:
    compiler = tool("@typescript/typescript-*/lib/tsc*")
    command = [str(compiler), "--project", str(config), "--pretty", "false"]
    return subprocess.run(command, check=False, capture_output=True, text=True).stdout


def test_every_script_keeps_its_types() -> None:
    assert complaints(HERE / "tsconfig.json") == ""


def test_a_script_that_breaks_them_is_found(tmp_path: Path) -> None:
    """The check itself bites: a copy of the page with one wrong word in it."""
    static = tmp_path / "web" / "static"
    shutil.copytree(STATIC, static, ignore=shutil.ignore_patterns("vendor"))
    config = tmp_path / "tests" / "web" / "tools" / "tsconfig.json"
    config.parent.mkdir(parents=True)
    shutil.copy(HERE / "tsconfig.json", config)
    script = static / "units.js"
    script.write_text(
        script.read_text(encoding="utf-8") + 'export const wrong = showTemp("hot", "K");\n',
        encoding="utf-8",
    )
    found = complaints(config)
    assert found.count("error TS") >= 1
    assert "units.js" in found
