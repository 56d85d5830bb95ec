"""``spyhole rig``: what a potter sees on the day of wiring, on boards that are not there.

The boards are register-level chips under the real driver; the clock jumps to what is waited for.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from hardware.channel import ThermocoupleChannel
from simulator.chip.practice import ROOM_C, PracticeFault
from supervisor.commands import rig_look
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.units import Unit
from supervisor.service.practice_rig import PracticeRig
from tests.commands.conftest import Spyhole
from tests.service.clocks import TestClock

CONFIG = """\
units = "F"
[[sensor]]
channel = "top"
chip_select = "D5"
type = "N"
offset = -1.8
[[sensor]]
channel = "low"
chip_select = "D6"
type = "K"
bus = "spi5"
averaging = 16
"""


@pytest.fixture(autouse=True)
def nothing_sleeps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rig_look, "clock", TestClock)


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "spyhole.toml"
    path.write_text(CONFIG, encoding="utf-8")
    return path


def test_a_good_rig_is_explained_and_fine(spyhole: Spyhole) -> None:
    found = spyhole("rig", "--simulated", "--once")
    assert (found.code, found.err) == (0, "")
    assert "top (type S, SPI0, CE0): ok" in found.out
    assert found.out.count("The probe reads well.") == 2
    assert found.out.endswith("All channels are fine.\n")


def test_the_configuration_is_what_is_shown_and_in_its_own_scale(
    spyhole: Spyhole, config: Path
) -> None:
    found = spyhole("rig", "--simulated", "--once", "--config", config)
    assert found.code == 0
    assert "top (type N, SPI0, D5): ok" in found.out
    assert "low (type K, SPI5, D6): ok" in found.out
    assert "°C" not in found.out
    shown_f = float(re.findall(r"low .*\n +reads ([\d.]+) °F", found.out)[0])
    assert shown_f == pytest.approx((ROOM_C + 1.3) * 1.8 + 32.0, abs=1.0)


EXPECTED = {
    PracticeFault.OPEN: (FaultCause.OPEN, "broken probe"),
    PracticeFault.VOLTAGE: (FaultCause.VOLTAGE, "licensed electrician"),
    PracticeFault.HOT_TERMINALS: (FaultCause.COLD_JUNCTION, "move the box"),
    PracticeFault.UNPLUGGED: (FaultCause.BUS, "Only zeros come back"),
    PracticeFault.STUCK_LOW: (FaultCause.BUS, "SDO touches ground"),
    PracticeFault.STUCK_HIGH: (FaultCause.BUS, "touches 3.3 V"),
}


@pytest.mark.parametrize("fault", EXPECTED)
def test_each_fault_is_named_with_what_to_check_and_spares_the_other_channel(
    spyhole: Spyhole, fault: PracticeFault
) -> None:
    cause, words = EXPECTED[fault]
    found = spyhole("rig", "--simulated", "--once", "--fault", f"top={fault}")
    assert found.code == 3
    flat = " ".join(found.out.split())
    assert f"top (type S, SPI0, CE0): {SENSOR_CHECKS[cause].short}" in flat
    assert SENSOR_CHECKS[cause].check in flat
    assert words in flat
    assert (BEFORE_TOUCHING in flat) is SENSOR_CHECKS[cause].is_hands_on
    assert "bottom (type K, SPI0, CE1): ok" in flat
    assert flat.endswith("1 channel of 2 to mend: top.")


def test_a_noisy_channel_is_pointed_out_and_a_restarting_one_too(spyhole: Spyhole) -> None:
    found = spyhole(
        "rig", "--simulated", "--once", "--fault", "top=noisy", "--fault", "bottom=restarts"
    )
    assert found.code == 3
    flat = " ".join(found.out.split())
    assert "reads well" not in flat
    assert "top (type S, SPI0, CE0): noisy" in flat
    assert "bottom (type K, SPI0, CE1): losing power" in flat
    assert "It is noisy: look for a loose or wet terminal" in flat
    assert "The board has lost its power once" in flat


@pytest.mark.parametrize("fault", PracticeFault)
def test_a_state_is_a_word_for_programs_in_small_letters(
    spyhole: Spyhole, fault: PracticeFault
) -> None:
    found = spyhole("rig", "--simulated", "--json", "--fault", f"top={fault}")
    states = [channel["state"] for channel in found.document["channels"]]
    assert states == [state.lower() for state in states]
    if fault is PracticeFault.VOLTAGE:
        assert states[0] == "foreign voltage"


def test_the_json_is_one_document_in_celsius(spyhole: Spyhole, config: Path) -> None:
    found = spyhole("rig", "--simulated", "--json", "--config", config, "--fault", "low=open")
    assert (found.code, found.err) == (3, "")
    top, low = found.document["channels"]
    assert found.document["ok"] is False
    assert top["ok"] is True
    assert top["temp_c"] == pytest.approx(ROOM_C + 1.3 - 1.0, abs=0.5)
    assert top["offset_c"] == -1.0
    assert 0.0 < top["noise_c"] < 0.3
    assert top["cold_junction_c"] == 24.5
    assert (low["bus"], low["chip_select"], low["type"]) == ("SPI5", "D6", "K")
    assert (low["fault"], low["temp_c"], low["ok"]) == ("open", None, False)
    assert any("broken probe" in sentence for sentence in low["says"])


def test_without_a_terminal_it_prints_lines(
    spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rig_look, "clock", lambda: Stopping(6.0))
    found = spyhole("rig", "--simulated", "--fault", "bottom=open")
    assert found.code == 0
    lines = found.out.splitlines()
    assert lines[0].endswith("Ctrl-C ends it.")
    looks = [
        line for line in lines if re.match(r"top [\d.]+ °C, bottom – \(broken circuit\)$", line)
    ]
    assert len(looks) == 5
    assert sum("broken probe" in line for line in lines) == 1, "said once, not at every look"
    assert "\x1b" not in found.out


def test_on_a_terminal_a_table_is_drawn_anew(
    spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rig_look, "clock", lambda: Stopping(40.0))
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("LINES", "40")
    found = spyhole("rig", "--simulated", "--fault", "bottom=open")
    assert found.code == 0
    frames = found.out.split("\x1b[H")[1:]
    assert len(frames) == 39
    shown = [re.sub(r"\x1b\[\w", "", line) for line in frames[-1].splitlines()]
    assert max(map(len, shown)) <= 60
    assert shown[2].split() == ["channel", "type", "reading", "noise", "terminals", "state"]
    assert re.match(r"top +S +22\.\d °C +±0\.1 +24\.5 °C +ok$", shown[3])
    assert re.match(r"bottom +K +– +– +24\.5 °C +broken circuit$", shown[4])
    assert "bottom: It gives no usable value" in frames[-1]


class Stopping(TestClock):
    """A clock at which somebody presses Ctrl-C."""

    def __init__(self, at_s: float) -> None:
        super().__init__()
        self._at_s = at_s

    async def sleep_until(self, elapsed_s: float) -> None:
        if elapsed_s >= self._at_s:
            raise KeyboardInterrupt
        await super().sleep_until(elapsed_s)


def test_the_ice_point_proposes_the_offset_and_writes_nothing(
    spyhole: Spyhole, config: Path
) -> None:
    found = spyhole("rig", "--simulated", "--ice-point", "low", "--config", config)
    assert (found.code, found.err) == (0, "")
    flat = " ".join(found.out.split())
    assert "crushed ice" in flat
    assert "Switch the kiln off at its isolator" in flat
    assert 'into the [[sensor]] with channel = "low"' in flat
    offset_f = float(re.findall(r"\n    offset = (-[\d.]+)\n", found.out)[0])
    assert offset_f == pytest.approx(-1.3 * 1.8, abs=0.2), "a difference, in the file's scale"
    assert "tells nothing sure about 2,192 °F: there the witness cones decide" in flat
    assert config.read_text(encoding="utf-8") == CONFIG


def test_the_boiling_point_goes_by_the_height(spyhole: Spyhole) -> None:
    found = spyhole("rig", "--simulated", "--boiling-point", "bottom", "--altitude-m", "1500")
    assert found.code == 0
    flat = " ".join(found.out.split())
    # Standard atmosphere at 1,500 m: 845.6 hPa (ISO 2533); water boils there at 94.98 °C (IAPWS).
    assert "the water is at 95.0 °C" in flat
    assert "a standard day's 846 hPa at 1,500 m" in flat
    assert "Boiling water and steam scald" in flat
    assert "offset = -1.3" in flat or "offset = -1.4" in flat or "offset = -1.2" in flat


def test_the_height_may_be_given_in_feet(spyhole: Spyhole) -> None:
    """5,280 ft are a mile, 1,609.344 m (NIST SP 811): 834.4 hPa by ISO 2533."""
    found = spyhole("rig", "--simulated", "--boiling-point", "bottom", "--altitude-ft", "5280")
    flat = " ".join(found.out.split())
    assert "a standard day's 834 hPa at 5,280 ft" in flat
    assert spyhole("rig", "--boiling-point", "top", "--altitude-ft", "18100").code == 2
    found = spyhole("rig", "--simulated", "--boiling-point", "bottom", "--altitude-ft", "0")
    assert "a standard day's 1013 hPa at 0 ft" in " ".join(found.out.split())


FULL = """\
import errno, os, sys
from supervisor.commands.main import main

def refuse(event, words):
    made = event in ("os.mkdir", "os.rename", "os.truncate", "sqlite3.connect")
    writes = event == "open" and words[2] and words[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
    if made or (writes and str(words[0]) != os.devnull):
        raise OSError(errno.ENOSPC, "No space left on device", str(words[0]))

sys.addaudithook(refuse)
sys.exit(main(sys.argv[1:]))
"""


def test_the_rig_is_shown_where_nothing_can_be_written(config: Path, tmp_path: Path) -> None:
    """A full or read-only disk: Python itself asks its audit hooks before it writes anything."""
    with config.open("a", encoding="utf-8") as file:
        file.write(f'[record]\ndata = "{tmp_path / "spyhole.toml" / "no-folder"}"\n')
    words = ("rig", "--simulated", "--once", "--config", str(config))
    done = subprocess.run(
        [sys.executable, "-B", "-c", FULL, *words], capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "All channels are fine." in done.stdout
    asks = ("setup", "--defaults", "--out", str(tmp_path / "new.toml"))
    refused = subprocess.run(
        [sys.executable, "-B", "-c", FULL, *asks], capture_output=True, text=True, timeout=60
    )
    assert refused.returncode == 3
    assert "No space left on device" in refused.stderr, "what is shown to be refused is"


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("swapped", "its leads are swapped"),
        ("wrong-type", "it reads as a type R or S would on an input that is set to N"),
        ("open", "look for a broken probe"),
        ("noisy", "has not read steadily within 15 minutes"),
    ],
)
def test_no_offset_is_proposed_for_what_is_no_matter_of_an_offset(
    spyhole: Spyhole, tmp_path: Path, fault: str, words: str
) -> None:
    path = tmp_path / "one.toml"
    letter = "N" if fault == "wrong-type" else "K"
    path.write_text(
        f'[[sensor]]\nchannel = "top"\nchip_select = "D5"\ntype = "{letter}"\n', encoding="utf-8"
    )
    found = spyhole(
        "rig", "--simulated", "--boiling-point", "--pressure-hpa", "1000", "--config", path,
        "--fault", f"top={fault}",
    )  # fmt: skip
    assert found.code == 3
    assert words in found.err
    assert "offset =" not in found.out
    assert len(found.err.strip().splitlines()) == 1


def test_swapped_leads_in_ice_water_are_named(spyhole: Spyhole) -> None:
    found = spyhole("rig", "--simulated", "--ice-point", "bottom", "--fault", "bottom=swapped")
    assert found.code == 3
    assert "it reads as swapped leads would: exchange plus and minus" in found.err
    assert "offset =" not in found.out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "there is no spyhole.toml in this folder"),
        (["--fault", "top=open"], "--fault goes with --simulated"),
        (["--simulated", "--fault", "top=fire"], "a fault of open, voltage"),
        (["--simulated", "--fault", "middle=open"], "a channel of top, bottom"),
        (["--simulated", "--boiling-point", "top"], "give one of --altitude-m and --altitude-ft"),
        (
            ["--simulated", "--boiling-point", "top", "--altitude-m", "3", "--altitude-ft", "10"],
            "give one of --altitude-m and --altitude-ft",
        ),
        (["--simulated", "--altitude-m", "3"], "go with --boiling-point"),
        (["--simulated", "--altitude-ft", "3"], "go with --boiling-point"),
        (["--simulated", "--ice-point"], "the channels are top, bottom"),
        (["--simulated", "--ice-point", "x"], "there is no channel 'x'"),
        (["--simulated", "--ice-point", "top", "--json"], "go on by themselves"),
        (["--config", "nowhere.toml"], "there is no such file"),
        (["--config", ""], "--config names no file"),
    ],
)
def test_a_wrong_command_line_is_one_sentence(
    spyhole: Spyhole,
    words: list[str],
    sentence: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    found = spyhole("rig", *words)
    assert (found.code, found.out) == (1, "")
    assert sentence in found.err
    assert len(found.err.strip().splitlines()) == 1


def test_type_b_can_not_be_checked_in_water(spyhole: Spyhole, tmp_path: Path) -> None:
    path = tmp_path / "b.toml"
    path.write_text('[[sensor]]\nchannel = "top"\nchip_select = "D5"\ntype = "B"\n')
    found = spyhole("rig", "--simulated", "--ice-point", "--config", path)
    assert found.code == 1
    assert "only witness cones can check it" in found.err


def test_a_machine_that_is_no_pi_says_so_in_one_sentence(spyhole: Spyhole, config: Path) -> None:
    blinka = pytest.importorskip("adafruit_blinka.agnostic")
    if blinka.detector.board.any_raspberry_pi:
        pytest.skip("this is a Raspberry Pi: it has the pins")
    found = spyhole("rig", "--config", config, "--once")
    assert (found.code, found.out) == (3, "")
    assert found.err == (
        "spyhole rig: This machine has no SPI bus with pins that spyhole knows: run the rig on a "
        "Raspberry Pi, or try it here without one (spyhole demo, spyhole rig --simulated).\n"
    )


def test_a_look_that_does_not_come_back_is_told_and_not_the_last_good_one() -> None:
    channel = ThermocoupleChannel("top", "D5")
    practice = PracticeRig([channel], {})
    practice.read(0.0)
    good = practice.read(2.0)
    look = rig_look.Look(practice, [channel], Unit.C)
    assert look._rows(good)[0].report.short == "ok"
    for faults in ({"top": FaultCause.BUS}, {}):
        (row,) = look._rows(Reading(7.0, {"top": None}, faults))
        assert not row.report.is_fine
        assert "The transfer does not end" in " ".join(row.sentences)
    practice.close()


def test_ctrl_c_ends_the_live_view_without_a_word_of_python() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "supervisor", "rig", "--simulated"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    process.stdout.readline()
    assert process.stdout.readline().startswith("top ")
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=20)
    assert (process.returncode, err) == (0, "")
