"""``--help`` teaches: what each command does, what each option means, where to begin."""

from __future__ import annotations

import importlib
import re

import pytest

from supervisor import __version__
from supervisor.commands.main import _COMMANDS
from tests.commands.conftest import Spyhole


def test_the_first_help_names_every_command_a_first_look_and_the_exit_codes(
    spyhole: Spyhole,
) -> None:
    found = spyhole("--help")
    assert found.code == 0
    for name, what in _COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(what)}$", found.out, re.MULTILINE)
    assert "spyhole demo" in found.out
    assert "never switches anything" in found.out
    assert "0 done, 1 bad input, 2 wrong usage" in found.out


def test_no_words_at_all_are_answered_with_the_same_help(spyhole: Spyhole) -> None:
    assert spyhole().out == spyhole("--help").out


@pytest.mark.parametrize("name", _COMMANDS)
def test_the_help_of_a_command_says_what_each_option_means(spyhole: Spyhole, name: str) -> None:
    found = spyhole(name, "--help")
    assert (found.code, found.err) == (0, "")
    assert found.out.startswith(f"usage: spyhole {name} ")
    description = found.out.split("\n\n")[1]
    assert len(description) > 40
    assert description.rstrip().endswith((".", ">_f."))
    listed = found.out.split("options:\n")[1].split("\n\n")[0]
    options = re.split(r"\n  (?=-)", "\n" + listed)[1:]
    assert len(options) >= 2
    for option in options:
        words = re.split(r"\s{2,}|\n\s+", option.strip(), maxsplit=1)
        assert len(words) == 2, f"{option!r} is not explained"
        assert len(words[1]) > 5


def test_the_version_is_told(spyhole: Spyhole) -> None:
    assert spyhole("--version").out == f"spyhole {__version__}\n"


def test_scenarios_and_starters_are_listed_where_they_are_asked_for(spyhole: Spyhole) -> None:
    assert "midfire-glaze" in spyhole("plan", "--help").out
    for name in ("demo", "simulate"):
        assert "tripped-breaker" in spyhole(name, "--help").out


def test_ctrl_c_while_a_command_is_loaded_is_no_traceback(
    spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch
) -> None:
    def loading(_name: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(importlib, "import_module", loading)
    found = spyhole("plan", "bisque")
    assert (found.code, found.out, found.err) == (130, "", "spyhole plan: stopped\n")
