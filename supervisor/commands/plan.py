"""``spyhole plan``: checks a schedule and says what it will do to kiln and ware."""

from __future__ import annotations

import argparse
from typing import Any

from supervisor.commands.files import load_schedule
from supervisor.commands.output import heatwork_json, print_json, show_clock
from supervisor.core.errors import InputError
from supervisor.core.phases import cautions_for, heatwork_of, hold_for, phases_of
from supervisor.core.schedule import Schedule, Timeline, starter_names
from supervisor.core.schedule.parse import cone_name
from supervisor.core.schedule.timeline import (
    DEFAULT_START_C,
    NATURAL_CLIMB_C_PER_H,
    NATURAL_COOLING_S,
)
from supervisor.core.units import Unit
from supervisor.core.watch.wording import WITNESS, Words, show_share


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = "Checks and explains a schedule: timeline, phases, cone, cautions."
    parser.epilog = f"starter schedules: {', '.join(starter_names())}"
    parser.add_argument("schedule", help="a schedule file (TOML), or the name of a starter")
    parser.add_argument(
        "--hold-for", metavar="CONE", help="how long to hold at the peak so that CONE goes down"
    )
    parser.add_argument("--units", choices=["C", "F"], help="scale to show; default: the file's")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    schedule = load_schedule(options.schedule)
    timeline = Timeline(schedule)
    unit = Unit(options.units) if options.units else schedule.units
    wanted = None
    if options.hold_for is not None:
        cone = cone_name(options.hold_for)
        if cone is None:
            raise InputError(
                f'--hold-for {options.hold_for}: this is not a cone; allowed are "022" to "14", '
                f'half cones as "05.5" and "5.5"'
            )
        hold_min = hold_for(cone, schedule, timeline)
        wanted = {"cone": cone, "hold_min": None if hold_min is None else round(hold_min, 1)}
    cautions = cautions_for(schedule, timeline, Words(unit))
    if options.json:
        print_json(_document(schedule, timeline, Words(unit), cautions, wanted))
    else:
        _show(schedule, timeline, Words(unit), cautions, wanted)
    return 0


def _document(
    schedule: Schedule,
    timeline: Timeline,
    words: Words,
    cautions: list[str],
    wanted: dict[str, Any] | None,
) -> dict[str, Any]:
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
        "heatwork": heatwork_json(None, heatwork_of(timeline)),
        "phases": [
            {
                "name": phase.band.name,
                "from_c": phase.band.low_c,
                "to_c": phase.band.high_c,
                "start_s": round(phase.start_s, 1),
                "end_s": round(phase.end_s, 1),
                "why": phase.band.reason(words),
            }
            for phase in phases_of(schedule, timeline)
        ],
        "cautions": cautions,
        "hold_for": wanted,
    }


def _show(
    schedule: Schedule,
    timeline: Timeline,
    words: Words,
    cautions: list[str],
    wanted: dict[str, Any] | None,
) -> None:
    print(schedule.name)
    target = f", for cone {schedule.target_cone}" if schedule.target_cone else ""
    print(f"{schedule.kind.value.capitalize()} firing in {schedule.atmosphere.value}{target}.")
    print()
    print(f"{'from':>6} {'to':>6}  {'step':<40} note")
    for step in timeline.steps:
        rate = step.rate_c_per_h
        verb = "cool" if step.cools else "climb"
        how = f"{verb} by itself" if rate is None else f"{verb} {words.rate(rate)}"
        if rate is None and step.climbs:
            how = "climb at full power"
        text = f"{how} to {words.temp(step.to_c)}"
        print(
            f"{show_clock(step.start_s):>6} {show_clock(step.reach_s):>6}  {text:<52} {step.note}"
        )
        if step.hold_s:
            text = f"hold {step.hold_s / 60.0:.0f} min at {words.temp(step.to_c)}"
            print(f"{show_clock(step.reach_s):>6} {show_clock(step.end_s):>6}  {text}")
    print()
    print(
        f"It takes {show_clock(timeline.total_s)} h from {words.temp(DEFAULT_START_C)}; "
        f"the peak is {words.temp(schedule.peak_c)}."
    )
    _show_natural(schedule, words)
    _show_cones(timeline)
    if wanted is not None:
        _show_hold(schedule, words, wanted)
    phases = phases_of(schedule, timeline)
    if phases:
        print("\nWhat the ware goes through:")
        for phase in phases:
            band = phase.band
            print(
                f"{show_clock(phase.start_s):>6} {show_clock(phase.end_s):>6}  {band.name}, "
                f"{words.temp(band.low_c)} to {words.temp(band.high_c)}: {band.reason(words)}"
            )
    if cautions:
        print("\nCautions:")
        for caution in cautions:
            print(f"  - {caution}")


def _show_natural(schedule: Schedule, words: Words) -> None:
    if any(step.rate_c_per_h is None for step in schedule.steps):
        print(
            f"Steps without a rate are estimated: {words.rate(NATURAL_CLIMB_C_PER_H)} up, and "
            f"cooling with a time constant of {NATURAL_COOLING_S / 3600.0:.0f} h."
        )


def _show_cones(timeline: Timeline) -> None:
    progress = heatwork_of(timeline)
    if progress.cone is None:
        print("No cone goes down.")
        return
    at = show_clock(progress.down_at_s[progress.cone])
    text = f"By calculation cone {progress.cone} goes down at {at} h"
    if progress.next_cone is not None:
        share = show_share(progress.toward_next)
        text += f", and cone {progress.next_cone} gets {share} of what it needs"
    print(f"{text}; {WITNESS}.")


def _show_hold(schedule: Schedule, words: Words, wanted: dict[str, Any]) -> None:
    where = f"at {words.temp(schedule.peak_c)}"
    if wanted["hold_min"] is None:
        print(f"No hold of less than 48 h {where} brings cone {wanted['cone']} down.")
    elif wanted["hold_min"] == 0:
        print(f"Cone {wanted['cone']} goes down without any hold {where}.")
    else:
        print(
            f"A hold of {wanted['hold_min']:.0f} min {where}, in place of the plan's own, brings "
            f"cone {wanted['cone']} down."
        )
