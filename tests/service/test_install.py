"""``./task install-pi`` in a scratch root: every step, again, and dry.

What would reach the package index or the machine itself (pip, users, systemctl) is stood in for;
the rest is done.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from supervisor.service.config import parse_config

CHECKOUT = Path(__file__).parents[2]

USER = "--home-dir /var/lib/spyhole --no-create-home --shell /usr/sbin/nologin spyhole"

PYTHON = f"""#!/bin/sh
echo "python $*" >>"$CALLS"
case "$*" in
"-m venv --clear "*)
    mkdir -p "$4/bin"
    cp "$0" "$4/bin/python"
    ;;
"-m pip "*) ;;
"-m supervisor "*) cd {CHECKOUT} && exec {sys.executable} "$@" ;;
*) exec {sys.executable} "$@" ;;
esac
"""
GROUPADD = """#!/bin/sh
echo "groupadd $*" >>"$CALLS"
for name; do :; done
echo "$name:x:90$(wc -l <"$TARGET/etc/group"):" >>"$TARGET/etc/group"
"""
USERADD = """#!/bin/sh
echo "useradd $*" >>"$CALLS"
echo "spyhole:x:990:990::/:/bin/false" >>"$TARGET/etc/passwd"
echo "spyhole:x:990:" >>"$TARGET/etc/group"
"""


@dataclass
class Pi:
    """A scratch root, and stand-ins for the commands that reach beyond it."""

    root: Path
    tools: Path
    calls: Path
    environment: dict[str, str] = field(default_factory=dict)

    def install(self, *words: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [CHECKOUT / "task", "install-pi", "--root", self.root, *words],
            env=self.environment,
            capture_output=True,
            text=True,
            input=stdin,
            timeout=120.0,
        )

    def called(self) -> list[str]:
        """What was called, and forget it."""
        found = self.calls.read_text(encoding="utf-8").splitlines()
        self.calls.write_text("", encoding="utf-8")
        return found

    def files(self) -> dict[str, bytes]:
        return {
            str(path.relative_to(self.root)): b"" if path.is_symlink() else path.read_bytes()
            for path in sorted(self.root.rglob("*"))
            if not path.is_dir()
        }


@pytest.fixture
def pi(tmp_path: Path) -> Pi:
    root, tools, calls = tmp_path / "root", tmp_path / "tools", tmp_path / "calls"
    (root / "etc").mkdir(parents=True)
    (root / "etc/passwd").write_text("root:x:0:0::/root:/bin/sh\n", encoding="utf-8")
    (root / "etc/group").write_text("root:x:0:\n", encoding="utf-8")
    tools.mkdir()
    calls.touch()
    echo = '#!/bin/sh\necho "$(basename "$0") $*" >>"$CALLS"\n'
    for name, text in {
        "python3": PYTHON,
        "groupadd": GROUPADD,
        "useradd": USERADD,
        "id": "#!/bin/sh\necho 0\n",
        "chown": echo,
        "systemctl": echo,
    }.items():
        (tools / name).write_text(text, encoding="utf-8")
        (tools / name).chmod(0o755)
    environment = os.environ | {
        "PATH": f"{tools}:{os.environ['PATH']}",
        "CALLS": str(calls),
        "TARGET": str(root),
    }
    return Pi(root, tools, calls, environment)


def test_a_fresh_system_gets_user_program_configuration_and_service(pi: Pi) -> None:
    found = pi.install("--defaults")
    assert (found.returncode, found.stderr) == (0, "")
    calls = pi.called()
    assert [line for line in calls if line.startswith(("groupadd", "useradd"))] == [
        f"groupadd --prefix {pi.root} --system spi",
        f"useradd --prefix {pi.root} --system --user-group {USER}",
    ]
    locked, program = (line for line in calls if "pip install" in line)
    assert "--require-hashes -r" in locked
    assert "--no-deps" in program
    assert program.endswith(str(CHECKOUT))
    assert f"systemctl --root={pi.root} enable spyhole.service" in calls
    config = pi.root / "etc/spyhole/spyhole.toml"
    assert parse_config(config.read_text(encoding="utf-8"), "it").sensor[0].channel == "top"
    assert stat.S_IMODE(config.stat().st_mode) == 0o640
    assert f"chown 0:990 {config}" in calls
    assert f"chown 990:990 {pi.root / 'var/lib/spyhole'}" in calls
    assert stat.S_IMODE((pi.root / "var/lib/spyhole").stat().st_mode) == 0o750
    unit = CHECKOUT / "supervisor/service/unit/spyhole.service"
    assert (pi.root / "etc/systemd/system/spyhole.service").read_bytes() == unit.read_bytes()
    assert (pi.root / "usr/local/bin/spyhole").readlink() == Path("/opt/spyhole/bin/spyhole")
    assert (pi.root / "opt/spyhole/share/doc/spyhole/README.md").exists()


def test_once_more_changes_nothing_but_the_program(pi: Pi) -> None:
    assert pi.install("--defaults").returncode == 0
    config = pi.root / "etc/spyhole/spyhole.toml"
    config.write_text("# mine\n" + config.read_text(encoding="utf-8"), encoding="utf-8")
    (pi.root / "var/lib/spyhole/record.sqlite3").write_bytes(b"every firing")
    before = pi.files()
    pi.called()
    again = pi.install("--defaults")
    assert (again.returncode, again.stderr) == (0, "")
    assert pi.files() == before
    assert f"stays as it is: {config}" in again.stdout
    calls = pi.called()
    assert not [line for line in calls if "-m venv" in line or "useradd" in line]
    assert not [line for line in calls if "setup" in line]
    assert len([line for line in calls if "pip install" in line]) == 2


def test_a_dry_run_shows_the_same_steps_and_takes_none(pi: Pi) -> None:
    before = pi.files()
    dry = pi.install("--dry-run", "--defaults")
    assert (dry.returncode, dry.stderr) == (0, "")
    assert pi.files() == before
    assert not [line for line in pi.called() if "-c import" not in line]
    real = pi.install("--defaults")
    assert real.returncode == 0
    steps = [line for line in dry.stdout.splitlines() if line.startswith("+ ")]
    done = [line for line in real.stdout.splitlines() if line.startswith("+ ")]
    assert len(steps) == 16
    known = (("spyhole:spyhole", "990:990"), ("0:spyhole", "0:990"))
    for name, number in known:
        steps = [step.replace(name, number) for step in steps]
    assert steps == done


DROPIN = "etc/systemd/system/spyhole.service.d/plain-pins.conf"


def configure(pi: Pi, *selects: str) -> Path:
    """A configuration of somebody's with these chip selects."""
    config = pi.root / "etc/spyhole/spyhole.toml"
    config.parent.mkdir(parents=True, exist_ok=True)
    tables = [
        f"[[sensor]]\nchannel = 'c{place}'\nchip_select = '{select}' # \"D5\"\n"
        for place, select in enumerate(selects)
    ]
    config.write_text("".join(tables), encoding="utf-8")
    return config


@pytest.mark.parametrize("selects", [["CE0", "CE1"], ["ce0"], []])
def test_selects_of_the_kernels_need_no_leave_to_open_pins(pi: Pi, selects: list[str]) -> None:
    configure(pi, *selects)
    found = pi.install("--defaults")
    assert (found.returncode, found.stderr) == (0, "")
    assert not (pi.root / DROPIN).exists()
    assert "pin" not in found.stdout
    assert not [line for line in pi.called() if "gpio" in line]


def test_plain_pins_get_leave_to_open_them_and_it_is_said(pi: Pi) -> None:
    configure(pi, "CE1", "D5", "GPIO6")
    dry = pi.install("--dry-run")
    assert "plain pins: D5 GPIO6." in dry.stdout
    assert not (pi.root / DROPIN).exists()
    found = pi.install()
    assert (found.returncode, found.stderr) == (0, "")
    assert "plain pins: D5 GPIO6. So the service may open gpiochip0" in found.stdout
    shipped = CHECKOUT / "supervisor/service/unit/plain-pins.conf"
    assert (pi.root / DROPIN).read_bytes() == shipped.read_bytes()
    assert stat.S_IMODE((pi.root / DROPIN).stat().st_mode) == 0o644
    assert f"groupadd --prefix {pi.root} --system gpio" in pi.called()


def test_leave_that_is_no_longer_needed_is_taken_away_and_it_is_said(pi: Pi) -> None:
    configure(pi, "D5")
    assert pi.install().returncode == 0
    configure(pi, "CE0")
    found = pi.install()
    assert "the service may open none" in found.stdout
    assert not (pi.root / DROPIN).exists()


def test_leave_stays_as_it_is_where_the_configuration_can_not_be_read(pi: Pi) -> None:
    config = configure(pi, "D5")
    assert pi.install().returncode == 0
    config.write_text("sensor = [", encoding="utf-8")
    found = pi.install()
    assert found.returncode == 0
    assert "stays as it is" in found.stdout
    assert (pi.root / DROPIN).exists()


def tell(pi: Pi, table: str) -> None:
    config = configure(pi, "CE0")
    config.write_text(f"{config.read_text(encoding='utf-8')}{table}", encoding="utf-8")


def letters(pi: Pi, *words: str) -> bool:
    """Whether Apprise was installed, as its lock file says."""
    found = pi.install("--defaults", *words)
    assert (found.returncode, found.stderr) == (0, "")
    lock = f"--require-hashes -r {CHECKOUT}/requirements-notify.lock"
    return any(lock in line for line in pi.called())


@pytest.mark.parametrize("key", ["urls", "escalate_urls"])
def test_who_is_to_be_told_gets_what_it_takes(pi: Pi, key: str) -> None:
    tell(pi, f"[notify]\n{key} = ['mailtos://someone@example.org']\n")
    assert letters(pi)


@pytest.mark.parametrize("table", ["", "[notify]\nurls = []\n", "[notify]\nurls = [\n"])
def test_who_has_no_addresses_gets_no_apprise_unless_asked_for(pi: Pi, table: str) -> None:
    tell(pi, table)
    assert not letters(pi)
    assert letters(pi, "--notify")


def test_a_kiln_is_watched_though_apprise_can_not_be_had(pi: Pi) -> None:
    tell(pi, "[notify]\nurls = ['mailtos://someone@example.org']\n")
    python = pi.tools / "python3"
    text = python.read_text(encoding="utf-8")
    refused = '*requirements-notify.lock) exit 1 ;;\n"-m pip "*) ;;'
    python.write_text(text.replace('"-m pip "*) ;;', refused), encoding="utf-8")
    found = pi.install("--defaults")
    assert found.returncode == 0
    assert "Apprise could not be installed: no alert reaches" in found.stdout
    assert [line for line in pi.called() if line.startswith("systemctl")]


def test_the_lock_of_apprise_has_the_versions_of_the_program() -> None:
    def versions(name: str) -> set[str]:
        text = (CHECKOUT / name).read_text(encoding="utf-8")
        return {line.split()[0] for line in text.splitlines() if re.match(r"[\w.-]+==", line)}

    assert versions("requirements.lock") < versions("requirements-notify.lock")


def test_a_header_on_another_chip_gets_that_one_and_no_other(pi: Pi) -> None:
    """A Raspberry Pi 5 with an early kernel (names of the device tree from memory)."""
    chips = {"gpiochip0": b"brcm,brcmstb-gpio\0", "gpiochip4": b"raspberrypi,rp1-gpio\0"}
    for chip, name in chips.items():
        node = pi.root / f"sys/bus/gpio/devices/{chip}/of_node"
        node.mkdir(parents=True)
        (node / "compatible").write_bytes(name)
    configure(pi, "D5")
    assert pi.install().returncode == 0
    lines = (pi.root / DROPIN).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if line.startswith("DeviceAllow")] == [
        "DeviceAllow=/dev/gpiochip4 rw"
    ]


def test_a_usual_header_needs_no_more_than_what_is_shipped(pi: Pi) -> None:
    node = pi.root / "sys/bus/gpio/devices/gpiochip0/of_node"
    node.mkdir(parents=True)
    (node / "compatible").write_bytes(b"brcm,bcm2711-gpio\0")
    configure(pi, "D5")
    assert pi.install().returncode == 0
    shipped = CHECKOUT / "supervisor/service/unit/plain-pins.conf"
    assert (pi.root / DROPIN).read_bytes() == shipped.read_bytes()


def test_a_python_that_went_with_the_old_system_is_replaced(pi: Pi) -> None:
    assert pi.install("--defaults").returncode == 0
    python = pi.root / "opt/spyhole/bin/python"
    python.write_text("#!/nowhere/python3.9\n", encoding="utf-8")
    pi.called()
    assert pi.install("--defaults").returncode == 0
    assert f"python -m venv --clear {pi.root}/opt/spyhole" in pi.called()


def test_it_wants_root_and_says_so(pi: Pi) -> None:
    (pi.tools / "id").write_text("#!/bin/sh\necho 1000\n", encoding="utf-8")
    before = pi.files()
    found = pi.install("--defaults")
    assert found.returncode == 1
    assert found.stderr == "install-pi: this needs root: sudo ./task install-pi\n"
    assert pi.files() == before
    assert pi.install("--dry-run").returncode == 0


@pytest.mark.parametrize("words", [["--purge"], ["--root"], ["--root", "/no/such/folder"]])
def test_what_it_does_not_know_it_does_not_do(pi: Pi, words: list[str]) -> None:
    before = pi.files()
    found = pi.install(*words)
    assert found.returncode in (1, 2)
    assert found.stderr
    assert pi.files() == before


def test_a_pip_that_fails_ends_it_before_anything_is_started(pi: Pi) -> None:
    python = pi.tools / "python3"
    text = python.read_text(encoding="utf-8")
    python.write_text(text.replace('"-m pip "*) ;;', '"-m pip "*) exit 1 ;;'), encoding="utf-8")
    assert pi.install("--defaults").returncode != 0
    assert not [line for line in pi.called() if line.startswith("systemctl")]


@pytest.mark.skipif(shutil.which("shellcheck") is None, reason="shellcheck is not installed")
def test_the_scripts_have_no_known_mistake() -> None:
    scripts = [CHECKOUT / "supervisor/service/unit/install.sh", CHECKOUT / "task"]
    found = subprocess.run(["shellcheck", *scripts], capture_output=True, text=True, timeout=60.0)
    assert (found.returncode, found.stdout) == (0, "")
