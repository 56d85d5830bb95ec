"""A column mapping: what the columns of a log from elsewhere are, as a person writes it (TOML).

Knows the mapping's keys and what may stand there; every mistake is answered with the line it
stands on, the key and what is allowed. Refuses to know the log itself. All there is::

    delimiter = "tab"            # "comma" (the default), "semicolon", "tab", "pipe", "space"
    decimal = "comma"            # "point" (the default) or "comma"
    encoding = "latin-1"         # "utf-8" (the default), "latin-1", "cp1252", "utf-16"
    header = true                # false: no line names the columns; they go by their places
    skip_before_header = 0       # lines above the header
    skip_after_header = 1        # lines below it that are no readings, such as units
    units = "C"                  # scale of the channels that do not say: "C" or "F"
    no_reading = [888.8, "ERR"]  # what stands in a cell where there is no reading
    annotations = ["damper"]     # columns kept beside the readings; all others are ignored

    [time]                       # left out: the first column, in seconds
    column = "Time"              # a name, or a place from 1; two, as date and time, in [ ]
    units = "min"                # elapsed: "ms", "s", "min", "h", "d" or "h:mm:ss"
    format = "%d.%m.%Y %H:%M"    # or a clock: as of strptime, or "iso"
    zone = "Europe/Berlin"       # with format: a zone's name or an offset such as "+01:00"

    [[channel]]                  # at least one
    column = "TC 1"              # a name, or a place from 1
    name = "top"                 # left out: the column's name
    units = "F"
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from hardware.column_mapping import (
    ISO,
    TRY_AT,
    ChannelColumn,
    Column,
    ColumnMapping,
    Decimal,
    Delimiter,
    Encoding,
    TimeColumn,
    TimeUnits,
    number_in,
)
from supervisor.core.errors import InputError
from supervisor.core.toml_places import Path, parse_toml, shown
from supervisor.core.toml_reader import TomlReader
from supervisor.core.units import Unit

MOST_SKIPPED = 10_000
MOST_COLUMNS = 1_000
MOST_SENTINELS = 100
LONGEST_NAME = 60

_TOP_KEYS = (
    "delimiter",
    "decimal",
    "encoding",
    "header",
    "skip_before_header",
    "skip_after_header",
    "units",
    "no_reading",
    "annotations",
    "time",
    "channel",
)
_TIME_KEYS = ("column", "units", "format", "zone")
_CHANNEL_KEYS = ("column", "name", "units")
_OFFSET = re.compile(r"([+-])(\d\d):?(\d\d)")


def parse_columns(text: str, where: str = "columns") -> ColumnMapping:
    """The mapping written in ``text``; ``where`` is the file's name for messages.

    Raises InputError with line, key and what is allowed.

    >>> mapping = parse_columns('[[channel]]\\ncolumn = "TC1"')
    >>> mapping.time.columns[0].name, mapping.channels[0].units.value
    (1, 'C')
    """
    return _Reader(text, where).mapping()


class _Reader(TomlReader):
    def __init__(self, text: str, where: str) -> None:
        super().__init__(text, where)
        self._data = parse_toml(text, where)

    def mapping(self) -> ColumnMapping:
        data = self._data
        self._only_known(data, _TOP_KEYS, (), "a column mapping")
        decimal = self._choice(data, "decimal", Decimal, Decimal.POINT, ())
        has_header = data.get("header", True)
        if not isinstance(has_header, bool):
            raise self._error(
                f"header = {shown(has_header)} is not allowed; give true or false", ("header",)
            )
        mapping = ColumnMapping(
            time=self._time(data),
            channels=self._channels(data),
            annotations=self._annotations(data),
            delimiter=self._choice(data, "delimiter", Delimiter, Delimiter.COMMA, ()),
            decimal=decimal,
            encoding=self._choice(data, "encoding", Encoding, Encoding.UTF_8, ()),
            has_header=has_header,
            skip_before_header=self._count(data, "skip_before_header"),
            skip_after_header=self._count(data, "skip_after_header"),
            no_reading=self._no_reading(data, decimal),
        )
        if not has_header:
            self._by_place_alone(mapping)
        return mapping

    def _by_place_alone(self, mapping: ColumnMapping) -> None:
        columns = (
            *mapping.time.columns,
            *(channel.column for channel in mapping.channels),
            *mapping.annotations,
        )
        for column in columns:
            if isinstance(column.name, str):
                raise InputError(
                    f"with header = false no column has a name such as {shown(column.name)}; "
                    f"give its place from 1",
                    where=column.where,
                )

    def _time(self, data: dict[str, Any]) -> TimeColumn:
        table = data.get("time", {})
        if not isinstance(table, dict):
            raise self._error("time is a table: write [time] and its keys below it", ("time",))
        path: Path = ("time",)
        self._only_known(table, _TIME_KEYS, path, "[time]")
        columns: tuple[Column, ...] = (Column(1, self._where),)
        if "column" in table:
            given = table["column"]
            names = given if isinstance(given, list) else [given]
            if not 1 <= len(names) <= 2:
                raise self._error(
                    "column of [time] is one column, or two as date and time of day",
                    (*path, "column"),
                )
            columns = tuple(self._column(name, "column", (*path, "column")) for name in names)
        units = self._choice(table, "units", TimeUnits, TimeUnits.S, path)
        if "format" not in table:
            if "zone" in table:
                raise self._error("zone goes with `format`; elapsed time has none", (*path, "zone"))
            if len(columns) > 1:
                raise self._error(
                    "two columns of time need a `format`, of the one, a blank and the other",
                    (*path, "column"),
                )
            return TimeColumn(columns, units)
        if "units" in table:
            raise self._error(
                "time is either elapsed, with `units`, or a clock, with `format`; one must go",
                (*path, "units"),
            )
        return TimeColumn(columns, units, self._format(table, path), self._zone(table, path))

    def _format(self, table: dict[str, Any], path: Path) -> str:
        value = table["format"]
        allowed = 'give "iso", or a format as of strptime, such as "%d.%m.%Y %H:%M:%S"'
        wrong = self._error(f"format = {shown(value)} is not allowed; {allowed}", (*path, "format"))
        if not isinstance(value, str) or len(value) > 100 or not value.isprintable():
            raise wrong
        if value == ISO:
            return value
        try:
            text = TRY_AT.replace(tzinfo=UTC).strftime(value)
            datetime.strptime(text, value)  # noqa: DTZ007 - only whether it can be read
            hour_later = TRY_AT.replace(hour=15).strftime(value)
        except (ValueError, UnicodeError, re.error, KeyError, IndexError):
            raise wrong from None
        if "%" not in value or hour_later == TRY_AT.strftime(value):
            raise self._error(
                f"format = {shown(value)} has no time of day; {allowed}", (*path, "format")
            )
        return value

    def _zone(self, table: dict[str, Any], path: Path) -> tzinfo | None:
        if "zone" not in table:
            return None
        value = table["zone"]
        offset = _OFFSET.fullmatch(value) if isinstance(value, str) else None
        if offset is not None:
            sign, hours, minutes = offset.groups()
            apart = timedelta(hours=int(hours), minutes=int(minutes))
            if int(hours) <= 14 and int(minutes) < 60:
                return timezone(-apart if sign == "-" else apart)
        elif isinstance(value, str) and value:
            try:
                return ZoneInfo(value)
            except (KeyError, ValueError, OSError):
                pass
        raise self._error(
            f"zone = {shown(value)} is not known here; give a zone's name such as "
            f'"Europe/Berlin", or an offset such as "+01:00"',
            (*path, "zone"),
        )

    def _channels(self, data: dict[str, Any]) -> tuple[ChannelColumn, ...]:
        units = self._choice(data, "units", Unit, Unit.C, ())
        tables = data.get("channel")
        if (
            not isinstance(tables, list)
            or not tables
            or not all(isinstance(t, dict) for t in tables)
        ):
            raise self._error(
                "a column mapping needs at least one [[channel]], with its `column`", ("channel",)
            )
        if len(tables) > MOST_COLUMNS:
            raise self._error(f"a log has at most {MOST_COLUMNS} channels", ("channel",))
        channels: list[ChannelColumn] = []
        for i, table in enumerate(tables):
            channel = self._channel(table, ("channel", i), units)
            if channel.name is not None and any(channel.name == c.name for c in channels):
                raise self._error(
                    f"two channels are named {shown(channel.name)}; each name may come once",
                    ("channel", i, "name"),
                )
            channels.append(channel)
        return tuple(channels)

    def _channel(self, table: dict[str, Any], path: Path, units: Unit) -> ChannelColumn:
        self._only_known(table, _CHANNEL_KEYS, path, "a channel")
        if "column" not in table:
            raise self._error("this channel has no `column`, the one that holds it", path)
        name = table.get("name")
        if name is not None:
            plain = name.strip() if isinstance(name, str) else ""
            if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
                raise self._error(
                    f"name = {shown(name)} is not allowed; give 1 to {LONGEST_NAME} printable "
                    f"characters in quotes",
                    (*path, "name"),
                )
            name = plain
        return ChannelColumn(
            self._column(table["column"], "column", (*path, "column")),
            name,
            self._choice(table, "units", Unit, units, path),
        )

    def _annotations(self, data: dict[str, Any]) -> tuple[Column, ...]:
        given = data.get("annotations", [])
        path: Path = ("annotations",)
        if not isinstance(given, list) or len(given) > MOST_COLUMNS:
            raise self._error(
                f"annotations = {shown(given)} is not allowed; give columns in [ ]", path
            )
        return tuple(self._column(name, "annotations", path) for name in given)

    def _column(self, value: object, key: str, path: Path) -> Column:
        is_place = isinstance(value, int) and not isinstance(value, bool)
        if is_place and isinstance(value, int) and 1 <= value <= 100 * MOST_COLUMNS:
            return Column(value, self._at(path))
        if isinstance(value, str) and value.strip() and len(value) <= 500:
            return Column(" ".join(value.split()), self._at(path))
        raise self._error(
            f"{key} = {shown(value)} is not allowed; give a column's name in quotes, or its "
            f"place from 1",
            path,
        )

    def _no_reading(self, data: dict[str, Any], decimal: Decimal) -> frozenset[str | float]:
        given = data.get("no_reading", [])
        path: Path = ("no_reading",)
        values = given if isinstance(given, list) else [given]
        if len(values) > MOST_SENTINELS:
            raise self._error(f"no_reading has at most {MOST_SENTINELS} values", path)
        found: set[str | float] = set()
        for value in values:
            is_number = isinstance(value, int | float) and not isinstance(value, bool)
            if is_number and abs(value) <= 1e9 and math.isfinite(value):
                found.add(float(value))
            elif isinstance(value, str) and value.strip() and len(value) <= 100:
                found.add(value.strip())
                number = number_in(value.strip(), decimal)
                if number is not None:
                    found.add(number)
            else:
                raise self._error(
                    f"no_reading = {shown(value)} is not allowed; give numbers, or texts in "
                    f"quotes, in [ ]",
                    path,
                )
        return frozenset(found)

    def _count(self, data: dict[str, Any], key: str) -> int:
        value = data.get(key, 0)
        if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= MOST_SKIPPED:
            raise self._error(
                f"{key} = {shown(value)} is not allowed; give a number of lines, 0 to "
                f"{MOST_SKIPPED:,}",
                (key,),
            )
        return value
