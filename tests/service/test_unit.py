"""The service's unit: it waits for nothing, comes back always, and can drive nothing but the bus.

What each line means is said in systemd.unit(5), systemd.service(5), systemd.exec(5) and
systemd.resource-control(5); systemd's own tools judge the whole.
"""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

import supervisor.service
from supervisor.commands import watch
from supervisor.service.pulse import STUCK_S
from supervisor.service.service_manager import Notifier

UNIT = Path(supervisor.service.__file__).parent / "unit" / "spyhole.service"
PLAIN_PINS = UNIT.with_name("plain-pins.conf")

MAY_OPEN = ["char-spi rw"]
"""SPI buses by their name in /proc/devices ("spi", Linux, drivers/spi/spidev.c)."""

MOST_EXPOSED = 2.5

systemd = pytest.mark.skipif(
    shutil.which("systemd-analyze") is None, reason="systemd-analyze is not installed"
)


def lines(path: Path = UNIT) -> dict[str, list[str]]:
    """Every setting's values in order, whatever its section."""
    found: dict[str, list[str]] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith(("#", "[")):
            name, value = line.split("=", 1)
            found.setdefault(name, []).append(value)
    return found


def only(name: str) -> str:
    (value,) = lines()[name]
    return value


def test_no_device_but_the_bus_can_be_opened_and_so_no_pin() -> None:
    found = lines()
    assert only("DevicePolicy") == "closed"
    assert found["DeviceAllow"] == MAY_OPEN
    settings = "\n".join(value for values in found.values() for value in values)
    assert "gpio" not in settings, "neither a device nor a group nor a path of pins"
    # These let further devices in, or would have to.
    for name in ("ProtectClock", "PrivateDevices", "BindPaths", "TTYPath", "RootImage", "Slice"):
        assert name not in found
    for name in ("StandardInput", "StandardOutput", "StandardError"):
        assert name not in found, "the journal, not a terminal"
    assert only("SupplementaryGroups").split() == ["spi"]


def test_what_lets_it_open_pins_is_apart_and_lets_nothing_else() -> None:
    assert lines(PLAIN_PINS) == {
        "SupplementaryGroups": ["gpio"],
        "DeviceAllow": ["/dev/gpiochip0 rw"],
    }


def test_no_right_is_left_that_reaches_hardware_past_the_devices() -> None:
    found = lines()
    assert only("User") == "spyhole"
    assert only("CapabilityBoundingSet") == ""
    assert only("AmbientCapabilities") == ""
    for name in (
        *("NoNewPrivileges", "RestrictSUIDSGID", "RestrictNamespaces", "LockPersonality"),
        # /sys/class/gpio, /sys/class/leds and the like are tunables and so read-only.
        *("ProtectKernelTunables", "ProtectKernelModules", "ProtectControlGroups"),
        *("ProtectKernelLogs", "ProtectHostname", "RestrictRealtime", "MemoryDenyWriteExecute"),
    ):
        assert only(name) == "yes", name
    assert only("SystemCallArchitectures") == "native"
    allowed, denied = found["SystemCallFilter"]
    assert allowed == "@system-service"
    assert denied == "~@privileged @resources @clock"
    # No command of the unit's own runs with more rights than the service ("+", "!", and helpers).
    assert [name for name in found if name.startswith("Exec")] == ["ExecStart"]
    assert only("ExecStart").startswith("/opt/spyhole/bin/spyhole watch ")
    assert set(only("RestrictAddressFamilies").split()) == {"AF_UNIX", "AF_INET", "AF_INET6"}


def test_the_record_is_all_that_can_be_written() -> None:
    found = lines()
    assert only("ProtectSystem") == "strict"
    assert only("ProtectHome") == "yes"
    assert only("PrivateTmp") == "yes"
    assert only("StateDirectory") == "spyhole"
    assert "SPYHOLE_DATA=/var/lib/spyhole" in only("Environment").split()
    # In memory, for a card that refuses; it outlives a restart, and nobody else sees it.
    assert only("RuntimeDirectory") == "spyhole"
    assert only("RuntimeDirectoryMode") == "0700"
    assert only("RuntimeDirectoryPreserve") == "yes"
    writable = ("ReadWritePaths", "CacheDirectory", "LogsDirectory")
    assert not set(writable) & set(found)


def test_it_waits_for_neither_network_nor_time_and_comes_back_always() -> None:
    found = lines()
    for name in ("After", "Wants", "Requires", "Requisite", "BindsTo", "PartOf"):
        assert name not in found
    assert only("WantedBy") == "multi-user.target"
    assert only("Restart") == "always"
    assert only("StartLimitIntervalSec") == "0"
    assert "RestartPreventExitStatus" not in found
    assert only("Type") == "notify"


def test_signs_of_life_are_asked_for_less_often_than_they_are_given() -> None:
    watchdog_s = float(only("WatchdogSec"))
    told = {"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": f"{watchdog_s * 1e6:.0f}"}
    assert Notifier.from_environment(told, 1).every_s <= watchdog_s / 2.0
    assert watchdog_s <= STUCK_S


def test_the_command_is_one_that_watch_understands() -> None:
    words = shlex.split(only("ExecStart"))
    assert words[:2] == ["/opt/spyhole/bin/spyhole", "watch"]
    parser = argparse.ArgumentParser()
    watch.describe(parser)
    options = parser.parse_args(words[2:])
    assert options.config == "/etc/spyhole/spyhole.toml"
    assert not options.new, "a restart goes on with the firing"
    assert options.data is None, "the environment says where, and the configuration may"


@systemd
def test_systemd_understands_every_line(tmp_path: Path) -> None:
    unit = tmp_path / "spyhole.service"
    text = UNIT.read_text(encoding="utf-8")
    # Only the program itself need not be installed.
    text, count = re.subn(r"^(ExecStart=)\S+", r"\1/bin/true", text, flags=re.MULTILINE)
    assert count == 1
    unit.write_text(text, encoding="utf-8")
    words = ["systemd-analyze", "verify", "--man=no", "--recursive-errors=no", str(unit)]
    found = subprocess.run(words, capture_output=True, text=True, timeout=60.0)
    assert (found.returncode, found.stdout, found.stderr) == (0, "", "")
    unit.with_name("spyhole.service.d").mkdir()
    shutil.copy(PLAIN_PINS, unit.with_name("spyhole.service.d"))
    found = subprocess.run(words, capture_output=True, text=True, timeout=60.0)
    assert (found.returncode, found.stdout, found.stderr) == (0, "", "")
    unit.write_text(text.replace("Restart=always", "Restrat=always"), encoding="utf-8")
    found = subprocess.run(words, capture_output=True, text=True, timeout=60.0)
    assert "Restrat" in found.stderr, "a mistake would be seen"


@systemd
def test_systemd_finds_it_little_exposed() -> None:
    words = ["systemd-analyze", "security", "--offline=true", "--no-pager", str(UNIT)]
    found = subprocess.run(words, capture_output=True, text=True, timeout=60.0)
    assert found.returncode == 0, found.stderr
    level = re.search(r"Overall exposure level for spyhole.service: (\d+\.\d)", found.stdout)
    assert level is not None, found.stdout
    assert float(level[1]) < MOST_EXPOSED
