"""What a recorded log gives: channels, readings, time, faults."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hardware.recorded_log import RecordedLogSource, annotations_of, read_log
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import Unit, c_from_f, f_from_c

ROWS_A_SECOND = 100_000
"""Far below what is measured (over 500,000), far above what a replay needs (20,000)."""


def log_at(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    path = folder / "kiln.csv"
    path.write_bytes(text.encode(encoding))
    return path


def readings(folder: Path, text: str, encoding: str = "utf-8") -> list[Reading]:
    return list(read_log(log_at(folder, text, encoding)))


def test_elapsed_seconds_and_celsius(tmp_path: Path) -> None:
    path = log_at(tmp_path, "elapsed_s,top_c,bottom_c\n0,20.5,19\n1.5,21,\n")
    log = read_log(path)
    assert log.channels == ("top", "bottom")
    assert dict(log.units) == {"top": Unit.C, "bottom": Unit.C}
    assert log.annotations == ()
    assert list(log) == [
        Reading(0.0, {"top": 20.5, "bottom": 19.0}),
        Reading(1.5, {"top": 21.0, "bottom": None}),
    ]


def test_fahrenheit_is_converted_once(tmp_path: Path) -> None:
    log = read_log(log_at(tmp_path, "elapsed_s,top_f,bottom_c\n0,2232,1222\n1,,-300\n2,-32.8,\n"))
    assert dict(log.units) == {"top": Unit.F, "bottom": Unit.C}
    temps_c = [reading.temps_c for reading in log]
    assert temps_c[0]["top"] == pytest.approx(1222.222, abs=1e-3)
    assert temps_c[0]["bottom"] == 1222.0
    assert temps_c[1] == {"top": None, "bottom": -300.0}
    assert temps_c[2]["top"] == pytest.approx(-36.0)


def test_time_counts_from_the_first_row_across_offsets(tmp_path: Path) -> None:
    text = (
        "time,kiln_c\n"
        "2025-03-30T01:59:59+01:00,20\n"
        "2025-03-30T03:00:00+02:00,21\n"
        "2025-03-30T01:00:30.500Z,22\n"
    )
    assert readings(tmp_path, text) == [
        Reading(0.0, {"kiln": 20.0}, time="2025-03-30T01:59:59+01:00"),
        Reading(1.0, {"kiln": 21.0}, time="2025-03-30T03:00:00+02:00"),
        Reading(31.5, {"kiln": 22.0}, time="2025-03-30T01:00:30.500Z"),
    ]


@pytest.mark.parametrize("header", ["elapsed_s,time,kiln_c", "time,elapsed_s,kiln_c"])
def test_elapsed_seconds_rule_and_time_is_a_label(tmp_path: Path, header: str) -> None:
    """A stepping wall clock, or one without an offset, changes labels only."""
    labels = ["2025-03-01T18:00:00+01:00", "1970-01-01T00:00:05+00:00", ""]
    lines = [header]
    for elapsed_s, label in enumerate(labels):
        first, second = (elapsed_s, label) if header.startswith("e") else (label, elapsed_s)
        lines.append(f"{first},{second},20")
    found = readings(tmp_path, "\n".join(lines))
    assert [reading.elapsed_s for reading in found] == [0.0, 1.0, 2.0]
    assert [reading.time for reading in found] == [labels[0], labels[1], None]


def test_other_columns_are_annotations(tmp_path: Path) -> None:
    text = (
        "elapsed_s,note,kiln_c,power,lost_fault,_c\n"
        '0,"bung in, damper half",20,1_0,open,x\n1,"two\nlines",21,,,\n'
    )
    log = read_log(log_at(tmp_path, text))
    assert log.channels == ("kiln",)
    assert log.annotations == ("note", "power", "lost_fault", "_c")
    assert [reading.temps_c["kiln"] for reading in log] == [20.0, 21.0]


def test_annotations_are_told_where_they_change(tmp_path: Path) -> None:
    text = (
        "time,note,kiln_c,power,kiln_fault\n"
        '2026-03-28T20:00:00+01:00,"bung in, damper half",20,,\n'
        "\n"
        "2026-03-28T20:01:00+01:00, ,21,40,\n"
        "2026-03-28T20:02:00+01:00,lit,,40,open\n"
        "2026-03-28T20:03:00+01:00,lit,22,60,\n"
        "2026-03-28T20:04:00+01:00,,22,,\n"
        '2026-03-28T20:05:00+01:00,"lit",22, 60 ,\n'
    )
    found = list(annotations_of(read_log(log_at(tmp_path, text))))
    assert [(said.elapsed_s, said.column, said.text) for said in found] == [
        (0.0, "note", "bung in, damper half"),
        (60.0, "power", "40"),
        (120.0, "note", "lit"),
        (180.0, "power", "60"),
        (300.0, "note", "lit"),
        (300.0, "power", "60"),
    ]
    assert [said.time for said in found[:2]] == [
        "2026-03-28T20:00:00+01:00",
        "2026-03-28T20:01:00+01:00",
    ]


def test_a_log_without_annotations_is_not_read_for_them(tmp_path: Path) -> None:
    log = read_log(log_at(tmp_path, "elapsed_s,kiln_c\n0,20\n"))
    log.path.unlink()
    assert list(annotations_of(log)) == []


def test_annotations_of_a_spoilt_log_end_as_its_readings_do(tmp_path: Path) -> None:
    log = read_log(log_at(tmp_path, "elapsed_s,note,kiln_c\n0,lit,20\n1,out,hot\n"))
    found = annotations_of(log)
    assert next(found).text == "lit"
    with pytest.raises(InputError, match='"hot" is no temperature'):
        next(found)


def test_a_fault_column_is_understood(tmp_path: Path) -> None:
    text = "elapsed_s,top_c,top_fault,low_c\n0,20,,18\n1,,open,19\n2,3,voltage,\n3,21, ,\n"
    assert readings(tmp_path, text) == [
        Reading(0.0, {"top": 20.0, "low": 18.0}),
        Reading(1.0, {"top": None, "low": 19.0}, {"top": FaultCause.OPEN}),
        Reading(2.0, {"top": None, "low": None}, {"top": FaultCause.VOLTAGE}),
        Reading(3.0, {"top": 21.0, "low": None}),
    ]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("last", ["", "end"])
def test_line_ends_and_byte_order_marks_change_nothing(
    tmp_path: Path, end: str, mark: str, last: str
) -> None:
    text = mark + end.join(["elapsed_s,kiln_c", "0,20", "", "1,21", "2,22"])
    text += end if last else ""
    assert [r.temps_c["kiln"] for r in readings(tmp_path, text)] == [20.0, 21.0, 22.0]


HEAD = "elapsed_s,time,kiln_c,top_f,top_fault\n"
FIRST = "0,2025-03-01T18:30:00+01:00,1000.5,2000,\n60,2025-03-01T18:31:00+01:00,1001,2001.5,\n"
LAST = "120,2025-03-01T18:32:00+01:00,1002.25,2002,open"


@pytest.mark.parametrize("kept", range(1, len(LAST)))
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_last_row_that_was_cut_off_anywhere_is_left_out_and_told(
    tmp_path: Path, kept: int, end: str
) -> None:
    text = (HEAD + FIRST).replace("\n", end) + LAST[:kept]
    log = read_log(log_at(tmp_path, text))
    if LAST[:kept].count(",") == 4 and LAST[:kept].endswith(","):
        # The word for the fault is gone, and nothing tells that there was one.
        assert [r.elapsed_s for r in log] == [0.0, 60.0, 120.0]
        assert log.remarks == ()
        return
    assert [r.elapsed_s for r in log] == [0.0, 60.0]
    (said,) = log.remarks
    assert said.startswith("the last row was cut off and is left out (line 4, ")


@pytest.mark.parametrize(
    ("last", "why"),
    [
        ("60,1000.", None),
        ("60,1000", None),
        ("60,100", "“100” is half a number"),
        ("60,1", "“1” is half a number"),
        ("60,", None),
        ("60", "1 cell where the header has 2"),
        ("60,-", "“-” is half a cell"),
        ("6", "1 cell where the header has 2"),
        ('60,"10', "it breaks off within a cell"),
        ("60,9\0\0\0\0", "bytes of zero"),
        ("\0\0\0\0", "bytes of zero"),
    ],
)
def test_what_is_left_of_a_number_is_no_temperature(
    tmp_path: Path, last: str, why: str | None
) -> None:
    log = read_log(log_at(tmp_path, f"elapsed_s,kiln_c\n\n0,999\n30,1000.5\n{last}"))
    assert len(list(log)) == (3 if why is None else 2)
    told = () if why is None else (f"the last row was cut off and is left out (line 5, {why})",)
    assert log.remarks == told


def test_a_letter_cut_in_two_is_left_out_with_its_row(tmp_path: Path) -> None:
    path = tmp_path / "kiln.csv"
    path.write_bytes("elapsed_s,kiln_c,note\n0,20,é\n60,21,é".encode()[:-1])
    log = read_log(path)
    assert [said.text for said in annotations_of(log)] == ["é"]
    assert log.remarks == (
        "the last row was cut off and is left out (line 3, it breaks off within a cell)",
    )


def test_a_row_that_was_cut_off_earlier_spoils_the_log_as_ever(tmp_path: Path) -> None:
    log = read_log(log_at(tmp_path, "elapsed_s,kiln_c\n0,20\n60\n120,21\n18"))
    with pytest.raises(InputError, match="line 3: the row has 1 cell and the header has 2"):
        list(log)
    with pytest.raises(InputError, match="nothing but a row that was cut off below it"):
        read_log(log_at(tmp_path, "elapsed_s,kiln_c\n0"))


def test_spaces_around_cells_are_forgiven(tmp_path: Path) -> None:
    text = "elapsed_s, kiln_c , top_c\n 0 , 20 ,\n1,  , 21\n"
    assert readings(tmp_path, text) == [
        Reading(0.0, {"kiln": 20.0, "top": None}),
        Reading(1.0, {"kiln": None, "top": 21.0}),
    ]


def test_time_may_begin_before_zero(tmp_path: Path) -> None:
    text = "elapsed_s,kiln_c\n-107.5,20\n0,21\n"
    assert [r.elapsed_s for r in readings(tmp_path, text)] == [-107.5, 0.0]


def test_a_log_can_be_read_again_and_halfway(tmp_path: Path) -> None:
    log = read_log(log_at(tmp_path, "elapsed_s,kiln_c\n0,20\n1,21\n"))
    half = iter(log)
    next(half)
    assert list(log) == list(log)
    assert next(half).elapsed_s == 1.0
    assert next(half, None) is None


def test_a_log_longer_than_one_piece_is_read_whole(tmp_path: Path) -> None:
    lines = [f"{n},{20 + n % 1000}.{n % 10},é" for n in range(20_000)]
    found = readings(tmp_path, "elapsed_s,kiln_c,note\r\n" + "\r\n".join(lines))
    assert len(found) == 20_000
    assert [r.temps_c["kiln"] for r in found] == [float(line.split(",")[1]) for line in lines]


def test_a_source_plays_the_log_back(tmp_path: Path) -> None:
    source = RecordedLogSource(read_log(log_at(tmp_path, "elapsed_s,kiln_c\n5,20\n9,21\n")))
    assert source.due_s(None) == 5.0
    assert source.due_s(None) == 5.0
    assert source.read(1234.0) == Reading(5.0, {"kiln": 20.0})
    assert source.due_s(5.0) == 9.0
    assert source.read(9.0) == Reading(9.0, {"kiln": 21.0})
    assert source.due_s(9.0) is None
    with pytest.raises(RigError, match="no more readings"):
        source.read(10.0)


temps_c = st.one_of(st.none(), st.integers(-30_000, 300_000).map(lambda n: n / 100))


@given(
    rows=st.lists(st.lists(temps_c, min_size=3, max_size=3), min_size=1, max_size=20),
    steps=st.lists(st.integers(1, 30_000), min_size=20, max_size=20),
    end=st.sampled_from(["\n", "\r\n"]),
    mark=st.booleans(),
)
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_was_written_is_read_back(
    tmp_path: Path, rows: list[list[float | None]], steps: list[int], end: str, mark: bool
) -> None:
    """°C comes back exactly, °F within a millionth, whatever ends the lines."""
    elapsed_s = [sum(steps[:n]) / 1000 for n in range(len(rows))]
    lines = ["elapsed_s,a_c,b_f,d_c"]
    for now_s, (a, b, d) in zip(elapsed_s, rows, strict=True):
        cells = [repr(now_s), a, None if b is None else f_from_c(b), d]
        lines.append(",".join("" if cell is None else str(cell) for cell in cells))
    text = ("\ufeff" if mark else "") + end.join(lines) + end
    found = readings(tmp_path, text)
    assert [r.elapsed_s for r in found] == elapsed_s
    for reading, (a, b, d) in zip(found, rows, strict=True):
        assert reading.temps_c["a"] == a
        assert reading.temps_c["d"] == d
        assert reading.temps_c["b"] == (None if b is None else pytest.approx(b, abs=1e-6))


@given(temp_f=st.floats(-507.0, 5431.0))
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_fahrenheit_is_what_the_units_say(tmp_path: Path, temp_f: float) -> None:
    found = readings(tmp_path, f"elapsed_s,kiln_f\n0,{temp_f!r}\n")
    assert found[0].temps_c["kiln"] == c_from_f(temp_f)


@pytest.mark.parametrize(
    ("header", "row"),
    [
        ("elapsed_s,kiln_c", "{n},{t}"),
        ("elapsed_s,a_c,b_f,d_c", "{n},{t},{t},{t}"),
        ("time,a_c,b_c,d_c", "2025-03-01T{h:02}:{m:02}:{s:02}+01:00,{t},{t},{t}"),
    ],
)
def test_reading_is_fast(tmp_path: Path, header: str, row: str) -> None:
    count = 40_000
    lines = [
        row.format(n=n, t=20 + n * 0.01, h=n // 3600, m=n // 60 % 60, s=n % 60)
        for n in range(count)
    ]
    log = read_log(log_at(tmp_path, header + "\n" + "\n".join(lines)))
    quickest_s = float("inf")
    for _ in range(3):
        begun_s = time.process_time()
        assert sum(1 for _ in log) == count
        quickest_s = min(quickest_s, time.process_time() - begun_s)
    assert count / quickest_s > ROWS_A_SECOND
