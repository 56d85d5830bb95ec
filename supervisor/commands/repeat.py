"""``spyhole repeat``: do that again, as a plan; and what might be changed for the next firing."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from pathlib import Path

from supervisor.commands.files import is_there
from supervisor.commands.looked_back import LookedBack, describe_firing, looked_back, split_list
from supervisor.commands.output import hanging, print_json
from supervisor.core.defects import defect_of, trace_defects
from supervisor.core.errors import InputError
from supervisor.core.refit import (
    LEAST_WITHIN_C,
    MOST_WITHIN_C,
    USUAL_WITHIN_C,
    Refit,
    Suggestion,
    suggestions,
)
from supervisor.core.refit.again import again, checked, comments, left_out
from supervisor.core.review import document_of
from supervisor.core.schedule import parse_schedule
from supervisor.core.schedule.parse import MAX_STEPS
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit, difference_from_c, difference_to_c
from supervisor.core.watch.settings import WatchSettings
from supervisor.core.watch.wording import show_duration
from supervisor.whole_file import whole_file

_WITHIN = re.compile(r"(?P<number>\d{1,3}(?:\.\d{1,2})?)\s*°?\s*(?P<unit>[CcFf])?", re.ASCII)


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Makes a plan from an actual firing: the fewest steps that follow its record within a\n"
        "tolerance, holds among them, natural cooling left out, with the cone that it reached.\n"
        "The plan's heat-work is checked against the firing's. Then it suggests small changes\n"
        "for the next firing, from the witness cones and from what you found on unloading; it\n"
        "puts none of them into the plan."
    )
    parser.epilog = "example: spyhole repeat 2026-11-25-b07f --out again.toml --within 5C"
    describe_firing(parser)
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="where to write the plan (.toml); never over a file",
    )
    parser.add_argument(
        "--within",
        metavar="DEGREES",
        help=f"tolerance, as 5C or 9F; default {USUAL_WITHIN_C:.0f} °C, more where that takes "
        "many steps",
    )
    parser.add_argument(
        "--defect",
        action="append",
        default=[],
        metavar="NAME",
        help="what was wrong with the ware, as for `spyhole unload`; default: what is ticked there",
    )
    parser.set_defaults(usage=parser.error)


def run(options: argparse.Namespace) -> int:
    if options.firing is None:
        options.usage("name the firing (`spyhole log` lists them)")
    ticked = [defect_of(name).kind for name in split_list(options.defect)]
    if options.out is not None:
        _must_be_new(options.out)
    told = looked_back(options)
    within_c = _within(options.within, told.words.unit)
    found = again(told.name, told.facts, told.trace, told.schedule, told.words.unit, within_c)
    if found is None:
        raise InputError(f"{told.name} is no firing to repeat: the kiln never was hot in it")
    course, fitted = found
    if len(fitted.schedule.steps) > MAX_STEPS:
        raise InputError(
            f"within {told.words.difference(fitted.within_c)} it takes "
            f"{len(fitted.schedule.steps)} steps, and a schedule has at most {MAX_STEPS}: give a "
            f"wider --within"
        )
    words = told.words
    text = schedule_toml(
        fitted.schedule, list(comments(told.name, told.facts, course, fitted, words))
    )
    # What could not be read back is never given away.
    parse_schedule(text, "the plan of this firing")
    if options.out is not None:
        _must_be_new(options.out)
        with whole_file(options.out) as file:
            file.write(text)
    traced = trace_defects(told.facts, ticked or told.ticked, words)
    changes = suggestions(fitted, told.facts, words, traced=traced, limit_c=_limit_c(told))
    if options.json:
        print_json(_document(told, fitted, changes, text, options.out))
        return 0
    for line in _lines(told, fitted, changes, course.up.at_s[0]):
        print(line)
    if options.out is not None:
        print(
            f"\n{options.out}: the plan as it was fired; `spyhole plan {options.out}` explains it"
        )
    else:
        print(f"\n{text}", end="")
    return 0


def _lines(
    told: LookedBack, fitted: Refit, changes: tuple[Suggestion, ...], begun_s: float
) -> Iterator[str]:
    words = told.words
    yield told.heading()
    yield fitted.schedule.name
    for number, step in enumerate(fitted.schedule.steps, start=1):
        rate = "as it goes" if step.rate_c_per_h is None else words.rate(step.rate_c_per_h)
        hold = f", hold {show_duration(step.hold_s)}" if step.hold_s else ""
        yield f"  {number}. {rate} to {words.temp(step.to_c)}{hold}"
    yield from hanging(" ".join(checked(fitted, words)), "  ")
    for one in fitted.left_out:
        yield from hanging(left_out(one, words, begun_s), "  ")
    yield ""
    if not changes:
        yield "Nothing to change, as far as the record and the cones tell."
        return
    yield "For the next firing (one at a time; none of it is in the plan):"
    for change in changes:
        yield from hanging(f"{change.reason} {change.change}", "  - ")


def _document(
    told: LookedBack,
    fitted: Refit,
    changes: tuple[Suggestion, ...],
    text: str,
    out: Path | None,
) -> dict[str, object]:
    schedule = fitted.schedule
    return {
        "firing": told.name,
        "out": None if out is None else str(out),
        "toml": text,
        "name": schedule.name,
        "target_cone": schedule.target_cone,
        "steps": document_of(schedule.steps),
        "start_c": round(fitted.start_c, 1),
        "within_c": fitted.within_c,
        "off_c": round(fitted.off_c, 2),
        "off_at_s": fitted.off_at_s,
        "heatwork": {
            "firing": document_of(fitted.fired_place),
            "plan": document_of(fitted.place),
            "cones_apart": document_of(fitted.cones_apart),
            "within_a_tenth": fitted.agrees,
            "hold_added_s": fitted.hold_added_s,
        },
        "left_out": document_of(fitted.left_out),
        "suggestions": document_of(changes),
    }


def _must_be_new(out: Path) -> None:
    if out.suffix.lower() != ".toml":
        raise InputError("a plan is written as .toml; give a name that ends so", where=str(out))
    if is_there(out):
        raise InputError("there is a file of that name; a plan never replaces one", where=str(out))


def _within(text: str | None, unit: Unit) -> float | None:
    if text is None:
        return None
    found = _WITHIN.fullmatch(text.strip())
    given = Unit(found["unit"].upper()) if found is not None and found["unit"] else unit
    within_c = 0.0 if found is None else difference_to_c(float(found["number"]), given)
    if not LEAST_WITHIN_C - 1e-9 <= within_c <= MOST_WITHIN_C + 1e-9:
        low, high = (difference_from_c(c, given) for c in (LEAST_WITHIN_C, MOST_WITHIN_C))
        raise InputError(
            f"--within {text[:20]} is no tolerance: give {low:.1f} to {high:.0f} °{given.value}, "
            f"as 5C or 9F"
        )
    return within_c


def _limit_c(told: LookedBack) -> float | None:
    if told.firing is None:
        return None
    kept = WatchSettings.of_kept(told.firing.settings.get("watch"))
    return None if kept is None else kept.limit_c
