"""``spyhole.toml``: what stands where, in the owner's words.

Every key has a default except the sensors of a real rig; an unknown key is an error, named
with its line. Temperatures are in the file's own ``units``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import (
    Field,
    StringConstraints,
    ValidationError,
)

from hardware.buses import DEFAULT_BUS
from hardware.channel import ThermocoupleChannel
from supervisor.core.alerts import AlertRules
from supervisor.core.errors import InputError
from supervisor.core.heatwork.uncertainty import WIRE_TYPES, Wire
from supervisor.core.toml_places import line_of, parse_toml, shown
from supervisor.core.units import Unit, difference_to_c, from_c, to_c
from supervisor.core.watch import WatchSettings
from supervisor.messaging.notify import Address
from supervisor.messaging.settings import BrokerSettings
from supervisor.service.broker_access import PASSWORD_VARIABLE, broker_settings
from supervisor.service.config_alerts import AlertsTable, NotifyTable
from supervisor.service.config_record import RecordTable
from supervisor.service.config_table import KeysError, Table
from supervisor.service.page_rules import PageRules
from web.access.access import Reading

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)]
Port = Annotated[int, Field(ge=0, le=65535)]
AIR_C = (-40.0, 60.0)
"""Where anybody fires a kiln, °C."""


class KilnTable(Table):
    """The kiln: its name, how it is heated, and the limit its maker gives."""

    name: Name = Field(default="kiln", description="What you call it.")
    kind: Literal["electric", "gas", "wood"] = Field(
        default="electric", description="How it is heated: electric, gas or wood."
    )
    limit: float | None = Field(
        default=None,
        gt=0,
        le=3000,
        description="The kiln maker's limit, a temperature: hotter is warned of at once, and no "
        "plan is advised above it. Left out: none is known.",
    )
    ambient: float | None = Field(
        default=None,
        ge=-40,
        le=140,
        description="The air about the kiln, a temperature, as it usually is where it is fired: "
        "a kiln cools down towards it.",
    )


class SensorTable(Table):
    """One thermocouple behind a MAX31856: channel name, chip select, type, correction.

    ``wire`` is the tolerance class of ASTM E230 that it was sold as. ``bus`` is one of
    ``hardware.buses``; ``mains_hz`` is the whole watch's where it is left out.
    """

    channel: Name = Field(description="The name you will see.", examples=["top"])
    chip_select: str = Field(
        description="The select at the MAX31856's CS: CE0 (GPIO8) for the first, CE1 (GPIO7) for "
        "the second, or with more of them on one bus a plain pin for each, such as D5 (GPIO5).",
        examples=["CE0"],
    )
    type: str = Field(default="K", description="B, E, J, K, N, R, S or T.")
    wire: Literal["standard", "special"] = Field(
        default="standard",
        description="Or special: the tolerance that it was sold with (ASTM E230).",
    )
    offset: float = Field(default=0.0, description="Degrees added to every reading.")
    averaging: int = Field(
        default=4, description="Conversions averaged for a reading: 1, 2, 4, 8 or 16."
    )
    bus: str = Field(
        default=DEFAULT_BUS,
        description="The SPI bus that its board is on: SPI0, on a Pi 5 also SPI1 and SPI5, on a "
        "Pi 4 also SPI3, SPI4 and SPI5.",
    )
    mains_hz: Literal[50, 60] | None = Field(
        default=None,
        description="The hum to filter out of this one: 50 or 60. Left out: as under [watch].",
        examples=[50],
    )
    lead_resistance: str = Field(
        default="low",
        description="For high resistance from probe to board, 5 to 40 kΩ: high, or slow where "
        "large capacitors are in it too. A plain thermocouple is low.",
    )
    cold_junction_offset: float = Field(
        default=0.0,
        description="Degrees added to the board's own temperature before it reckons with it.",
    )


class WatchTable(Table):
    """Tolerances of the watch."""

    schedule: str | None = Field(
        default=None,
        description="The plan: a starter's name, or a file of yours, beside this one or among "
        "your plans.",
        examples=["midfire-glaze"],
    )
    interval_s: float = Field(
        default=1.0, ge=0.2, le=60, description="Seconds between two readings."
    )
    mains_hz: Literal[50, 60] = Field(
        default=50, description="The mains' frequency, whose hum is filtered out: 50 or 60."
    )
    false_alarms_per_1000_h: float = Field(
        default=1.0,
        ge=0.01,
        le=100,
        description="The one sensitivity: so many false alarms in 1,000 firing hours are "
        "accepted; more makes a livelier watch.",
    )
    lagging_min: float = Field(
        default=30.0, gt=0, le=1440, description="Later than this, in minutes, is worth a word."
    )
    overshoot: float | None = Field(
        default=None, gt=0, le=200, description="So many degrees above a step's top are too hot."
    )
    uneven: float | None = Field(
        default=None, gt=0, le=400, description="Channels so many degrees apart are worth a look."
    )
    cone_near_min: float = Field(
        default=20.0,
        gt=0,
        le=240,
        description="You are called so many minutes before a cone should be down.",
    )
    no_readings_min: float = Field(
        default=2.0, ge=0.5, le=60, description="Blind for so many minutes is worth a warning."
    )
    open_below: float | None = Field(
        default=None,
        gt=0,
        le=400,
        description="Cool enough to open below this temperature; the log ends there.",
    )


class MqttTable(Table):
    """The broker that carries the messages. Left out: no messages.

    The password stands here, or is the first line of ``password_file``, or else the variable
    SPYHOLE_MQTT_PASSWORD of the environment. ``port`` is 1883, with ``tls`` 8883.
    """

    host: Name = Field(description="The broker's name or address.", examples=["localhost"])
    port: Port | None = Field(
        default=None, description="Its port; left out: 1883, with TLS 8883.", examples=[1883]
    )
    user: str | None = Field(
        default=None, description="The name to log in with, if it wants one.", examples=["spyhole"]
    )
    password_file: str | None = Field(
        default=None,
        description="A file beside this one that holds the password and nothing else; or set "
        f"{PASSWORD_VARIABLE} in the environment.",
        examples=["mqtt-password"],
    )
    password: str | None = Field(
        default=None,
        repr=False,
        description="Or the password itself; then let nobody else read this file.",
        examples=["secret"],
    )
    tls: bool = Field(default=False, description="Whether the broker is spoken to in secret.")
    ca_file: str | None = Field(
        default=None,
        description="With TLS, who vouches for the broker; left out: whom the system trusts.",
        examples=["ca.pem"],
    )
    cert_file: str | None = Field(
        default=None,
        description="With TLS, spyhole's own certificate, if the broker wants one.",
        examples=["cert.pem"],
    )
    key_file: str | None = Field(
        default=None, description="The key to that certificate.", examples=["key.pem"]
    )
    discovery: bool = Field(
        default=False,
        description="Whether home-automation hubs are told what there is to see, by the "
        "convention of MQTT discovery.",
    )
    discovery_prefix: Name = Field(
        default="homeassistant",
        description="Where a hub looks for that; the convention's own unless your hub is set "
        "otherwise.",
    )


class PageTable(Table):
    """The page. The default address is this machine alone; "0.0.0.0" is the whole network.

    The PIN is not in here, for this file is one that people share: `spyhole pin` keeps it.
    """

    host: Name = Field(
        default="127.0.0.1",
        description='Who reaches it: "127.0.0.1" this machine alone, "0.0.0.0" the whole '
        "network. Writing needs the PIN that `spyhole pin` sets.",
    )
    port: Port = Field(default=8017, description="The port in its address.")
    reading: Literal["open", "pin"] = Field(
        default="open",
        description="Who may read what it shows: open, everybody who reaches it; or pin, only "
        "who knows the PIN.",
    )
    names: list[Name] = Field(
        default=[],
        description="Further names under which it may be opened; addresses, *.local and the "
        "machine's own name always work.",
    )
    certificate: str | None = Field(
        default=None,
        description="For HTTPS, a file beside this one with the page's certificate (PEM).",
        examples=["page.pem"],
    )
    key: str | None = Field(
        default=None,
        description="And the file with its key, without a passphrase.",
        examples=["page-key.pem"],
    )
    behind_proxy: bool = Field(
        default=False,
        description="Whether a proxy on this machine asks for the phones: then it is believed for "
        "whom, and nobody counts as the machine itself.",
    )


TABLES: dict[str, type[Table]] = {
    "kiln": KilnTable,
    "sensor": SensorTable,
    "watch": WatchTable,
    "alerts": AlertsTable,
    "mqtt": MqttTable,
    "notify": NotifyTable,
    "page": PageTable,
    "record": RecordTable,
}
"""The tables of the file by their names, in the order in which they are written."""


class Config(Table):
    """The whole file."""

    units: Literal["C", "F"] = Field(
        default="C", description="C or F: every temperature in this file is in it."
    )
    kiln: KilnTable = KilnTable()
    sensor: list[SensorTable] = Field(default=[], max_length=16)
    watch: WatchTable = WatchTable()
    alerts: AlertsTable = AlertsTable()
    mqtt: MqttTable | None = None
    notify: NotifyTable = NotifyTable()
    page: PageTable = PageTable()
    record: RecordTable = RecordTable()

    @property
    def unit(self) -> Unit:
        return Unit(self.units)

    def channels(self) -> tuple[ThermocoupleChannel, ...]:
        """The sensors as the rig wants them; raises InputError for what can't be one."""
        return tuple(
            _channel(sensor, self.unit, number) for number, sensor in enumerate(self.sensor, 1)
        )

    def watch_settings(self) -> WatchSettings:
        """The tolerances in °C and seconds, with the watch's own defaults where none is set.

        Raises KeysError for air that is none, and for a kiln that is to get colder than it.
        """
        default = WatchSettings()
        self._check_air()
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
            ambient_c=default.ambient_c
            if self.kiln.ambient is None
            else to_c(self.kiln.ambient, unit),
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

    def _check_air(self) -> None:
        given, below = self.kiln.ambient, self.watch.open_below
        if given is None:
            return
        low_c, high_c = AIR_C
        if not low_c <= to_c(given, self.unit) <= high_c:
            low, high = (f"{from_c(end, self.unit):.0f}" for end in AIR_C)
            raise KeysError(
                f'[kiln] ambient = {given:g} with units = "{self.units}" is no air that anybody '
                f"fires in; give {low} to {high}",
                ("kiln", "ambient"),
                ("units",),
            )
        if below is not None and below <= given:
            raise KeysError(
                f"[watch] open_below = {below:g} is no warmer than the air, [kiln] ambient = "
                f"{given:g}: no kiln gets there",
                ("kiln", "ambient"),
                ("watch", "open_below"),
            )

    def alert_rules(self) -> AlertRules:
        """When alerts are told again; raises InputError for quiet hours without an end."""
        return self.alerts.rules()

    def page_rules(self, folder: Path = Path()) -> PageRules:
        """Who may read the page and how it is served; files are looked for in ``folder``.

        Raises KeysError for a certificate without its key, or the other way round.
        """
        page = self.page
        for has, lacks in (("certificate", "key"), ("key", "certificate")):
            if getattr(page, has) is not None and getattr(page, lacks) is None:
                raise KeysError(
                    f"[page] names a {has}, but no {lacks}: give both for HTTPS, or neither",
                    ("page", has),
                )
        return PageRules(
            reading=Reading(page.reading),
            certificate=None if page.certificate is None else folder / page.certificate,
            key=None if page.key is None else folder / page.key,
            behind_proxy=page.behind_proxy,
        )

    def notify_addresses(self) -> tuple[Address, ...]:
        """Where people are reached; none where none is wanted."""
        return self.notify.addresses()

    def broker(self, folder: Path = Path()) -> BrokerSettings | None:
        """How to reach the broker; None where no messages are wanted.

        Files are looked for in ``folder``, the configuration's own. Raises InputError for
        certificates without TLS, for a key without its certificate, and for a password that
        stands in two places, in a file that can't be read, or without its user.
        """
        return None if self.mqtt is None else broker_settings(self.mqtt, folder)


def _channel(sensor: SensorTable, unit: Unit, number: int) -> ThermocoupleChannel:
    """One sensor as the rig wants it; raises KeysError, with the key that can't be."""
    values: dict[str, tuple[str, Any]] = {
        "channel": ("name", sensor.channel),
        "chip_select": ("chip_select", sensor.chip_select),
        "type": ("thermocouple_type", sensor.type),
        "offset": ("offset_c", difference_to_c(sensor.offset, unit)),
        "averaging": ("averaging", sensor.averaging),
        "bus": ("bus", sensor.bus.upper()),
        "mains_hz": ("mains_hz", sensor.mains_hz),
        "lead_resistance": ("lead_resistance", sensor.lead_resistance),
        "cold_junction_offset": (
            "cold_junction_offset_c",
            difference_to_c(sensor.cold_junction_offset, unit),
        ),
    }
    known: dict[str, Any] = {"name": "a", "chip_select": "CE0"}
    for key, (name, value) in values.items():
        known[name] = value
        try:
            channel = ThermocoupleChannel(**known)
        except InputError as error:
            path = ("sensor", number - 1, key)
            raise KeysError(f"[[sensor]] {number}, {key}: {error}", path) from None
    return channel


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
        found = "" if _is_secret(path) else f" = {shown(first['input'])}"
        what = f"{key}{found} is not allowed; give {reason}"
    return InputError(what, where=f"{where}, line {line}" if line else where)


def _allowed(path: tuple[int | str, ...]) -> str:
    table = TABLES.get(str(path[0]), Config) if path else Config
    names = (field.alias or name for name, field in table.model_fields.items())
    return f"allowed are {', '.join(names)}"


def _is_secret(path: tuple[int | str, ...]) -> bool:
    """Whether what stands there may be, or hold, a password."""
    return path[-1] == "password" or (path[0] == "notify" and path != ("notify", "from"))
