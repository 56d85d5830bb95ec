"""What is said never stops the watch."""

from __future__ import annotations

import io
import sys

import pytest

from supervisor.service.terminal import say, warn


class Full(io.StringIO):
    def write(self, text: str) -> int:
        raise OSError(28, "No space left on device")


def test_a_full_or_closed_terminal_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", Full())
    say("a line")
    closed = io.StringIO()
    closed.close()
    monkeypatch.setattr(sys, "stderr", closed)
    warn("a line")


def test_a_line_is_there_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    say("page: http://127.0.0.1:1/")
    warn("the broker is away")
    out, err = capsys.readouterr()
    assert out == "page: http://127.0.0.1:1/\n"
    assert err == "spyhole: the broker is away\n"
