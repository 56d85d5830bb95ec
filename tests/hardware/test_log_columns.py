"""What a column mapping may say, and one sentence with its line for what it may not."""

from __future__ import annotations

from datetime import timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.column_mapping import Column, Decimal, Delimiter, Encoding, TimeUnits, number_in
from hardware.log_columns import parse_columns
from supervisor.core.errors import InputError
from supervisor.core.units import Unit

CHANNEL = '[[channel]]\ncolumn = "TC1"\n'
ALL = """\
delimiter = "tab"
decimal = "comma"
encoding = "latin-1"
skip_before_header = 2
skip_after_header = 1
units = "F"
no_reading = ["888,8", -999.9, "ERR"]
annotations = ["damper", 9]

[time]
column = ["Date", "Time"]
format = "%d.%m.%Y %H:%M"
zone = "Europe/Berlin"

[[channel]]
column = "TC  1"
name = " top "
units = "C"

[[channel]]
column = 5
"""


def test_everything_that_a_mapping_can_say() -> None:
    mapping = parse_columns(ALL, "mine.toml")
    assert mapping.delimiter is Delimiter.TAB
    assert mapping.decimal is Decimal.COMMA
    assert mapping.encoding is Encoding.LATIN_1
    assert (mapping.skip_before_header, mapping.skip_after_header) == (2, 1)
    assert mapping.no_reading == {"888,8", 888.8, -999.9, "ERR"}
    assert [column.name for column in mapping.annotations] == ["damper", 9]
    assert mapping.time.columns == (
        Column("Date", "mine.toml, line 11"),
        Column("Time", "mine.toml, line 11"),
    )
    assert mapping.time.format == "%d.%m.%Y %H:%M"
    assert mapping.time.zone == ZoneInfo("Europe/Berlin")
    top, low = mapping.channels
    assert (top.column.name, top.name, top.units) == ("TC 1", "top", Unit.C)
    assert (low.column.name, low.name, low.units) == (5, None, Unit.F)
    assert low.column.where == "mine.toml, line 21"


def test_the_smallest_mapping_names_one_channel() -> None:
    mapping = parse_columns(CHANNEL)
    assert (mapping.delimiter, mapping.decimal, mapping.encoding) == (
        Delimiter.COMMA,
        Decimal.POINT,
        Encoding.UTF_8,
    )
    assert mapping.has_header
    assert mapping.time.columns[0].name == 1
    assert (mapping.time.units, mapping.time.format, mapping.time.zone) == (TimeUnits.S, None, None)
    assert mapping.channels[0].units is Unit.C
    assert mapping.no_reading == frozenset()
    assert mapping.annotations == ()


@pytest.mark.parametrize(
    ("written", "minutes"), [("+01:00", 60), ("-0330", -210), ("+14:00", 840), ("-00:00", 0)]
)
def test_a_zone_may_be_an_offset(written: str, minutes: int) -> None:
    mapping = parse_columns(f'[time]\nformat = "iso"\nzone = "{written}"\n{CHANNEL}')
    assert mapping.time.zone == timezone(timedelta(minutes=minutes))


@pytest.mark.parametrize(
    ("format", "is_time_of_day", "is_without_year"),
    [
        ("%d.%m.%Y %H:%M", False, False),
        ("%m/%d/%y %I:%M:%S %p", False, False),
        ("%Y-%m-%dT%H:%M:%S.%f%z", False, False),
        ("%c", False, False),
        ("%d.%m. %H:%M", False, True),
        ("%a %H:%M", True, True),
        ("%H:%M:%S", True, True),
        ("iso", False, False),
    ],
)
def test_what_a_format_carries(format: str, is_time_of_day: bool, is_without_year: bool) -> None:  # noqa: A002
    time = parse_columns(f'[time]\nformat = "{format}"\n{CHANNEL}').time
    assert (time.is_time_of_day, time.is_without_year) == (is_time_of_day, is_without_year)


@pytest.mark.parametrize(
    ("text", "where", "words"),
    [
        ("", "mine.toml", ["at least one [[channel]]"]),
        ("channel = []", "mine.toml, line 1", ["at least one [[channel]]"]),
        ("channel = 3", "mine.toml, line 1", ["at least one [[channel]]"]),
        ("[channel]\ncolumn = 2", "mine.toml, line 1", ["at least one [[channel]]"]),
        ("channel = [1]", "mine.toml, line 1", ["at least one [[channel]]"]),
        ("[[channel]]\nname = 'a'", "mine.toml, line 1", ["no `column`"]),
        ("x =\n" + CHANNEL, "mine.toml, line 1", ["not valid TOML"]),
        ("separator = ','\n" + CHANNEL, "line 1", ['unknown key "separator"', "delimiter, "]),
        (CHANNEL + "unit = 'C'\n", "mine.toml, line 3", ['unknown key "unit"', "column, name"]),
        ("[time]\nunit = 's'\n" + CHANNEL, "line 2", ['unknown key "unit"', "format, zone"]),
        ("delimiter = ','\n" + CHANNEL, "line 1", ['delimiter = ","', '"semicolon"']),
        ("delimiter = 3\n" + CHANNEL, "line 1", ["delimiter = 3"]),
        ("decimal = ','\n" + CHANNEL, "line 1", ['"point", "comma"']),
        ("encoding = 'utf8'\n" + CHANNEL, "line 1", ['"utf-8", "latin-1", "cp1252", "utf-16"']),
        ("header = 0\n" + CHANNEL, "line 1", ["true or false"]),
        ("header = false\n" + CHANNEL, "mine.toml, line 3", ["header = false", '"TC1"', "place"]),
        ("header = false\nannotations = ['a']\n[[channel]]\ncolumn = 2", "line 2", ['"a"']),
        ("skip_after_header = -1\n" + CHANNEL, "line 1", ["0 to 10,000"]),
        ("skip_before_header = true\n" + CHANNEL, "line 1", ["0 to 10,000"]),
        ("skip_before_header = 1.5\n" + CHANNEL, "line 1", ["0 to 10,000"]),
        ("skip_after_header = 99999999999\n" + CHANNEL, "line 1", ["0 to 10,000"]),
        ("units = 'K'\n" + CHANNEL, "line 1", ['units = "K"', '"C", "F"']),
        (CHANNEL + "units = 'Celsius'\n", "line 3", ['units = "Celsius"']),
        ("no_reading = [nan]\n" + CHANNEL, "line 1", ["no_reading = nan"]),
        ("no_reading = [inf]\n" + CHANNEL, "line 1", ["no_reading = inf"]),
        ("no_reading = [true]\n" + CHANNEL, "line 1", ["no_reading"]),
        ("no_reading = ['']\n" + CHANNEL, "line 1", ["no_reading"]),
        ("no_reading = [[1]]\n" + CHANNEL, "line 1", ["no_reading"]),
        (f"no_reading = {list(range(101))}\n" + CHANNEL, "line 1", ["at most 100"]),
        ("no_reading = " + "9" * 400 + "\n" + CHANNEL, "line 1", ["no_reading = 9999"]),
        ("annotations = 'note'\n" + CHANNEL, "line 1", ["in [ ]"]),
        ("annotations = [1.5]\n" + CHANNEL, "line 1", ["annotations = 1.5", "place from 1"]),
        ("time = 'Time'\n" + CHANNEL, "line 1", ["[time]"]),
        ("[time]\ncolumn = 0\n" + CHANNEL, "line 2", ["column = 0", "place from 1"]),
        ("[time]\ncolumn = -1\n" + CHANNEL, "line 2", ["column = -1"]),
        ("[time]\ncolumn = true\n" + CHANNEL, "line 2", ["column = true"]),
        ("[time]\ncolumn = ''\n" + CHANNEL, "line 2", ['column = ""']),
        ("[time]\ncolumn = []\n" + CHANNEL, "line 2", ["one column, or two"]),
        ("[time]\ncolumn = [1, 2, 3]\n" + CHANNEL, "line 2", ["one column, or two"]),
        ("[time]\ncolumn = [1, 2]\n" + CHANNEL, "line 2", ["need a `format`"]),
        ("[time]\nunits = 'sec'\n" + CHANNEL, "line 2", ['"ms", "s", "min", "h", "d", "h:mm:ss"']),
        ("[time]\nzone = '+01:00'\n" + CHANNEL, "line 2", ["zone goes with `format`"]),
        ("[time]\nformat = 'iso'\nunits = 's'\n" + CHANNEL, "line 3", ["one must go"]),
        ("[time]\nformat = 3\n" + CHANNEL, "line 2", ["format = 3", "strptime"]),
        ("[time]\nformat = ''\n" + CHANNEL, "line 2", ['format = ""']),
        ("[time]\nformat = 'dd.mm.yyyy'\n" + CHANNEL, "line 2", ["no time of day"]),
        ("[time]\nformat = '%d.%m.%Y'\n" + CHANNEL, "line 2", ["no time of day"]),
        ("[time]\nformat = '%H:%M %'\n" + CHANNEL, "line 2", ["strptime"]),
        ("[time]\nformat = '%H:%Q'\n" + CHANNEL, "line 2", ["strptime"]),
        ("[time]\nformat = '%d%d %H'\n" + CHANNEL, "line 2", ["strptime"]),
        ("[time]\nformat = 'iso'\nzone = 'Berlin'\n" + CHANNEL, "line 3", ['zone = "Berlin"']),
        ("[time]\nformat = 'iso'\nzone = 'Europe'\n" + CHANNEL, "line 3", ['zone = "Europe"']),
        ("[time]\nformat = 'iso'\nzone = '../x'\n" + CHANNEL, "line 3", ["not known here"]),
        ("[time]\nformat = 'iso'\nzone = '+25:00'\n" + CHANNEL, "line 3", ["not known here"]),
        ("[time]\nformat = 'iso'\nzone = ''\n" + CHANNEL, "line 3", ["not known here"]),
        ("[time]\nformat = 'iso'\nzone = 1\n" + CHANNEL, "line 3", ["zone = 1"]),
        (CHANNEL + "name = ''\n", "mine.toml, line 3", ["1 to 60 printable"]),
        (CHANNEL + "name = 'a\\nb'\n".replace("'", '"'), "line 3", ["1 to 60 printable"]),
        (CHANNEL + f"name = '{'x' * 61}'\n", "line 3", ["1 to 60 printable"]),
        (
            CHANNEL + "name = 'a'\n[[channel]]\ncolumn = 'TC2'\nname = 'a'\n",
            "mine.toml, line 6",
            ['two channels are named "a"'],
        ),
    ],
)
def test_what_a_mapping_may_not_say_is_told_with_its_line(
    text: str, where: str, words: list[str]
) -> None:
    with pytest.raises(InputError) as caught:
        parse_columns(text, "mine.toml")
    message = str(caught.value)
    assert caught.value.where is not None
    assert where in caught.value.where
    assert "\n" not in message
    assert len(message) < 400
    for word in words:
        assert word in message


@given(st.text(max_size=200))
def test_any_text_is_a_mapping_or_a_sentence(text: str) -> None:
    with pytest.raises(InputError):
        parse_columns(text)


@given(
    key=st.sampled_from(["delimiter", "header", "no_reading", "annotations", "time", "channel"]),
    value=st.sampled_from(["[]", "{}", "3", "''", "nan", "true", "[{}]", "1979-05-27", "[[[1]]]"]),
)
def test_any_value_is_taken_or_answered_in_a_sentence(key: str, value: str) -> None:
    text = f"{key} = {value}\n" + ("" if key == "channel" else CHANNEL)
    try:
        assert parse_columns(text).channels
    except InputError as error:
        assert key in str(error)  # noqa: PT017 - taken is as good


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("39.6", Decimal.POINT, 39.6),
        ("-1e2", Decimal.POINT, -100.0),
        ("39,6", Decimal.COMMA, 39.6),
        ("39", Decimal.COMMA, 39.0),
        ("39,6", Decimal.POINT, None),
        ("39.6", Decimal.COMMA, None),
        ("1.039,6", Decimal.COMMA, None),
        ("1,039,6", Decimal.COMMA, None),
        ("1_0", Decimal.POINT, None),
        ("nan", Decimal.POINT, None),
        ("inf", Decimal.POINT, None),
        ("1e999", Decimal.POINT, None),
        ("#DIV/0!", Decimal.POINT, None),
        ("", Decimal.POINT, None),
    ],
)
def test_what_is_a_number(text: str, decimal: Decimal, value: float | None) -> None:
    assert number_in(text, decimal) == value
