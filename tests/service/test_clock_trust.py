"""Whether the wall clock is believed: the mark that systemd-timesyncd leaves, and its absence."""

from __future__ import annotations

from pathlib import Path

from supervisor.service.clock_trust import is_time_believed


def test_the_mark_says_yes_its_absence_no_and_nobody_nothing(tmp_path: Path) -> None:
    """The file that systemd-timesyncd.service(8) names under Files."""
    folder = tmp_path / "timesync"
    assert is_time_believed(folder) is None
    folder.mkdir()
    assert is_time_believed(folder) is False
    (folder / "synchronized").touch()
    assert is_time_believed(folder) is True
