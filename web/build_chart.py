"""Build step: fetch the chart library, check it, and lay it beside the page.

The page must work in a shed without internet and `pip install` must work without Node, and
no third-party code is kept in this repository. So the build asks pip for a package that
carries uPlot's own distribution files unchanged, takes two files out of it and refuses them
unless they are the bytes that uPlot 1.6.31 published (compared once with the npm package).
The licence text stands in ``web/licences/`` and goes into the wheel.
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

CARRIER = "youplot==1.0.0"
FILES = {
    "youplot/vendor/uplot.iife.min.js": (
        "uPlot.iife.min.js",
        "2d27e8ad3d228164525ce213f9dc716f39b4e3aee0cc773fb3491c96cf4921a2",
    ),
    "youplot/vendor/uplot.min.css": (
        "uPlot.min.css",
        "df630c6a8d6f8eeaff264b50f73ce5b114f646ffd9a0bb74f049b0a00135fa04",
    ),
}
"""Path in the carrier -> name on the page, and SHA-256."""
VENDOR = Path(__file__).parent / "static" / "vendor"


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def already_there(folder: Path) -> bool:
    return all(
        (folder / name).is_file() and sha256((folder / name).read_bytes()) == digest
        for name, digest in FILES.values()
    )


def take_from(wheel: Path, folder: Path) -> None:
    """Copy the wanted files out of ``wheel``; raises RuntimeError when a byte differs."""
    folder.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(wheel) as archive:
        for path, (name, digest) in FILES.items():
            data = archive.read(path)
            if sha256(data) != digest:
                raise RuntimeError(f"{path} in {wheel.name} is not the expected uPlot file")
            (folder / name).write_bytes(data)


def fetch(folder: Path = VENDOR) -> None:
    if already_there(folder):
        return
    with tempfile.TemporaryDirectory() as scratch:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
        command += ["--disable-pip-version-check", "--only-binary=:all:"]
        command += ["--dest", scratch, CARRIER]
        subprocess.run(command, check=True)  # noqa: S603 - fixed words, our own interpreter
        take_from(next(Path(scratch).glob("*.whl")), folder)


class ChartHook(BuildHookInterface):  # type: ignore[type-arg,misc,unused-ignore]
    """Called by hatchling before the wheel, the sdist and an editable install."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        fetch()
