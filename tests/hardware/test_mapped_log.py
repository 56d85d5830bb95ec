"""A log from elsewhere: read through its mapping, and what does not fit is counted and told."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from hardware.column_mapping import Encoding
from hardware.log_columns import parse_columns
from hardware.mapped_lines import rough_lines
from hardware.recorded_log import RecordedLog, RecordedLogSource, annotations_of, read_log
from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.core.units import Unit, c_from_f

A = '[[channel]]\ncolumn = "A"\n'
AB = A + '[[channel]]\ncolumn = "B"\n'
CLOCK = '[time]\nformat = "%d.%m.%Y %H:%M"\n'


def log_of(folder: Path, content: str | bytes, mapping: str) -> RecordedLog:
    path = folder / "foreign.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_log(path, parse_columns(mapping, "mine.toml"))


def values(log: RecordedLog) -> list[tuple[float, tuple[float | None, ...]]]:
    return [(reading.elapsed_s, tuple(reading.temps_c.values())) for reading in log]


def refusal(folder: Path, content: str | bytes, mapping: str) -> str:
    with pytest.raises(InputError) as caught:
        log_of(folder, content, mapping)
    message = str(caught.value)
    assert "\n" not in message
    assert message[-1] in ".?"
    assert len(message) < 400
    return message


def test_a_plain_log_is_read_and_nothing_is_remarked(tmp_path: Path) -> None:
    log = log_of(tmp_path, "T,A,B\n10,20.5,68\n11.1,,69\n", AB + 'units = "F"\n')
    assert log.channels == ("A", "B")
    assert dict(log.units) == {"A": Unit.C, "B": Unit.F}
    assert list(log) == [
        Reading(0.0, {"A": 20.5, "B": 20.0}),
        Reading(1.1, {"A": None, "B": c_from_f(69.0)}),
    ]
    assert log.remarks == ()
    assert list(log) == list(log)


@pytest.mark.parametrize(
    ("units", "cells", "elapsed_s"),
    [
        ("s", ["-107", "-106.5", "3"], [0.0, 0.5, 110.0]),
        ("ms", ["1700000000000", "1700000000250"], [0.0, 0.25]),
        ("min", ["0", "0.1", "1"], [0.0, 6.0, 60.0]),
        ("h", ["1.5", "2"], [0.0, 1800.0]),
        ("d", ["45000.25", "45000.5"], [0.0, 21600.0]),
        ("h:mm:ss", ["0:59", "1:00:30", "25:00:00.5"], [0.0, 90.0, 86460.5]),
        ("h:mm:ss", ["-0:01:00", "0:00:00"], [0.0, 60.0]),
    ],
)
def test_elapsed_time_counts_from_the_first_row(
    tmp_path: Path, units: str, cells: list[str], elapsed_s: list[float]
) -> None:
    text = "T,A\n" + "".join(f"{cell},20\n" for cell in cells)
    log = log_of(tmp_path, text, f'[time]\nunits = "{units}"\n{A}')
    assert [reading.elapsed_s for reading in log] == elapsed_s
    assert {reading.time for reading in log} == {None}


def test_a_clock_with_its_zone_lends_labels_and_one_without_none(tmp_path: Path) -> None:
    text = "T;A\n20.08.2017 23:59;20\n21.08.2017 00:01;21\n"
    mapping = 'delimiter = "semicolon"\n' + CLOCK
    plain = log_of(tmp_path, text, mapping + A)
    assert [(r.elapsed_s, r.time) for r in plain] == [(0.0, None), (120.0, None)]
    zoned = log_of(tmp_path, text, mapping + 'zone = "Europe/Berlin"\n' + A)
    assert [(r.elapsed_s, r.time) for r in zoned] == [
        (0.0, "2017-08-20T23:59:00+02:00"),
        (120.0, "2017-08-21T00:01:00+02:00"),
    ]


def test_the_hour_that_comes_twice_is_two_hours(tmp_path: Path) -> None:
    """Summer time ended in Germany on 25 October 2020 at 3:00 (IANA zone data)."""
    times = ["01:30", "02:00", "02:30", "02:00", "02:30", "03:00"]
    text = "T,A\n" + "".join(f"25.10.2020 {time},20\n" for time in times)
    log = log_of(tmp_path, text, CLOCK + 'zone = "Europe/Berlin"\n' + A)
    assert [r.elapsed_s / 60 for r in log] == [0.0, 30.0, 60.0, 90.0, 120.0, 150.0]
    assert [(r.time or "")[-6:] for r in log] == ["+02:00"] * 3 + ["+01:00"] * 3
    assert log.remarks == ()


def test_a_time_of_day_alone_passes_midnight(tmp_path: Path) -> None:
    text = "T,A\n23:59:50,20\n00:00:10,21\n12:00:00,22\n23:00:00,23\n01:00:00,24\n"
    log = log_of(tmp_path, text, f'[time]\nformat = "%H:%M:%S"\n{A}')
    assert [r.elapsed_s for r in log] == [0.0, 20.0, 43210.0, 82810.0, 90010.0]


def test_a_date_without_a_year_has_a_leap_day(tmp_path: Path) -> None:
    text = "T,A\n28.02. 23:00,20\n29.02. 01:00,21\n"
    log = log_of(tmp_path, text, f'[time]\nformat = "%d.%m. %H:%M"\n{A}')
    assert [r.elapsed_s for r in log] == [0.0, 7200.0]


def test_date_and_time_may_be_two_columns(tmp_path: Path) -> None:
    text = "A,Time,Date\n20,10:00,03/01/2025\n21,10:01,03/01/2025\n"
    mapping = '[time]\ncolumn = ["Date", "Time"]\nformat = "%m/%d/%Y %H:%M"\n'
    assert values(log_of(tmp_path, text, mapping + A)) == [(0.0, (20.0,)), (60.0, (21.0,))]


def test_lines_around_the_header_are_skipped(tmp_path: Path) -> None:
    text = "Logger 7\nserial,3,1\n\nT,A,B\ns,C,C\n,,\n0,20,21\n"
    mapping = "skip_before_header = 2\nskip_after_header = 1\n" + AB
    log = log_of(tmp_path, text, mapping)
    assert values(log) == [(0.0, (20.0, 21.0))]
    assert log.remarks == ()


def test_a_log_without_a_header_goes_by_places(tmp_path: Path) -> None:
    text = "0,20,\n1,21,x\n"
    mapping = "header = false\nannotations = [3]\n[[channel]]\ncolumn = 2\n"
    log = log_of(tmp_path, text, mapping)
    assert log.channels == ("channel 2",)
    assert log.annotations == ("3",)
    assert values(log) == [(0.0, (20.0,)), (1.0, (21.0,))]


def test_blanks_may_be_the_delimiter(tmp_path: Path) -> None:
    text = "  T     A  B\n  0   20.5  21\n 1\t20.6   22\n"
    log = log_of(tmp_path, text, 'delimiter = "space"\n' + AB)
    assert values(log) == [(0.0, (20.5, 21.0)), (1.0, (20.6, 22.0))]


def test_what_stands_for_no_reading_is_none_and_not_remarked(tmp_path: Path) -> None:
    text = "T;A;B\n0;888,8;20,5\n1;21,5;-999,90\n2;888,80;ERR\n3; ;x\n"
    mapping = (
        'delimiter = "semicolon"\ndecimal = "comma"\nno_reading = ["888,8", -999.9, "ERR"]\n' + AB
    )
    log = log_of(tmp_path, text, mapping)
    assert values(log) == [
        (0.0, (None, 20.5)),
        (1.0, (21.5, None)),
        (2.0, (None, None)),
        (3.0, (None, None)),
    ]
    assert log.remarks == ("1 cell of column B was no temperature (first: line 5, “x”)",)


def test_sentinels_are_meant_in_the_scale_of_the_file(tmp_path: Path) -> None:
    log = log_of(tmp_path, "T,A\n0,1832\n1,1000\n", f'units = "F"\nno_reading = 1000\n{A}')
    assert values(log) == [(0.0, (pytest.approx(1000.0),)), (1.0, (None,))]


def test_cells_that_are_no_temperature_are_counted_by_column(tmp_path: Path) -> None:
    text = "T,A,B\n0,#DIV/0!,1\n1,nan,2\n2,3000.5,3\n3,1_0,4\n4,inf,bad\n5,21,6\n"
    log = log_of(tmp_path, text, AB)
    assert [a for _, (a, _) in values(log)] == [None] * 5 + [21.0]
    assert log.remarks == (
        "5 cells of column A were no temperatures (first: line 2, “#DIV/0!”)",
        "1 cell of column B was no temperature (first: line 6, “bad”)",
    )


def test_torn_rows_are_passed_over_and_counted(tmp_path: Path) -> None:
    text = (
        "T,A,B\n0,20,21\n1,20\n2,20,21\n3,20,214,20,21\n5,20,21\n,20,21\nT,A,B\n"
        '6,"20,21\n7,20,21\n8,20,21\n9,20,21\n10,20,21\n11,20,21,\n12,20,21\n'
    )
    log = log_of(tmp_path, text, AB)
    assert [r.elapsed_s for r in log] == [0.0, 2.0, 5.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0]
    assert log.remarks == (
        "5 rows were torn and passed over (first: line 3, 2 cells where the header has 3)",
    )


def test_a_time_that_is_none_tears_its_row(tmp_path: Path) -> None:
    log = log_of(tmp_path, "T,A\n0,20\nsoon,20\n1e300,20\nnan,20\n4,20\n5,20\n6,20\n", A)
    assert [r.elapsed_s for r in log] == [0.0, 4.0, 5.0, 6.0]
    assert log.remarks == ("3 rows were torn and passed over (first: line 3, “soon” is no time)",)


def test_a_clock_that_steps_back_is_waited_for(tmp_path: Path) -> None:
    text = "T,A\n0,1\n10,2\n20,3\n20,4\n15,5\n18,6\n25,7\n30,8\n"
    log = log_of(tmp_path, text, A)
    assert values(log) == [
        (0.0, (1.0,)),
        (10.0, (2.0,)),
        (20.0, (3.0,)),
        (25.0, (7.0,)),
        (30.0, (8.0,)),
    ]
    assert log.remarks == ("3 rows were out of the order of time and passed over (first: line 5)",)


@pytest.mark.parametrize("wrong", [1, 3])
def test_one_row_of_another_time_does_not_hide_those_after_it(tmp_path: Path, wrong: int) -> None:
    times = ["2025-01-01 10:00", "2025-01-01 10:01", "2025-01-01 10:02", "2025-01-01 10:03"]
    times.insert(wrong - 1, "2071-01-01 00:00")
    text = "T,A\n" + "".join(f"{time},20\n" for time in times)
    log = log_of(tmp_path, text, f'[time]\nformat = "iso"\n{A}')
    assert [r.elapsed_s for r in log] == [0.0, 60.0, 120.0, 180.0]
    assert log.remarks == (
        f"1 row was out of the order of time and passed over (first: line {wrong + 1})",
    )


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("header", ["T,A,B", "T,A,B,", "T,A,B,,", '"T","A","B"'])
@pytest.mark.parametrize("tail", ["", ",", ",,,"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_ends_of_lines_and_delimiters_too_many_change_nothing(
    tmp_path: Path, end: str, header: str, tail: str, mark: str
) -> None:
    text = mark + end.join([header, f"0,20,{tail}", "", f"1,21,22{tail}"])
    log = log_of(tmp_path, text, AB)
    assert values(log) == [(0.0, (20.0, None)), (1.0, (21.0, 22.0))]
    assert log.remarks == ()


@pytest.mark.parametrize("encoding", list(Encoding))
def test_every_encoding_is_read(tmp_path: Path, encoding: Encoding) -> None:
    text = "Zeit,Ofen [°C]\n0,20\n1,21\n"
    mapping = f'encoding = "{encoding.value}"\n[[channel]]\ncolumn = "Ofen [°C]"\n'
    log = log_of(tmp_path, text.encode(encoding.value), mapping)
    assert log.channels == ("Ofen",)
    assert values(log) == [(0.0, (20.0,)), (1.0, (21.0,))]


def test_bytes_that_are_no_text_spoil_their_cell_alone(tmp_path: Path) -> None:
    text = b"T,A,note\n0,20,caf\xe9\n1,2\xff1,x\n\0\0\0,22,y\n3,23,\0z\n4,24,\n5,25,\n"
    log = log_of(tmp_path, text, 'annotations = ["note"]\n' + A)
    assert values(log) == [
        (0.0, (20.0,)),
        (1.0, (None,)),
        (3.0, (23.0,)),
        (4.0, (24.0,)),
        (5.0, (25.0,)),
    ]
    assert [said.text for said in annotations_of(log)] == ["caf?", "x", "?z"]
    assert log.remarks == (
        "1 cell of column A was no temperature (first: line 3, “2?1”)",
        "1 row was torn and passed over (first: line 4, “???” is no time)",
    )


def test_a_line_without_end_is_one_torn_row(tmp_path: Path) -> None:
    text = b"T,A\n0,20\n" + b"\0" * 3_000_000 + b"\n1,21\n2,22\n"
    log = log_of(tmp_path, text, A)
    assert [r.elapsed_s for r in log] == [0.0, 1.0, 2.0]
    assert log.remarks == (
        "1 row was torn and passed over (first: line 3, 1 cell where the header has 2)",
    )


def test_annotations_are_kept_where_they_change(tmp_path: Path) -> None:
    text = "T,A,damper,power\n0,20,in,5\n1,20\n2,20,in,6\n3,20,out,7\n"
    log = log_of(tmp_path, text, 'annotations = ["damper"]\n' + A)
    assert log.annotations == ("damper",)
    assert [(a.elapsed_s, a.text) for a in annotations_of(log)] == [(0.0, "in"), (3.0, "out")]


def test_a_source_plays_it_back(tmp_path: Path) -> None:
    source = RecordedLogSource(log_of(tmp_path, "T,A\n7,20\nx,1\n9,21\n", A))
    assert source.channels == ("A",)
    assert source.due_s(None) == 0.0
    assert source.read(0.0).temps_c == {"A": 20.0}
    assert source.due_s(0.0) == 2.0
    assert source.read(2.0).temps_c == {"A": 21.0}
    assert source.due_s(2.0) is None


@pytest.mark.parametrize(
    ("content", "mapping", "words"),
    [
        ("", A, ["foreign.csv: the file is empty"]),
        ("\n\n,,\n", A, ["the file is empty"]),
        ("T,A\n0,1\n", "skip_before_header = 5\n" + A, ["all of it is skipped"]),
        ("T,A\n", A, ["no rows"]),
        ("T,A\n,\n\n", A, ["no rows"]),
        ("T,A\n0,20\n", "skip_after_header = 3\n" + A, ["no rows"]),
        ("T,B\n0,20\n", A, ["mine.toml, line 2", 'no column "A"', 'it has "T", "B"']),
        ("Time,Temp 1\n0,20\n", '[[channel]]\ncolumn = "Temp1"', ['did you mean "Temp 1"?']),
        ("T,A,A\n0,20,21\n", A, ['2 columns named "A"', "2 or 3"]),
        ("T,B\n0,20\n", "[[channel]]\ncolumn = 3", ["2 columns", "no column 3"]),
        ("T,A\n0,20\n", A + "[[channel]]\ncolumn = 2\n", ["column A is used twice"]),
        ("T,A\n0,20\n", "[[channel]]\ncolumn = 1", ["column T is used twice"]),
        (
            "T,A (C),A [C]\n0,20,21\n",
            '[[channel]]\ncolumn = "A (C)"\n[[channel]]\ncolumn = "A [C]"\n',
            ['two channels would be named "A"', "line 4"],
        ),
        ("T,A\n0,20\n", 'annotations = ["x"]\n' + A, ["mine.toml, line 1", 'no column "x"']),
        ("T;A\n0;20\n1;21\n", A, ['no column "A"', '"T;A"']),
        ("T,A,B\n0,20\n1,21\n2,2,3\n", A, ["2 of 3 rows can't be used", "line 2", "delimiter"]),
        ("T,A\nx,20\ny,21\n2,2\n", A, ["“x” is no time"]),
        ("T,A\n0,20\n0,21\n0,22\n", A, ["2 of 3 rows", "not later than the row before", "line 3"]),
        ("T,A\n10:00,20\n", A, ["1 of 1 rows", "“10:00” is no time"]),
        ("T;A\n0;20,5\n1;21,5\n", 'delimiter = "semicolon"\n' + A, ['need decimal = "comma"?']),
        ("T,A\n0,hot\n1,cold\n", A, ["single temperature", "column A", "“hot”", "line 2"]),
        ("T,A\n0,\n1,\n", A, ["single temperature"]),
        ("T,A\n0,5\n1,5\n", "no_reading = 5\n" + A, ["single temperature"]),
        ("T,T°,A\n0,20,1\n".encode("latin-1"), A, ["not utf-8 text", 'encoding = "latin-1"?']),
        ("T,A\n0,20\n".encode("utf-16"), A, ['encoding = "utf-16"?']),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" * 50, A, ["not utf-8 text"]),
        (bytes(1 << 20), A, ["not utf-8 text"]),
    ],
)
def test_too_broken_is_told_in_one_sentence(
    tmp_path: Path, content: str | bytes, mapping: str, words: list[str]
) -> None:
    message = refusal(tmp_path, content, mapping)
    for word in words:
        assert word in message


def test_a_file_that_is_not_there_or_no_file(tmp_path: Path) -> None:
    mapping = parse_columns(A)
    with pytest.raises(InputError, match="no such file"):
        read_log(tmp_path / "none.csv", mapping)
    with pytest.raises(InputError, match="a folder"):
        read_log(tmp_path, mapping)


@given(content=st.binary(max_size=300))
@example(b"T,A\n0,20\n" + bytes(200))
@example(b'T,A\n0,"' + b"9" * 200)
@example(b"T,A\n0,\xd8\xd9\n1,\xed\xa0\x80")
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@pytest.mark.parametrize("encoding", list(Encoding))
def test_any_bytes_give_readings_or_a_sentence(
    tmp_path: Path, encoding: Encoding, content: bytes
) -> None:
    mapping = f'encoding = "{encoding.value}"\nheader = false\n[[channel]]\ncolumn = 2\n'
    for body in (content, b"0,20\n1,21\n" + content + b"\n2,22\n3,23\n4,24"):
        try:
            times_s = [r.elapsed_s for r in log_of(tmp_path, body, mapping)]
        except InputError as error:
            assert "\n" not in str(error)  # noqa: PT017 - readings are as good
        else:
            assert times_s
            assert times_s[0] == 0.0
            assert all(a < b for a, b in pairwise(times_s))


def test_a_long_log_is_read_in_constant_memory(tmp_path: Path) -> None:
    """Twice as long a log needs no more: what is kept is a piece, never the file."""

    def most_bytes(rows: int) -> int:
        path = tmp_path / "long.csv"
        with path.open("w") as file:
            file.write("T,A,B\n")
            file.writelines(f"{n},{20 + n % 900}.5,x\n" for n in range(rows))
        tracemalloc.start()
        log = read_log(path, parse_columns(AB))
        assert sum(1 for _ in log) == rows
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert log.remarks == (
            f"{rows:,} cells of column B were no temperatures (first: line 2, “x”)",
        )
        return peak

    most_bytes(100)
    assert most_bytes(24_000) < 1.2 * most_bytes(12_000)


def test_pieces_are_joined_wherever_they_are_cut(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    lines = [f"{n};é{n * 7919}" for n in range(20_000)]

    def read(text: str) -> Iterator[str]:
        path.write_bytes(text.encode())
        return rough_lines(path, Encoding.UTF_8)

    assert list(read("\r\n".join(lines))) == lines
    assert list(read("\n".join(lines) + "\n")) == lines
