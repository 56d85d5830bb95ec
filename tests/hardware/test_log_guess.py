"""The first guess at a mapping reads the log that it was made from."""

from __future__ import annotations

from pathlib import Path

import pytest

from hardware.log_columns import parse_columns
from hardware.log_guess import guess_columns
from hardware.recorded_log import read_log
from supervisor.core.units import c_from_f


def guess_for(folder: Path, content: str | bytes) -> str | None:
    path = folder / "foreign.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return guess_columns(path)


@pytest.mark.parametrize(
    ("content", "channels", "last_s", "last_c"),
    [
        ("Time,TC1,power\ns,C,kW\n0,20,1\n15,21,1\n", ["TC1"], 15.0, 21.0),
        ("time_min,kiln_temp\n0,20\n1.5,21\n", ["kiln_temp"], 90.0, 21.0),
        ("Elapsed (h),Temp (F)\n0,68\n2,212\n", ["Temp"], 7200.0, c_from_f(212.0)),
        ("Elapsed seconds;Ofen\n0;20,5\n1;21,5\n", ["Ofen"], 1.0, 21.5),
        (
            "Datum\tOfen [ °C]\tbar\n20.08.2017 00:00\t39,6\t1\t\n20.08.2017 00:01\t39,7\t1\t\n",
            ["Ofen"],
            60.0,
            39.7,
        ),
        ("Date,Time,TC1\n03/25/2025,10:00:00,20\n03/25/2025,10:00:05,21\n", ["TC1"], 5.0, 21.0),
        ("timestamp,t1,t2\n2025-01-01T10:00:00Z,1,2\n2025-01-01T10:01:00Z,3,4\n",
         ["t1", "t2"], 60.0, 4.0),
        ("time,TC1\n0:00:00,20\n0:00:30,21\n", ["TC1"], 30.0, 21.0),
        ("time,TC1\n22:59:00,20\n23:01:00,21\n", ["TC1"], 120.0, 21.0),
        ("Logger 7, serial 3\n\nTime,Temp,Temp\n0,20,21\n1,20,22\n", None, 1.0, 22.0),
        ("millis,temp\n0,20\n500,21\n", ["temp"], 0.5, 21.0),
    ],
)  # fmt: skip
def test_a_guess_reads_its_log(
    tmp_path: Path, content: str, channels: list[str] | None, last_s: float, last_c: float
) -> None:
    guess = guess_for(tmp_path, content)
    assert guess is not None
    if channels is None:
        assert "column = 2" in guess
        guess = guess.replace("column = 2", 'name = "one"\ncolumn = 2')
    log = read_log(tmp_path / "foreign.csv", parse_columns(guess))
    assert channels is None or list(log.channels) == channels
    assert log.remarks == ()
    *_, last = log
    assert last.elapsed_s == last_s
    assert list(last.temps_c.values())[-1] == pytest.approx(last_c)


def test_latin_1_is_found(tmp_path: Path) -> None:
    guess = guess_for(tmp_path, "Zeit,Ofen °C\n0,20\n1,21\n".encode("latin-1"))
    assert guess is not None
    assert 'encoding = "latin-1"' in guess


@pytest.mark.parametrize(
    "content",
    [
        "",
        "\n\n",
        "word",
        "one,two\nthree,four\n",
        "0,20\n1,21\n",
        "Time,TC1\n",
        "elapsed_s,kiln_c\n0,x\n",
        "elapsed_s,damper\n0,1\n",
        "time,kiln_c\nnever,1\n",
        b"\x89PNG\r\n\0\0\0",
        bytes(1000),
    ],
)
def test_where_there_is_nothing_to_guess_there_is_no_guess(
    tmp_path: Path, content: str | bytes
) -> None:
    assert guess_for(tmp_path, content) is None
