"""``spyhole plan``: checks a schedule and says what it will do to kiln and ware."""

from __future__ import annotations

import argparse
import re
import shutil
import textwrap
from pathlib import Path
from typing import Any

from supervisor.commands.files import load_schedule
from supervisor.commands.output import heatwork_json, interval_json, print_json
from supervisor.core.errors import InputError
from supervisor.core.heatwork.cones import ALLOWED_CONES
from supervisor.core.phases.explain import CAUTIONS, Explanation, explain
from supervisor.core.schedule import Schedule, Timeline, starter_names
from supervisor.core.schedule.parse import HIGHEST_C, LOWEST_C, cone_name
from supervisor.core.units import Unit, from_c, to_c
from supervisor.core.watch.wording import Words
from supervisor.picture import write_plan

_WIDEST, _NARROWEST = 100, 40
_LIST_INDENT = "  "
_TIMES = re.compile(r"^(\d+:\d\d to \d+:\d\d) +")
_TOGETHER = re.compile(
    r"(?<=\d) (?=°[CF]|h\b|hours?\b|min\b|minutes?\b|%|times\b|(?:of a )?cones?\b)"
    r"|(?<=°[CF]) (?=an hour)|(?<=cone) (?=\d)"
)
"""Spaces at which no line is broken: a number stays with its unit."""
_HARD_SPACE = "\N{NO-BREAK SPACE}"


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = "Checks and explains a schedule: timeline, phases, cone, cautions."
    parser.epilog = f"starter schedules: {', '.join(starter_names())}"
    parser.add_argument("schedule", help="a schedule file (TOML), or the name of a starter")
    parser.add_argument(
        "--hold-for", metavar="CONE", help="how long to hold at the peak so that CONE goes down"
    )
    parser.add_argument(
        "--limit",
        metavar="DEGREES",
        help="the temperature that the kiln's maker allows, in the scale that is shown",
    )
    parser.add_argument(
        "--out", metavar="FILE", help="draw the plan into FILE: .html, .svg or .png"
    )
    parser.add_argument("--units", choices=["C", "F"], help="scale to show; default: the file's")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    schedule = load_schedule(options.schedule)
    timeline = Timeline(schedule)
    unit = Unit(options.units) if options.units else schedule.units
    words = Words(unit)
    explained = explain(
        schedule,
        timeline,
        words,
        limit_c=_limit_c(options.limit, unit),
        hold_for_cone=_cone(options.hold_for),
    )
    if options.out is not None:
        write_plan(
            Path(options.out),
            schedule=schedule,
            timeline=timeline,
            phases=explained.phases,
            progress=explained.progress,
            words=words,
            # On a long page, what must not be missed comes first.
            sections=sorted(explained.sections, key=lambda section: section[0] != CAUTIONS),
        )
    if options.json:
        print_json(_document(schedule, timeline, words, explained))
    elif options.out is not None:
        count = len(explained.cautions)
        cautions = "1 caution" if count == 1 else f"{count or 'no'} cautions"
        print(f"{options.out}: {schedule.name}, {cautions}")
    else:
        _show(explained)
    return 0


def _cone(text: str | None) -> str | None:
    if text is None:
        return None
    cone = cone_name(text)
    if cone is None:
        raise InputError(f"--hold-for {text}: this is not a cone; allowed are {ALLOWED_CONES}")
    return cone


def _limit_c(text: str | None, unit: Unit) -> float | None:
    if text is None:
        return None
    low, high = from_c(LOWEST_C, unit), from_c(HIGHEST_C, unit)
    try:
        limit = float(text)
    except ValueError:
        limit = float("nan")
    if not low <= limit <= high:
        raise InputError(
            f"--limit {text[:40]}: this is not a kiln's limit; give {low:.0f} to {high:.0f} "
            f"°{unit.value}"
        )
    return to_c(limit, unit)


def _document(
    schedule: Schedule, timeline: Timeline, words: Words, explained: Explanation
) -> dict[str, Any]:
    wanted = explained.wanted
    return {
        "name": schedule.name,
        "total_s": round(timeline.total_s, 1),
        "peak_c": round(schedule.peak_c, 2),
        "steps": [
            {
                "start_s": round(step.start_s, 1),
                "end_s": round(step.end_s, 1),
                "from_c": round(step.from_c, 2),
                "to_c": round(step.to_c, 2),
                "rate_c_per_h": None if step.rate_c_per_h is None else round(step.rate_c_per_h, 2),
                "hold_s": round(step.hold_s, 1),
                "note": step.note,
            }
            for step in timeline.steps
        ],
        "heatwork": heatwork_json(None, explained.progress),
        "phases": [
            {
                "name": str(phase.band.name),
                "from_c": round(phase.band.from_c, 2),
                "to_c": round(phase.band.to_c, 2),
                "start_s": round(phase.start_s, 1),
                "end_s": round(phase.end_s, 1),
                "why": phase.band.reason(words),
                "way": phase.band.way.value,
                "rate_c_per_h": round(phase.rate_c_per_h, 2),
                "fastest_c_per_h": phase.band.fastest_c_per_h,
                "source": phase.band.source,
            }
            for phase in explained.phases
        ],
        "cautions": list(explained.cautions),
        "hold_for": None
        if wanted is None
        else {
            "cone": wanted.cone,
            "hold_min": wanted.hold_min,
        },
        "cone_interval": interval_json(explained.interval),
        "hurries": list(explained.hurries),
        "dawdles": list(explained.dawdles),
    }


def _show(explained: Explanation) -> None:
    width = min(_WIDEST, max(_NARROWEST, shutil.get_terminal_size((_WIDEST, 24)).columns))
    print(_wrapped(explained.name, width))
    print(_wrapped(explained.summary, width))
    for heading, lines in explained.sections:
        print(f"\n{heading}:")
        bullet = "- " if heading == CAUTIONS else ""
        for line in lines:
            print(_wrapped(line, width, _LIST_INDENT, bullet))


def _wrapped(text: str, width: int, indent: str = "", bullet: str = "") -> str:
    """The text in lines of at most ``width``; what follows a time stands in a column."""
    times = _TIMES.match(text)
    hang = indent + " " * len(bullet)
    indent += bullet
    if times is not None:
        label = f"{times.group(1):<14}  "
        hang = indent + " " * len(label)
        indent += label.replace(" ", _HARD_SPACE)
        text = text[times.end() :]
    lines = textwrap.wrap(
        _TOGETHER.sub(_HARD_SPACE, text),
        width,
        initial_indent=indent,
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join(lines).replace(_HARD_SPACE, " ")
