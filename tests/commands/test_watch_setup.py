"""``watch`` hands on what the configuration says of the thermocouples."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from supervisor.commands import watch
from supervisor.service.setup import Setup
from tests.service.test_run import Source

CONFIG = """
units = "F"
[watch]
schedule = "bisque"
[[sensor]]
channel = "top"
chip_select = "D5"
offset = 9.0
[[sensor]]
channel = "bottom"
chip_select = "D6"
"""


def set_up(config: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> Setup:
    setups: list[Setup] = []

    def start(setup: Setup) -> int:
        setups.append(setup)
        return 0

    monkeypatch.setattr(watch, "start", start)
    monkeypatch.setattr(watch, "open_rig", lambda *_words, **_more: Source())
    parser = argparse.ArgumentParser()
    watch.describe(parser)
    assert watch.run(parser.parse_args(["--config", str(config), *words])) == 0
    return setups[0]


def test_configured_offsets_are_kept_with_a_real_firing_and_not_with_a_simulated_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config = tmp_path / "spyhole.toml"
    config.write_text(CONFIG, encoding="utf-8")
    real = set_up(config, monkeypatch)
    assert real.configured_offsets_c == pytest.approx({"top": 5.0, "bottom": 0.0})
    assert real.kept_settings()["configured_offsets_c"] == real.configured_offsets_c
    simulated = set_up(config, monkeypatch, "--simulate", "stall")
    assert simulated.configured_offsets_c == {}
