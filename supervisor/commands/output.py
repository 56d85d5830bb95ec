"""How figures are shown on the terminal and written as JSON."""

from __future__ import annotations

import json
import sys
import textwrap
from typing import Any

from supervisor.core.heatwork import Progress
from supervisor.core.heatwork.interval import ConeInterval

_WIDTH = 96


def print_json(document: Any) -> None:
    """One JSON document to stdout and nothing else."""
    json.dump(document, sys.stdout, ensure_ascii=False, allow_nan=False, indent=2)
    sys.stdout.write("\n")


def heatwork_json(channel: str | None, progress: Progress) -> dict[str, Any]:
    """The JSON of heat-work; cones that have had less than a thousandth are left out."""
    return {
        "channel": channel,
        "cone": progress.cone,
        "next_cone": progress.next_cone,
        "toward_next": round(progress.toward_next, 4),
        "work": {
            cone: round(work, 4)
            for cone, work in progress.work.items()
            if work >= 0.001 or cone == progress.next_cone
        },
        "down_at_s": dict(progress.down_at_s),
    }


def interval_json(interval: ConeInterval | None) -> dict[str, Any] | None:
    """The JSON of how sure the cone is that is down."""
    if interval is None:
        return None
    return {
        "coolest": interval.coolest,
        "hottest": interval.hottest,
        "off_c": round(interval.off_c, 1),
    }


def hanging(text: str, first: str) -> list[str]:
    """The text in a terminal's lines; what follows the first stands under its beginning."""
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_on_hyphens=False,
    )


class Progressing:
    """A line of progress on a terminal's stderr; silent where there is no terminal."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._shown = sys.stderr.isatty()

    def at(self, done: float, unit: str = "") -> None:
        if self._shown:
            sys.stderr.write(f"\r{self._what}: {done:,.0f} {unit} ")
            sys.stderr.flush()

    def end(self) -> None:
        if self._shown:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()
