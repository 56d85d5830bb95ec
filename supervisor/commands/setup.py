"""``spyhole setup``: asks a few questions and writes ``spyhole.toml``."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from supervisor.commands.asking import Asking
from supervisor.commands.files import data_folder, is_there, read_text
from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.schedule import parse_schedule, starter_names, starter_text
from supervisor.core.units import Unit, from_c
from supervisor.core.watch.settings import KILN_KINDS
from supervisor.messaging.topics import topics_of
from supervisor.service.config import Config
from supervisor.service.config_text import config_text
from supervisor.service.page_keys import write_pin
from supervisor.whole_file import whole_file
from web.access.pin import hashed, must_be_strong

T = TypeVar("T")

SELECTS = {"CE0": "D8", "CE1": "D7"}
"""What the kernel moves on the first bus, with the pin of each: enough for two boards, and the
service needs to open no pin for them."""
FREE_PINS = (
    *("D5", "D6", "D13", "D19", "D26", "D16", "D20", "D21", "D12", "D22", "D23", "D24", "D25"),
    *("D27", "D17", "D4", "D18", "D14", "D15", "D3", "D2"),
)
"""Pins of the header that a chip select may have, the usual first: those with another use on many
Pis (serial line, I²C) come last."""
_MOST_SENSORS = 16
_CHANNELS = {1: ("top",), 2: ("top", "bottom"), 3: ("top", "middle", "bottom")}
_LEAST_LIMIT_C, _MOST_LIMIT_C = 300.0, 1600.0
"""Of a potter's kiln (common practice, no source)."""
_EVERYBODY, _NOBODY = "0.0.0.0", "127.0.0.1"  # noqa: S104 - written, not bound

_DEFAULT_FILE = "spyhole.toml"
_EPILOG = """\
examples:
  spyhole setup                                   asks
  spyhole setup --defaults --out /tmp/try.toml    asks nothing
  spyhole setup --defaults --name "big kiln" --kind gas --limit 1300 \\
      --sensor top:S:CE0 --sensor bottom:S:CE1 --schedule midfire-glaze \\
      --broker broker.local --page network
"""
_NO_BROKER = """\
An MQTT broker carries warnings to phones and displays. Debian's Mosquitto makes a good one:
    sudo apt install mosquitto
It may run here, or better on another machine: that one can still tell that this one has died."""
_WITHOUT = "Without a broker, page and record still work; warnings are on the page alone."

_PIN_ASK = (
    "A PIN for writing on the page from phones, such as six digits (it isn't shown; empty: none "
    "for now)"
)

_PLAIN = """\
Plain pins as chip selects: the service may open no pin until ./task install-pi has let it."""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Asks what it needs to know of your kiln and its thermocouples and writes it, with every "
        "further key and its default as a comment, for `spyhole watch` to read. Never overwrites."
    )
    parser.epilog = _EPILOG
    parser.add_argument(
        "--out", metavar="FILE", default=_DEFAULT_FILE, help=f"default: {_DEFAULT_FILE}"
    )
    parser.add_argument(
        "--defaults", action="store_true", help="ask nothing; what no option says is the default"
    )
    parser.add_argument("--units", choices=("C", "F"), help="scale of every temperature")
    parser.add_argument("--name", help="what you call the kiln")
    parser.add_argument("--kind", choices=KILN_KINDS, help="how the kiln is heated")
    parser.add_argument("--limit", metavar="T", help='the kiln maker\'s limit, or "none"')
    parser.add_argument(
        "--sensor",
        metavar="NAME:TYPE:CS",
        action="append",
        help='a thermocouple, such as "top:S:CE0"; once for each, the leading one first',
    )
    parser.add_argument("--schedule", metavar="S", help="the plan: a starter, or a schedule file")
    parser.add_argument("--broker", metavar="HOST", help='the MQTT broker, or "none"')
    parser.add_argument(
        "--page",
        choices=("network", "here"),
        help="who reaches the page: the whole network, or this machine alone",
    )
    parser.add_argument(
        "--data", metavar="DIR", help="folder of the record, for the PIN; default: SPYHOLE_DATA"
    )


def run(options: argparse.Namespace) -> int:
    path = Path(options.out)
    _must_be_free(path)
    asking = Asking(takes_defaults=options.defaults)
    config = _answers(options, asking, path.parent)
    is_for_all = config.page.host == _EVERYBODY
    pin = asking.ask_secret(_PIN_ASK, _page_pin) if is_for_all else None
    # Somebody else may have made it while the questions were answered.
    _must_be_free(path)
    with whole_file(path) as file:
        file.write(config_text(config))
    print(f"written: {path}")
    if config.mqtt is None:
        print(_WITHOUT)
    if any(sensor.chip_select not in SELECTS for sensor in config.sensor):
        print(_PLAIN)
    code = 0 if pin is None else _keep(pin, data_folder(options.data))
    if is_for_all:
        print("Anyone in your network can open the page and read it: keep it inside your own.")
    if is_for_all and (pin is None or code):
        print("Only this machine can write on the page until you set a PIN: spyhole pin")
    print(f"Look through it, see whether each thermocouple reads: spyhole rig --config {path}")
    print(f"Then: spyhole watch --config {path}")
    return code


def _page_pin(text: str) -> str | None:
    """The PIN that was typed; None for none."""
    return must_be_strong(text) if text else None


def _keep(pin: str, folder: Path) -> int:
    """Keep the PIN's hash; the exit code where that can't be done, for the file is written."""
    try:
        print(f"written: {write_pin(folder, hashed(pin))} (the PIN's hash)")
    except SpyholeError as error:
        print(f"The PIN could not be kept: {error}", file=sys.stderr)
        return error.exit_code
    return 0


def _must_be_free(path: Path) -> None:
    if is_there(path) and path.is_dir():
        raise InputError("this is a folder: give the name of a file in it", where=str(path))
    if is_there(path) or path.is_symlink():
        raise InputError(
            "this file is there already and is never overwritten: edit it, or give another "
            "name with --out",
            where=str(path),
        )
    if not path.parent.is_dir():
        raise InputError("there is no such folder to write in", where=str(path.parent))


def _answers(options: argparse.Namespace, asking: Asking, folder: Path) -> Config:
    def ask(given: str | None, question: str, default: str, take: Callable[[str], T]) -> T:
        return take(given) if given is not None else asking.ask(question, default, take)

    asking.tell("An empty answer takes what stands in brackets. Ctrl-C leaves; nothing is written.")
    unit = Unit(
        ask(options.units, "Temperatures in C or F", "C", partial(_one_of, Unit.__members__))
    )
    kiln: dict[str, Any] = {
        "name": ask(options.name, "What do you call the kiln", "kiln", _kiln_name),
        "kind": ask(
            options.kind,
            "How is it heated: electric, gas or wood",
            "electric",
            partial(_one_of, KILN_KINDS),
        ),
    }
    limit = ask(
        options.limit,
        f"The kiln maker's limit in °{unit.value}, from its plate or manual",
        "none",
        partial(_limit, unit),
    )
    if limit is not None:
        kiln["limit"] = limit
    watch: dict[str, Any] = {}
    sensors = _sensors_of(options.sensor) if options.sensor is not None else _ask_sensors(asking)
    asking.tell(f"Starter plans: {', '.join(starter_names())}; or name a schedule file of yours.")
    watch["schedule"] = ask(
        options.schedule, "The plan to watch by", "midfire-glaze", partial(_schedule, folder)
    )
    if unit is Unit.F:
        # Where people fire in °F the mains have 60 Hz (common practice, no source).
        watch["mains_hz"] = 60
    found: dict[str, Any] = {
        "units": unit.value,
        "kiln": kiln,
        "sensor": sensors,
        "watch": watch,
        "page": {},
    }
    broker = _broker(options, asking)
    if broker is not None:
        found["mqtt"] = {"host": broker}
    reaches_all = (
        options.page == "network"
        if options.page is not None
        else asking.ask_yes(
            "Shall phones in your network see the page (no: this machine alone)", default=True
        )
    )
    found["page"]["host"] = _EVERYBODY if reaches_all else _NOBODY
    return Config.model_validate(found)


def _ask_sensors(asking: Asking) -> list[dict[str, str]]:
    count = asking.ask(f"How many thermocouples, 1 to {_MOST_SENSORS}", "1", _count)
    sensors: list[dict[str, str]] = []
    kind = "K"
    for place in range(count):
        names = _CHANNELS.get(count, ())
        name = names[place] if place < len(names) else f"place {place + 1}"
        taken = [sensor["channel"] for sensor in sensors]
        channel = asking.ask(
            f"Thermocouple {place + 1}: where is it", name, partial(_channel, taken)
        )
        kind = asking.ask(
            f"Thermocouple {place + 1}: its type, one of {' '.join(TYPE_RANGE_C)}",
            kind,
            partial(_one_of, tuple(TYPE_RANGE_C)),
        )
        used = [sensor["chip_select"] for sensor in sensors]
        free = next(
            pin
            for pin in (*(SELECTS if count <= len(SELECTS) else ()), *FREE_PINS)
            if pin not in used and not _collides(pin, used, count)
        )
        pin = asking.ask(
            f"Thermocouple {place + 1}: the select at its board's CS{_where(free)}",
            free,
            partial(_pin, used, count),
        )
        sensors.append({"channel": channel, "chip_select": pin, "type": kind})
    return sensors


def _sensors_of(texts: list[str]) -> list[dict[str, str]]:
    if len(texts) > _MOST_SENSORS:
        raise InputError(f"{len(texts)} thermocouples are more than the {_MOST_SENSORS} allowed")
    sensors: list[dict[str, str]] = []
    for text in texts:
        parts = text.split(":")
        if len(parts) != 3:
            raise InputError(
                f'"{text[:60]}" is no thermocouple: give its place, type and select, such as '
                "top:S:CE0"
            )
        sensors.append(
            {
                "channel": _channel([sensor["channel"] for sensor in sensors], parts[0]),
                "chip_select": _pin([s["chip_select"] for s in sensors], len(texts), parts[2]),
                "type": _one_of(tuple(TYPE_RANGE_C), parts[1]),
            }
        )
    return sensors


def _broker(options: argparse.Namespace, asking: Asking) -> str | None:
    """The broker's host, None for no messages."""
    if options.broker is not None:
        return _host(options.broker)
    asking.tell(_NO_BROKER)
    return asking.ask(
        'The broker\'s name or address ("localhost": this machine; "none": no messages)',
        "none",
        _host,
    )


def _one_of(allowed: Any, text: str) -> str:
    """The allowed word that is meant, whatever its case."""
    found = {word.lower(): word for word in allowed}
    word = text.strip().lower()
    if word not in found:
        raise InputError(f'"{text[:40]}" is not one of {", ".join(found.values())}')
    return str(found[word])


def _kiln_name(text: str) -> str:
    name = _plain(text)
    if not 1 <= len(name) <= 60:
        raise InputError("a kiln's name has 1 to 60 characters")
    topics_of(name)
    return name


def _plain(text: str) -> str:
    text = text.strip()
    if not text.isprintable():
        raise InputError("that has characters in it that can't be shown: give plain text")
    return text


def _limit(unit: Unit, text: str) -> float | None:
    word = text.strip().lower()
    if word in ("none", "no", ""):
        return None
    if word[-1] in "cf":
        if word[-1] != unit.value.lower():
            raise InputError(
                f'"{text[:40]}" is in °{word[-1].upper()}, and the file is to be in °{unit.value}: '
                f"give the limit in °{unit.value}"
            )
        word = word[:-1].rstrip().removesuffix("°")
    low, high = from_c(_LEAST_LIMIT_C, unit), from_c(_MOST_LIMIT_C, unit)
    try:
        limit = float(word)
    except ValueError:
        limit = math.nan
    if not low <= limit <= high:
        raise InputError(
            f'"{text[:40]}" is no kiln\'s limit: give {low:.0f} to {high:.0f} °{unit.value}, '
            "or none"
        )
    return limit


def _count(text: str) -> int:
    try:
        count = int(text)
    except ValueError:
        count = 0
    if not 1 <= count <= _MOST_SENSORS:
        raise InputError(f'"{text[:40]}" is not a number from 1 to {_MOST_SENSORS}')
    return count


def _channel(taken: list[str], text: str) -> str:
    name = _plain(text)
    ThermocoupleChannel(name, FREE_PINS[0])
    if name in taken:
        raise InputError(f'"{name}" is the name of another one already')
    return name


def _pin(taken: list[str], count: int, text: str) -> str:
    """A select of the kernel's or a free pin, beside those taken by some of ``count`` boards."""
    word = text.strip().upper()
    pin = f"D{word.removeprefix('GPIO').removeprefix('D')}"
    for select, its_pin in SELECTS.items():
        if word == select or pin == its_pin:
            pin = select
    if pin not in SELECTS and pin not in FREE_PINS:
        raise InputError(
            f'"{text[:40]}" can\'t be a chip select: give CE0 or CE1, or a pin of its own, such as '
            "D5, D6 or D13 (D9 to D11 are the bus's)"
        )
    if pin in taken:
        raise InputError(f"{pin} selects another board already")
    if _collides(pin, taken, count):
        raise InputError(
            f"{pin} can't be used here: CE0 goes with CE1 alone, and more than two boards want "
            "plain pins (D5, D6, D13, …), to which only CE1 may be added"
        )
    return pin


def _collides(pin: str, taken: list[str], count: int) -> bool:
    """Whether CE0 would be beside a plain pin: whatever is sent to that one moves CE0 too."""
    if pin == "CE0":
        return count > len(SELECTS) or any(other not in SELECTS for other in taken)
    return pin not in SELECTS and "CE0" in taken


def _where(select: str) -> str:
    return f" ({select} is GPIO{SELECTS[select][1:]})" if select in SELECTS else ""


def _schedule(folder: Path, text: str) -> str:
    """A starter's name or a schedule's file, which must be a good one."""
    name = _plain(text)
    beside = folder / name
    if is_there(beside):
        parse_schedule(read_text(beside, "a schedule in TOML"), str(beside))
    elif name in starter_names():
        parse_schedule(starter_text(name), name)
    else:
        raise InputError(
            f'"{name[:100]}" is neither a starter ({", ".join(starter_names())}) nor a file '
            f"beside the configuration"
        )
    return name


def _host(text: str) -> str | None:
    name = _plain(text)
    if name.lower() in ("none", "no", "n"):
        return None
    if not 1 <= len(name) <= 60 or any(sign in name for sign in " /@"):
        raise InputError(f'"{name[:60]}" is no machine\'s name or address, such as broker.local')
    return name
