"""The wall clock is doubted where it was never set, or has been stepped."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from supervisor.service.wall import WallDoubt
from tests.service.clocks import Machine


def doubt(machine: Machine, timesync: Path) -> WallDoubt:
    return WallDoubt(boottime=machine.boottime, wall=machine.wall, timesync=timesync)


def test_a_clock_that_goes_evenly_is_believed(tmp_path: Path) -> None:
    machine = Machine()
    wall = doubt(machine, tmp_path / "none")
    for _ in range(10):
        assert wall.is_believed()
        machine.pass_time(3600.0)


def test_a_step_is_doubted_over_the_night_and_then_forgotten(tmp_path: Path) -> None:
    machine = Machine()
    wall = doubt(machine, tmp_path / "none")
    assert wall.is_believed()
    machine.set_wall(timedelta(hours=9))
    assert not wall.is_believed()
    machine.pass_time(11 * 3600.0)
    assert not wall.is_believed()
    machine.pass_time(3600.0)
    assert wall.is_believed()


def test_a_clock_that_is_slowly_put_right_is_believed(tmp_path: Path) -> None:
    machine = Machine()
    wall = doubt(machine, tmp_path / "none")
    for _ in range(100):
        machine.pass_time(10.0)
        machine.set_wall(timedelta(seconds=0.1))
        assert wall.is_believed()


def test_a_clock_that_was_never_set_is_doubted(tmp_path: Path) -> None:
    machine = Machine()
    machine.shown = datetime(1970, 1, 1, 2, 0, tzinfo=UTC)
    assert not doubt(machine, tmp_path / "none").is_believed()


def test_where_the_network_sets_the_clock_it_is_doubted_until_it_has(tmp_path: Path) -> None:
    wall = doubt(Machine(), tmp_path)
    assert not wall.is_believed()
    (tmp_path / "synchronized").touch()
    assert wall.is_believed()


def test_the_minute_is_the_wall_clocks_or_none(tmp_path: Path) -> None:
    machine = Machine()
    wall = doubt(machine, tmp_path / "none")
    assert wall.minute() == 20 * 60
    machine.pass_time(4 * 3600.0 + 61.0)
    assert wall.minute() == 1
    machine.set_wall(timedelta(hours=-2))
    assert wall.minute() is None
