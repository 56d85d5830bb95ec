"""A log that is none: one sentence each, with the file, the place and what is allowed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from hardware.recorded_log import read_log
from supervisor.core.errors import InputError
from supervisor.core.readings import Reading

HEAD = "elapsed_s,top_c,low_f"


def refusal(path: Path) -> InputError:
    with pytest.raises(InputError) as caught:
        for _ in read_log(path):
            pass
    message = str(caught.value)
    assert "\n" not in message
    assert message.endswith(".")
    assert len(message) < 300
    assert caught.value.exit_code == 1
    return caught.value


def outcome(path: Path) -> list[Reading] | str:
    """The readings, or the sentence."""
    try:
        return list(read_log(path))
    except InputError as error:
        return str(error)


def refusal_of(folder: Path, content: str | bytes) -> str:
    path = folder / "kiln.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    error = refusal(path)
    assert str(error).startswith("kiln.csv")
    return str(error)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", ["file is empty"]),
        ("\n\n", ["file is empty"]),
        (HEAD + "\n", ["no readings"]),
        ("seconds,top_c\n0,20\n", ["line 1", '"seconds"', '"elapsed_s" or "time"']),
        ("top_c,elapsed_s\n20,0\n", ['"top_c"']),
        ("elapsed_s;top_c\n0;20\n", ["separated by commas"]),
        ("elapsed_s\ttop_c\n0\t20\n", ["separated by commas"]),
        ("elapsed_s,power\n0,20\n", ["no column holds temperatures", '"kiln_c"']),
        ("elapsed_s,top_C\n0,20\n", ["no column holds temperatures"]),
        ("elapsed_s,top_c,top_c\n0,20,20\n", ['two columns are named "top_c"']),
        ("elapsed_s,note,top_c,note\n0,,20,\n", ['two columns are named "note"']),
        ("elapsed_s,top_c,top_f\n0,20,68\n", ['"top"', "a column in °C and one in °F"]),
        ("elapsed_s,top_c,\n0,20,\n", ["column 3 has no name"]),
        (HEAD + "\n0,20,68\n1,21\n", ["line 3", "2 cells", "has 3"]),
        (HEAD + "\n0,20,68,1\n", ["line 2", "4 cells"]),
        (HEAD + "\n0,20,68\n\n1,x,68\n", ["line 4, column top_c", '"x"', "-300 to 3,000 °C"]),
        (HEAD + "\n0,20,x\n", ["column low_f", "-508 to 5,432 °F"]),
        (HEAD + "\n0,nan,68\n", ["column top_c", '"nan"']),
        (HEAD + "\n0,inf,68\n", ['"inf"']),
        (HEAD + "\n0,-Infinity,68\n", ['"-Infinity"']),
        (HEAD + "\n0,1e999,68\n", ['"1e999"']),
        (HEAD + "\n0,1_000,68\n", ['"1_000"']),
        (HEAD + "\n0,3000.1,68\n", ['"3000.1"']),
        (HEAD + "\n0,-300.1,68\n", ['"-300.1"']),
        (HEAD + "\n0,20,5433\n", ['"5433"']),
        (HEAD + "\n0,20,-509\n", ['"-509"']),
        (HEAD + "\n0," + "9" * 100_000 + ",68\n", ['"9999', "…"]),
        (HEAD + "\n0,#DIV/0!,68\n", ['"#DIV/0!"']),
        (HEAD + "\n,20,68\n", ["column elapsed_s", '"" is no elapsed time']),
        (HEAD + "\nnan,20,68\n", ["column elapsed_s"]),
        (HEAD + "\ninf,20,68\n", ["column elapsed_s"]),
        (HEAD + "\n1e10,20,68\n", ["column elapsed_s"]),
        (HEAD + "\n1_0,20,68\n", ["column elapsed_s"]),
        (HEAD + "\n5,20,68\n5,20,68\n", ["line 3, column elapsed_s", "stands still"]),
        (HEAD + "\n5,20,68\n4,20,68\n", ["line 3, column elapsed_s", "goes backwards"]),
        ("time,top_c\n2025-03-01T18:00:00,20\n", ["line 2, column time", "+01:00 is needed"]),
        ("time,top_c\nyesterday,20\n", ['"yesterday"']),
        ("time,top_c\n,20\n", ["column time"]),
        (
            "time,top_c\n2025-03-01T18:00:00Z,20\n2025-03-01T18:00:00Z,20\n",
            ["line 3, column time", "stands still"],
        ),
        (
            "time,top_c\n2025-03-01T18:00:00Z,20\n2025-03-01T18:30:00+01:00,20\n",
            ["goes backwards"],
        ),
        ("elapsed_s,top_c,top_fault\n0,,broken\n", ["column top_fault", '"broken"', "open, short"]),
        (HEAD + '\n0,"20,68\n1,20,68\n', ["not proper CSV"]),
        (HEAD + '\n0,"20"x,68\n', ["line 2", "not proper CSV"]),
        (HEAD + "\n0,20,68\n1,\0,68\n", ["line 3", "zero byte"]),
    ],
)
def test_what_does_not_fit_is_told_in_a_sentence(
    tmp_path: Path, content: str, words: list[str]
) -> None:
    message = refusal_of(tmp_path, content)
    for word in words:
        assert word in message


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" * 50, "UTF-8"),
        (b"PK\x03\x04\x14\0\0\0\x08\0" * 50, "zero byte"),
        ("elapsed_s,top_c\n0,20\n".encode("utf-16"), "UTF-8"),
        (HEAD.encode() + b",note\n0,20,68,caf\xe9\n", "line 2"),
        (HEAD.encode() + b"\n0,20,68\xc3\n", "UTF-8"),
        (bytes(1 << 20), "zero byte"),
    ],
)
def test_what_is_no_text_is_told_in_a_sentence(tmp_path: Path, content: bytes, word: str) -> None:
    assert word in refusal_of(tmp_path, content)


@pytest.mark.parametrize(
    "content",
    [
        "x" * 10_000_000,
        HEAD + "\n0,20," + "6" * 10_000_000 + "\n",
        HEAD + "\n0,20,68\n1,21," + "6" * 10_000_000 + "\n",
        HEAD + '\n0,20,"' + "6" * 10_000_000 + '"\n',
        HEAD + '\n0,20,"' + "6\n" * 5_000_000 + '"\n',
    ],
    ids=["no line end", "first row", "later row", "quoted", "quoted lines"],
)
def test_a_cell_of_ten_megabytes_is_told_in_a_sentence(tmp_path: Path, content: str) -> None:
    assert "131,072 characters" in refusal_of(tmp_path, content)


def test_a_missing_file_is_told_in_a_sentence(tmp_path: Path) -> None:
    assert str(refusal(tmp_path / "none.csv")) == "none.csv: there is no such file."


def test_a_folder_is_told_in_a_sentence(tmp_path: Path) -> None:
    assert "this is a folder" in str(refusal(tmp_path))


@pytest.mark.parametrize("name", ["a\0b.csv", "x" * 5000])
def test_a_path_that_can_be_none_is_told_in_a_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="can't be opened"):
        read_log(tmp_path / name)


@pytest.mark.parametrize("head", [b"", b"elapsed_s,kiln_c\n0,20\n", b"time,kiln_f,kiln_fault\n"])
@given(rest=st.binary(max_size=200))
@example(rest=b"\xff\xfe")
@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_bytes_are_a_log_or_a_sentence(tmp_path: Path, head: bytes, rest: bytes) -> None:
    path = tmp_path / "kiln.csv"
    path.write_bytes(head + rest)
    found = outcome(path)
    assert found.startswith("kiln.csv") if isinstance(found, str) else found


@given(
    cells=st.lists(
        st.text(alphabet="0123456789.,-+einfa \"\n_TZ:'", max_size=12), min_size=1, max_size=8
    )
)
@settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_nearly_numbers_are_a_log_or_a_sentence(tmp_path: Path, cells: list[str]) -> None:
    path = tmp_path / "kiln.csv"
    path.write_text("elapsed_s,kiln_c\n" + "\n".join(cells), encoding="utf-8")
    found = outcome(path)
    if isinstance(found, str):
        assert "\n" not in found
        return
    for reading in found:
        temp_c = reading.temps_c["kiln"]
        assert temp_c is None or -300.0 <= temp_c <= 3000.0
