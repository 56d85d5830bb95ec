"""Scenarios: which kiln is fired by which schedule, what watches it and what goes wrong.

A scenario is a TOML file. Those that come with spyhole are asked for by name, others by path.
Every mistake in one is answered by a single sentence with file and key.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from simulator.faults import FaultKind, FaultSpec
from simulator.kiln import ZONES, KilnSpec
from simulator.presets import kiln_spec
from simulator.thermocouple import SensorSpec
from supervisor.core.errors import InputError
from supervisor.core.schedule import Schedule, parse_schedule, starter

LARGEST_FILE_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Scenario:
    """One simulated firing, complete: the same scenario gives the same readings.

    The controller is switched on after ``start_delay_s``. The firing is over after
    ``duration_s``, or when the kiln is cold again (``None``), but in any case after ``max_s``.
    """

    name: str
    title: str
    kiln: KilnSpec
    schedule: Schedule
    sensors: tuple[SensorSpec, ...]
    faults: tuple[FaultSpec, ...] = ()
    ambient_c: float = 18.0
    start_delay_s: float = 0.0
    duration_s: float | None = None
    max_s: float = 48 * 3600.0
    seed: int = 1

    @property
    def channels(self) -> tuple[str, ...]:
        """The rig's channels, in order."""
        return tuple(sensor.channel for sensor in self.sensors)

    def with_seed(self, seed: int) -> Scenario:
        """The same scenario with other noise and other offsets."""
        return replace(self, seed=seed)


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


_Seconds = Annotated[float, Field(ge=0.5, le=600.0)]
_Minutes = Annotated[float, Field(ge=0.0, le=10_000.0)]
_Hours = Annotated[float, Field(gt=0.0, le=168.0)]
_Channel = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,30}$")]


class _SensorTable(_Table):
    channel: _Channel
    zone: Literal["top", "middle", "bottom"]
    lag_s: _Seconds = 30.0
    noise_c: Annotated[float, Field(ge=0.0, le=50.0)] = 0.3
    offset_c: Annotated[float, Field(ge=-50.0, le=50.0)] | None = None


class _FaultTable(_Table):
    kind: Literal["stall", "power_cut", "open_thermocouple"]
    at_min: _Minutes | None = None
    at_c: Annotated[float, Field(ge=0.0, le=1500.0)] | None = None
    for_min: _Minutes | None = None
    severity: Annotated[float, Field(gt=0.0, le=1.0)] | None = None
    channel: _Channel | None = None


class _ScenarioTable(_Table):
    title: Annotated[str, Field(min_length=1, max_length=200)]
    kiln: str
    schedule: str
    seed: Annotated[int, Field(ge=0, le=2**63 - 1)] = 1
    ambient_c: Annotated[float, Field(ge=-30.0, le=50.0)] = 18.0
    start_delay_min: _Minutes = 0.0
    hours: _Hours | None = None
    max_hours: _Hours = 48.0
    sensor: list[_SensorTable] = Field(default_factory=list, max_length=16)
    fault: list[_FaultTable] = Field(default_factory=list, max_length=16)


_TABLES: dict[str, type[_Table]] = {"sensor": _SensorTable, "fault": _FaultTable}


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
        known = ", ".join(scenario_names())
        raise InputError(
            f"there is no scenario “{_short(name_or_path)}”; give the path of a .toml file "
            f"or one of {known}"
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
        table = _ScenarioTable.model_validate(data)
    except ValidationError as error:
        raise _input_error(error, where) from None
    try:
        kiln = kiln_spec(_short(table.kiln))
        schedule = _schedule(table.schedule, folder or Path())
    except InputError as error:
        raise InputError(str(error), where=where) from None
    sensors = tuple(
        SensorSpec(s.channel, s.zone, s.lag_s, s.noise_c, s.offset_c) for s in table.sensor
    ) or tuple(SensorSpec(channel=zone, zone=zone) for zone in ZONES)
    channels = [sensor.channel for sensor in sensors]
    if len(set(channels)) < len(channels):
        raise InputError("two sensors have the same channel; give each its own", where=where)
    return Scenario(
        name=name,
        title=table.title,
        kiln=kiln,
        schedule=schedule,
        sensors=sensors,
        faults=tuple(
            _fault(fault, channels, f"{where}, fault {number}")
            for number, fault in enumerate(table.fault, start=1)
        ),
        ambient_c=table.ambient_c,
        start_delay_s=table.start_delay_min * 60.0,
        duration_s=None if table.hours is None else table.hours * 3600.0,
        max_s=table.max_hours * 3600.0,
        seed=table.seed,
    )


def _fault(table: _FaultTable, channels: list[str], where: str) -> FaultSpec:
    kind = FaultKind(table.kind)
    if (table.at_c is None) == (table.at_min is None):
        raise InputError(
            "a fault begins either `at_min` or `at_c`; give one of the two", where=where
        )
    if kind is not FaultKind.STALL and table.severity is not None:
        raise InputError(f"`severity` belongs to a stall; a {kind} has none", where=where)
    if kind is FaultKind.OPEN_THERMOCOUPLE:
        if table.channel not in channels:
            raise InputError(
                f"`channel` must name the probe that breaks, one of {', '.join(channels)}",
                where=where,
            )
    elif table.channel is not None:
        raise InputError(f"`channel` belongs to a probe; a {kind} has none", where=where)
    return FaultSpec(
        kind=kind,
        at_s=None if table.at_min is None else table.at_min * 60.0,
        at_c=table.at_c,
        lasts_s=None if table.for_min is None else table.for_min * 60.0,
        severity=table.severity,
        channel=table.channel,
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
    table: type[_Table] = _ScenarioTable
    place = where
    if len(path) >= 2 and isinstance(path[1], int):
        table = _TABLES[str(path[0])]
        place = f"{where}, {path[0]} {path[1] + 1}"
        path = path[2:]
    key = _short(str(path[0])) if path else ""
    if first["type"] == "extra_forbidden":
        allowed = ", ".join(table.model_fields)
        return InputError(f"unknown key “{key}”; allowed are {allowed}", where=place)
    if first["type"] == "missing":
        return InputError(f"`{key}` is missing", where=place)
    said = first["msg"].removeprefix("Input ")
    return InputError(f"{key} = {_shown(first['input'])} does not fit; it {said}", where=place)


def _shown(value: object) -> str:
    try:
        return _short(str(value))
    except ValueError:  # a whole number of thousands of digits
        return "a very long number"


def _short(text: str) -> str:
    plain = "".join(c if c.isprintable() else "?" for c in text[:80])
    return plain if len(plain) <= 60 else plain[:57] + "..."
