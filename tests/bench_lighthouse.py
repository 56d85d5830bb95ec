"""What Lighthouse says of every view on a phone: `python -m tests.bench_lighthouse`.

The demo runs as a process of its own, in the middle of a firing; Lighthouse (Apache 2.0, by npx,
in the version named here) opens each view in Debian's Chromium as the mid-range phone over slow
4G that it simulates, and marks performance, accessibility and best practices, 100 at most. Each
view is looked at a few times, and the median counts. Performance is marked by what a core has time
for: run it where nothing else runs. Real-time priority is no way round that, for a browser's
processes may spin as they end, and then nothing else gets a core at all.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import statistics
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from tests.daemons import Daemon
from tests.test_end_to_end import fast_forward
from tests.web.conftest import NAMES, chromium
from web.files import STATIC

VERSION = "13.5.0"
CATEGORIES = ("performance", "accessibility", "best-practices")
LEAST = 95
SCENARIO, BEGUN_S = "healthy-midfire", 6 * 3600.0
FLAGS = "--headless=new --no-sandbox --disable-gpu --disable-dev-shm-usage"
MOST_TRIES = 5
GOOD_ENOUGH = 0.9
"""An audit with less than this is named: Lighthouse's own mark for green."""


def views() -> list[str]:
    """The views that there are, by the page's own list."""
    listed = (STATIC / "views.js").read_text(encoding="utf-8")
    return re.findall(r'name: "(\w+)"', listed)


def in_the_middle_of_a_firing(folder: Path) -> Daemon:
    """The demo, at a kiln's own pace, with some hours behind it."""
    fast_forward(folder, "demo kiln", BEGUN_S, SCENARIO)
    words = ("demo", "--scenario", SCENARIO, "--speed", "1", "--port", "0")
    return Daemon(*words, "--data", folder)


def look(command: list[str], url: str, browser: str) -> dict[str, Any]:
    """Lighthouse's findings of one page; now and then a busy browser's trace is of no use to it."""
    for _ in range(MOST_TRIES):
        found = tried(command, url, browser)
        if all(found["categories"][name]["score"] is not None for name in CATEGORIES):
            return found
    why = {audit["errorMessage"] for audit in found["audits"].values() if "errorMessage" in audit}
    raise SystemExit(f"Lighthouse could not mark {url}: {'; '.join(sorted(why))}")


def tried(command: list[str], url: str, browser: str) -> dict[str, Any]:
    """One look."""
    with tempfile.TemporaryDirectory(prefix="spyhole-bench-") as scratch:
        out = Path(scratch) / "found.json"
        words = [
            *command,
            url,
            "--quiet",
            "--output=json",
            f"--output-path={out}",
            f"--only-categories={','.join(CATEGORIES)}",
            f"--chrome-flags={FLAGS}",
        ]
        done = subprocess.run(
            words,
            check=False,
            env=os.environ | {"CHROME_PATH": browser},
            capture_output=True,
            text=True,
        )
        if not out.exists():
            raise SystemExit(f"Lighthouse gave nothing: {done.stderr[-500:]}")
        found: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    return found


def marks(found: dict[str, Any]) -> list[int]:
    return [round(100 * (found["categories"][name]["score"])) for name in CATEGORIES]


def weak(found: dict[str, Any]) -> list[str]:
    """What cost marks, with Lighthouse's own figure."""
    return [
        f"{name} {audit.get('displayValue', '')}".strip()
        for name, audit in found["audits"].items()
        if audit["score"] is not None and audit["score"] < GOOD_ENOUGH and _counts(found, name)
    ]


def _counts(found: dict[str, Any], name: str) -> bool:
    return any(
        ref["id"] == name and ref["weight"] > 0
        for category in found["categories"].values()
        for ref in category["auditRefs"]
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("views", nargs="*", help="which; default: all")
    parser.add_argument("--times", type=int, default=3, help="looks at each; default: 3")
    parser.add_argument("--lighthouse", help="the program, where npx is not to fetch it")
    options = parser.parse_args()
    browser, npx = chromium(), shutil.which("npx")
    if browser is None:
        raise SystemExit(f"no Chromium on this machine (looked for {', '.join(NAMES)})")
    if npx is None and options.lighthouse is None:
        raise SystemExit("no npx on this machine: it comes with Node.js")
    command = (
        [options.lighthouse] if options.lighthouse else [str(npx), "--yes", f"lighthouse@{VERSION}"]
    )
    print(f"{'view':<12}  {'  '.join(f'{name:>14}' for name in CATEGORIES)}")
    with (
        tempfile.TemporaryDirectory(prefix="spyhole-bench-") as scratch,
        in_the_middle_of_a_firing(Path(scratch)) as daemon,
    ):
        for view in options.views or views():
            looks = [look(command, f"{daemon.page}#/{view}", browser) for _ in range(options.times)]
            middle = [round(statistics.median(of)) for of in zip(*map(marks, looks), strict=True)]
            verdict = "ok" if min(middle) >= LEAST else "TOO LITTLE"
            print(f"{view:<12}  {'  '.join(f'{mark:>14}' for mark in middle)}  {verdict}")
            for name in sorted({name for found in looks for name in weak(found)}):
                print(f"    {name}")


if __name__ == "__main__":
    main()
