"""A few commands as real processes: exit codes, clean streams, and a reader that goes away."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

SPYHOLE = [sys.executable, "-m", "supervisor"]


def spyhole(
    *words: str | Path, folder: Path, **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*SPYHOLE, *map(str, words)],
        cwd=folder,
        env={**os.environ, "PYTHONWARNINGS": "error", **environment},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )


def test_one_document_on_stdout_and_nothing_else_anywhere(tmp_path: Path, glaze_log: Path) -> None:
    for words in (
        ("plan", "midfire-glaze", "--json"),
        ("heatwork", glaze_log, "--json"),
        ("replay", glaze_log, "--schedule", "midfire-glaze", "--json"),
        ("log", "--json"),
    ):
        found = spyhole(*words, folder=tmp_path, SPYHOLE_DATA=str(tmp_path / "data"))
        assert (found.returncode, found.stderr) == (0, ""), words
        assert found.stdout.endswith(("}\n", "]\n"))
        json.loads(found.stdout)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "code"),
    [(("plan", "bisque"), 0), (("plan", "no"), 1), (("plan",), 2), (("report", "1", "--out"), 2)],
)
def test_the_exit_code_tells_what_kind_of_trouble_it_is(
    tmp_path: Path, words: tuple[str, ...], code: int
) -> None:
    found = spyhole(*words, folder=tmp_path)
    assert found.returncode == code
    assert "Traceback" not in found.stderr


def test_a_peer_that_fails_is_code_3(tmp_path: Path) -> None:
    (tmp_path / "record.sqlite3").write_bytes(b"no record")
    found = spyhole("log", "--data", tmp_path, folder=tmp_path)
    assert found.returncode == 3
    assert found.stderr.count("\n") == 1


def test_the_person_who_asks_may_look_away(tmp_path: Path, stall_log: Path) -> None:
    """As in `spyhole replay ... | head -1`."""
    words = ["replay", str(stall_log), "--schedule", "midfire-glaze", "--json"]
    with subprocess.Popen(
        [*SPYHOLE, *words], cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.wait(60) == 0
        assert process.stderr.read() == b""


@pytest.mark.parametrize("language", ["C", "C.UTF-8", "POSIX"])
def test_degrees_are_written_whatever_the_language_of_the_terminal(
    tmp_path: Path, language: str
) -> None:
    found = spyhole("plan", "bisque", folder=tmp_path, LC_ALL=language, LANG=language)
    assert found.returncode == 0
    assert "°C" in found.stdout
