"""``spyhole.toml``: what stands where, in the owner's words.

Every key has a default except the sensors of a real rig; an unknown key is an error, named
with its line. Temperatures are in the file's own ``units``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from hardware.channel import ThermocoupleChannel
from supervisor.core.errors import InputError
from supervisor.core.heatwork.uncertainty import WIRE_TYPES, Wire
from supervisor.core.toml_places import line_of, parse_toml, shown
from supervisor.core.units import Unit, difference_to_c, to_c
from supervisor.core.watch import WatchSettings
from supervisor.messaging.mqtt import BrokerSettings

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)]
Port = Annotated[int, Field(ge=0, le=65535)]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, strict=True)


class KilnTable(_Table):
    """The kiln: its name, how it is heated, and the limit its maker gives."""

    name: Name = "kiln"
    kind: Literal["electric", "gas", "wood"] = "electric"
    limit: float | None = Field(default=None, gt=0, le=3000)


class SensorTable(_Table):
    """One thermocouple behind a MAX31856: channel name, chip-select pin, type, correction.

    ``wire`` is the tolerance class of ASTM E230 that it was sold as.
    """

    channel: Name
    chip_select: str
    type: str = "K"
    wire: Literal["standard", "special"] = "standard"
    offset: float = 0.0
    averaging: int = 4


class WatchTable(_Table):
    """Tolerances of the watch."""

    schedule: str | None = None
    interval_s: float = Field(default=1.0, ge=0.2, le=60)
    mains_hz: Literal[50, 60] = 50
    false_alarms_per_1000_h: float = Field(default=1.0, ge=0.01, le=100)
    lagging_min: float = Field(default=30.0, gt=0, le=1440)
    overshoot: float | None = Field(default=None, gt=0, le=200)
    uneven: float | None = Field(default=None, gt=0, le=400)
    cone_near_min: float = Field(default=20.0, gt=0, le=240)
    no_readings_min: float = Field(default=2.0, ge=0.5, le=60)
    open_below: float | None = Field(default=None, gt=0, le=400)


class MqttTable(_Table):
    """The broker that carries the messages. Left out: no messages."""

    host: Name
    port: Port = 1883
    user: str | None = None
    password: str | None = Field(default=None, repr=False)
    tls: bool = False
    ca_file: str | None = None
    cert_file: str | None = None
    key_file: str | None = None


class PageTable(_Table):
    """The page. The default address is this machine alone; "0.0.0.0" is the whole network."""

    host: Name = "127.0.0.1"
    port: Port = 8017
    names: list[Name] = []


class RecordTable(_Table):
    """Where the record lies; else ``--data``, SPYHOLE_DATA or the user's data folder."""

    data: str | None = None


class Config(_Table):
    """The whole file."""

    units: Literal["C", "F"] = "C"
    kiln: KilnTable = KilnTable()
    sensor: list[SensorTable] = Field(default=[], max_length=16)
    watch: WatchTable = WatchTable()
    mqtt: MqttTable | None = None
    page: PageTable = PageTable()
    record: RecordTable = RecordTable()

    @property
    def unit(self) -> Unit:
        return Unit(self.units)

    def channels(self) -> tuple[ThermocoupleChannel, ...]:
        """The sensors as the rig wants them; raises InputError for what can't be one."""
        return tuple(
            ThermocoupleChannel(
                sensor.channel,
                sensor.chip_select,
                thermocouple_type=sensor.type,
                offset_c=difference_to_c(sensor.offset, self.unit),
                averaging=sensor.averaging,
            )
            for sensor in self.sensor
        )

    def watch_settings(self) -> WatchSettings:
        """The tolerances in °C and seconds, with the watch's own defaults where none is set."""
        default = WatchSettings()
        table, unit = self.watch, self.unit
        return WatchSettings(
            units=unit,
            false_alarms_per_1000_h=table.false_alarms_per_1000_h,
            kiln_kind=self.kiln.kind if "kind" in self.kiln.model_fields_set else None,
            lagging_s=table.lagging_min * 60.0,
            overshoot_c=default.overshoot_c
            if table.overshoot is None
            else difference_to_c(table.overshoot, unit),
            uneven_c=default.uneven_c
            if table.uneven is None
            else difference_to_c(table.uneven, unit),
            cone_near_s=table.cone_near_min * 60.0,
            no_readings_s=table.no_readings_min * 60.0,
            limit_c=None if self.kiln.limit is None else to_c(self.kiln.limit, unit),
            open_below_c=default.open_below_c
            if table.open_below is None
            else to_c(table.open_below, unit),
            wires={
                sensor.channel: Wire(sensor.type, special=sensor.wire == "special")
                for sensor in self.sensor
                if sensor.type in WIRE_TYPES
            },
        )

    def broker(self, folder: Path = Path()) -> BrokerSettings | None:
        """How to reach the broker; None where no messages are wanted.

        Certificate files are looked for in ``folder``, the configuration's own. Raises
        InputError for certificates without TLS, and for a key without its certificate.
        """
        table = self.mqtt
        if table is None:
            return None
        if not table.tls and (table.ca_file or table.cert_file or table.key_file):
            raise InputError("[mqtt] names certificate files, but not `tls = true`")
        if table.key_file and not table.cert_file:
            raise InputError("[mqtt] names a key_file, but no cert_file")
        return BrokerSettings(
            host=table.host,
            port=table.port,
            user=table.user,
            password=table.password,
            uses_tls=table.tls,
            ca_file=folder / table.ca_file if table.ca_file else None,
            cert_file=folder / table.cert_file if table.cert_file else None,
            key_file=folder / table.key_file if table.key_file else None,
        )


def parse_config(text: str, where: str) -> Config:
    """The configuration written in ``text``; raises InputError with the line of a mistake."""
    data = parse_toml(text, where)
    try:
        return Config.model_validate(data)
    except ValidationError as error:
        raise _sentence(error, text, where) from None


def _sentence(error: ValidationError, text: str, where: str) -> InputError:
    first = error.errors()[0]
    path = tuple(part for part in first["loc"])
    line = line_of(text, path) or line_of(text, path[:-1])
    key = ".".join(str(part + 1) if isinstance(part, int) else part for part in path)
    if first["type"] == "extra_forbidden":
        what = f"unknown key {shown(path[-1])}; {_allowed(path[:-1])}"
    elif first["type"] == "missing":
        what = f"{key} is missing"
    else:
        # pydantic begins with "Input should be", "String should have" or "List should have".
        reason = (first["msg"].partition(" should ")[2] or first["msg"]).removeprefix("be ")
        if reason.startswith("have "):
            reason = f"one that has {reason.removeprefix('have ')}"
        found = "" if path[-1] == "password" else f" = {shown(first['input'])}"
        what = f"{key}{found} is not allowed; give {reason}"
    return InputError(what, where=f"{where}, line {line}" if line else where)


def _allowed(path: tuple[int | str, ...]) -> str:
    tables: dict[str, type[_Table]] = {
        "kiln": KilnTable,
        "sensor": SensorTable,
        "watch": WatchTable,
        "mqtt": MqttTable,
        "page": PageTable,
        "record": RecordTable,
    }
    table = tables.get(str(path[0]), Config) if path else Config
    return f"allowed are {', '.join(table.model_fields)}"
