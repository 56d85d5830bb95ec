"""Scenarios: which kiln is fired by which schedule, what watches it and what goes wrong.

A scenario is a TOML file. Those that come with spyhole are asked for by name, others by path.
Every mistake in one is answered by a single sentence with file and key.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from simulator.faults import OF_A_CHANNEL, OF_A_ZONE, WHAT_SEVERITY_IS, FaultKind, FaultSpec
from simulator.kiln_spec import ZONES, KilnKind, KilnSpec
from simulator.operation import Operation, OperatorKind, Reduction, Stage
from simulator.presets import kiln_spec
from simulator.scenario_model import Scenario
from simulator.scenario_tables import TABLES, FaultTable, OperatorTable, ScenarioTable, Table
from simulator.thermocouple import SensorSpec
from supervisor.core.errors import InputError
from supervisor.core.schedule import Schedule, parse_schedule, starter

__all__ = ["Scenario", "load_scenario", "parse_scenario", "scenario_names"]

LARGEST_FILE_BYTES = 1_000_000
EXAMPLES = ("healthy-midfire", "stall", "power-cut", "broken-probe")
"""Named to somebody whose name is like none that there is."""


@cache
def scenario_names() -> tuple[str, ...]:
    """Names of the scenarios that come with spyhole, in alphabetical order."""
    folder = files("simulator").joinpath("scenarios")
    names = [entry.name for entry in folder.iterdir() if entry.name.endswith(".toml")]
    return tuple(sorted(name.removesuffix(".toml") for name in names))


def load_scenario(name_or_path: str) -> Scenario:
    """The scenario of that name, or the one in the file at that path.

    Raises InputError when there is neither, or when the file does not fit.
    """
    if name_or_path in scenario_names():
        packaged = files("simulator").joinpath("scenarios", f"{name_or_path}.toml")
        return parse_scenario(packaged.read_text(encoding="utf-8"), name_or_path)
    path = Path(name_or_path)
    if path.suffix != ".toml":
        alike = get_close_matches(name_or_path[:80], scenario_names(), n=4) or EXAMPLES
        raise InputError(
            f"there is no scenario “{_short(name_or_path)}”; give the path of a .toml file or a "
            f"name such as {', '.join(alike)} (the help of the command lists all)"
        )
    return parse_scenario(_text_of(path), path.stem, where=str(path), folder=path.parent)


def parse_scenario(
    text: str, name: str, *, where: str | None = None, folder: Path | None = None
) -> Scenario:
    """The scenario written in ``text``.

    ``where`` is the file's name for messages; ``folder`` is where a schedule given by a relative
    path is looked for. Raises InputError with file and key.
    """
    where = where or f"{name}.toml"
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        what = str(error) or "nested too deeply"
        raise InputError(f"this is not valid TOML ({_short(what)})", where=where) from None
    try:
        table = ScenarioTable.model_validate(data)
    except ValidationError as error:
        raise _input_error(error, where) from None
    try:
        kiln = kiln_spec(_short(table.kiln))
        schedule = _schedule(table.schedule, folder or Path())
    except InputError as error:
        raise InputError(str(error), where=where) from None
    sensors = tuple(SensorSpec(**sensor.model_dump()) for sensor in table.sensor) or tuple(
        SensorSpec(channel=zone, zone=zone) for zone in ZONES
    )
    channels = [sensor.channel for sensor in sensors]
    if len(set(channels)) < len(channels):
        raise InputError("two sensors have the same channel; give each its own", where=where)
    kiln = replace(kiln.loaded(table.load), ageing=table.ageing, mains_sag=table.mains_sag)
    return Scenario(
        name=name,
        title=table.title,
        kiln=kiln,
        schedule=schedule,
        sensors=sensors,
        faults=tuple(
            _fault(fault, channels, kiln, f"{where}, fault {number}")
            for number, fault in enumerate(table.fault, start=1)
        ),
        ambient_c=table.ambient_c,
        start_delay_s=table.start_delay_min * 60.0,
        duration_s=None if table.hours is None else table.hours * 3600.0,
        max_s=table.max_hours * 3600.0,
        seed=table.seed,
        operation=_operation(table.operator, kiln, schedule, f"{where}, operator"),
        start_c=table.start_c,
        interval_s=table.interval_s,
        began=_label(table.began, where),
    )


def _label(text: str | None, where: str) -> str | None:
    if text is None:
        return None
    try:
        began = datetime.fromisoformat(text)
    except ValueError:
        began = None
    if began is None or began.tzinfo is None:
        raise InputError(
            f"began = {_short(text)} does not fit; it is a date and time with its offset, as in "
            f"2026-03-01T18:00:00+01:00",
            where=where,
        )
    return began.isoformat()


_HEATED_BY = {
    OperatorKind.SWITCHES: (KilnKind.ELECTRIC,),
    OperatorKind.BURNER: (KilnKind.GAS,),
    OperatorKind.STOKING: (KilnKind.WOOD,),
    OperatorKind.CONTROLLER: (KilnKind.ELECTRIC, KilnKind.GAS),
}
_VISITS_MIN = {OperatorKind.STOKING: (5.0, 15.0)}


def _operation(
    table: OperatorTable | None, kiln: KilnSpec, schedule: Schedule, where: str
) -> Operation:
    if table is None:
        table = OperatorTable(kind="stoking" if kiln.kind is KilnKind.WOOD else "controller")
    kind = OperatorKind(table.kind)
    if kiln.kind not in _HEATED_BY[kind]:
        raise InputError(
            f"kind = {kind} does not work the {kiln.kind} kiln “{kiln.name}”; give one of "
            f"{', '.join(k for k in OperatorKind if kiln.kind in _HEATED_BY[k])}",
            where=where,
        )
    reduction = None
    given = [table.reduce_at_c, table.reduce_min, table.reduce_rate]
    if any(one is not None for one in given):
        if kind is not OperatorKind.BURNER and kind is not OperatorKind.STOKING:
            raise InputError(
                f"`reduce_at_c` belongs to a burner or stoking; a {kind} does not reduce",
                where=where,
            )
        if table.reduce_at_c is None or table.reduce_min is None or table.reduce_rate is None:
            raise InputError(
                "give `reduce_at_c`, `reduce_min` and `reduce_rate` together", where=where
            )
        reduction = Reduction(table.reduce_at_c, table.reduce_min * 60.0, table.reduce_rate)
    if (table.pause_at_c is None) != (table.pause_min is None):
        raise InputError("give `pause_at_c` and `pause_min` together", where=where)
    if (table.candle_min is None) != (table.candle_share is None):
        raise InputError("give `candle_min` and `candle_share` together", where=where)
    if table.skip_step is not None and table.skip_step > len(schedule.steps):
        raise InputError(
            f"skip_step = {table.skip_step} does not fit; the schedule has "
            f"{len(schedule.steps)} steps",
            where=where,
        )
    low_min, high_min = table.visit_min or _VISITS_MIN.get(kind, (20.0, 60.0))
    if not 1.0 <= low_min <= high_min <= 600.0:
        raise InputError(
            "`visit_min` holds the shortest and the longest time between two visits, 1 to 600 "
            "minutes",
            where=where,
        )
    return Operation(
        kind=kind,
        gain_error=table.gain_error,
        offset_c=table.offset_c,
        visit_s=(low_min * 60.0, high_min * 60.0),
        reduction=reduction,
        looks_per_h=table.looks_per_h,
        candle_s=(table.candle_min or 0.0) * 60.0,
        candle_share=table.candle_share or 0.0,
        pause_at_c=table.pause_at_c,
        pause_s=(table.pause_min or 0.0) * 60.0,
        skipped_step=None if table.skip_step is None else table.skip_step - 1,
    )


_ONLY_FOR = {
    FaultKind.WORN_ELEMENTS: (KilnKind.ELECTRIC,),
    FaultKind.PHASE_LOST: (KilnKind.ELECTRIC,),
    FaultKind.GAS_ICING: (KilnKind.GAS,),
    FaultKind.RELAY_STUCK: (KilnKind.ELECTRIC,),
}


def _fault(table: FaultTable, channels: list[str], kiln: KilnSpec, where: str) -> FaultSpec:
    kind = FaultKind(table.kind)
    begins = [table.at_min, table.at_c, table.below_c, table.stage]
    if sum(one is not None for one in begins) != 1:
        raise InputError(
            "a fault begins either `at_min`, `at_c`, `below_c` or in a `stage`; give one of them",
            where=where,
        )
    if table.after_min is not None and table.stage is None:
        raise InputError("`after_min` counts from a `stage`; give that too", where=where)
    if kiln.kind not in _ONLY_FOR.get(kind, tuple(KilnKind)):
        raise InputError(f"a {kind} does not befall the {kiln.kind} kiln", where=where)
    if table.severity is not None and kind not in WHAT_SEVERITY_IS:
        raise InputError(
            f"a {kind} has no `severity`; it belongs to {', '.join(WHAT_SEVERITY_IS)}", where=where
        )
    if kind in OF_A_CHANNEL:
        if table.channel not in channels:
            raise InputError(
                f"`channel` must name the probe concerned, one of {', '.join(channels)}",
                where=where,
            )
    elif table.channel is not None:
        raise InputError(f"`channel` belongs to a probe; a {kind} has none", where=where)
    if table.zone is not None and kind not in OF_A_ZONE:
        raise InputError(
            f"a {kind} has no `zone`; it belongs to {', '.join(sorted(OF_A_ZONE))}", where=where
        )
    if (table.step_min is not None) is not (kind is FaultKind.CLOCK_STEP):
        raise InputError("`step_min` belongs to a clock_step, which needs it", where=where)
    return FaultSpec(
        kind=kind,
        at_s=None if table.at_min is None else table.at_min * 60.0,
        at_c=table.at_c,
        below_c=table.below_c,
        stage=None if table.stage is None else Stage(table.stage),
        after_s=(table.after_min or 0.0) * 60.0,
        lasts_s=None if table.for_min is None else table.for_min * 60.0,
        severity=table.severity,
        channel=table.channel,
        zone=table.zone,
        step_s=(table.step_min or 0.0) * 60.0,
    )


def _schedule(name_or_path: str, folder: Path) -> Schedule:
    if not name_or_path.endswith(".toml"):
        return starter(_short(name_or_path))
    path = folder / name_or_path
    return parse_schedule(_text_of(path), str(path))


def _text_of(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise InputError(
                f"the file is larger than {LARGEST_FILE_BYTES:,} bytes", where=str(path)
            )
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise InputError("this is not a text file in UTF-8", where=str(path)) from None
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise InputError("this can't be the path of a file") from None
    except OSError as error:
        why = error.strerror or "it can't be read"
        raise InputError(f"can't read the file ({why.lower()})", where=str(path)) from None


def _input_error(error: ValidationError, where: str) -> InputError:
    """The first thing that pydantic found, as one of our sentences."""
    first = error.errors(include_url=False, include_context=False)[0]
    path = [part for part in first["loc"] if part != "function-after"]
    table: type[Table] = ScenarioTable
    place = where
    if len(path) >= 2 and str(path[0]) in TABLES:
        table = TABLES[str(path[0])]
        place = f"{where}, {path[0]}"
        path = path[1:]
        if isinstance(path[0], int):
            place = f"{place} {path[0] + 1}"
            path = path[1:]
    key = _short(str(path[0])) if path else ""
    if first["type"] == "extra_forbidden":
        allowed = ", ".join(table.model_fields)
        return InputError(f"unknown key “{key}”; allowed are {allowed}", where=place)
    if first["type"] == "missing":
        return InputError(f"`{key}` is missing", where=place)
    said = first["msg"].removeprefix("Input ")
    if first["type"] == "literal_error":
        words = get_args(table.model_fields[key].annotation)
        said = f"is one of {', '.join(_words(words))}"
    return InputError(f"{key} = {_shown(first['input'])} does not fit; it {said}", where=place)


def _words(choices: Iterable[object]) -> Iterator[str]:
    """The words among a key's choices, also of a key that may be left out."""
    for choice in choices:
        if isinstance(choice, str):
            yield choice
        else:
            yield from _words(get_args(choice))


def _shown(value: object) -> str:
    try:
        return _short(str(value))
    except ValueError:  # a whole number of thousands of digits
        return "a very long number"


def _short(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text[:80])
    return plain if len(plain) <= 60 else plain[:57] + "..."
