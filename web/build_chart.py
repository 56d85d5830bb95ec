"""Build step: fetch the chart library, check it, and lay it beside the page.

The page must work in a shed without internet and `pip install` must work without Node, and
no third-party code is kept in this repository. So the build asks pip for a package that
carries uPlot's own distribution files unchanged, takes two files out of it and refuses them
unless they are the bytes that uPlot 1.6.16 published (compared once with the npm package).
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

CARRIER = "uplot-python==1.1.1"
FILES = {
    "uplot/static/uPlot.iife.js": (
        "655bc8aa33781e8721c5af6b59f1699c03c9bda951aa74a6ab518ac20cc4326d"
    ),
    "uplot/static/uPlot.min.css": (
        "3f121cd4a997b634e07a887658850018e475c26f0bddd874109a8d382c19de87"
    ),
}
VENDOR = Path(__file__).parent / "static" / "vendor"


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def already_there(folder: Path) -> bool:
    return all(
        (folder / Path(name).name).is_file()
        and sha256((folder / Path(name).name).read_bytes()) == digest
        for name, digest in FILES.items()
    )


def take_from(wheel: Path, folder: Path) -> None:
    """Copy the wanted files out of ``wheel``; raises RuntimeError when a byte differs."""
    folder.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(wheel) as archive:
        for name, digest in FILES.items():
            data = archive.read(name)
            if sha256(data) != digest:
                raise RuntimeError(f"{name} in {wheel.name} is not the expected uPlot file")
            (folder / Path(name).name).write_bytes(data)


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
