"""Opening the rig of a real board, with a board that is a fake, and on a machine with none."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from types import MappingProxyType, ModuleType, SimpleNamespace
from typing import Any

import pytest

from hardware.board import open_rig
from hardware.channel import ThermocoupleChannel
from simulator.chip import SimulatedBench
from supervisor.core.errors import InputError, RigError

TOP = ThermocoupleChannel("top", "D5")
BOTTOM = ThermocoupleChannel("bottom", "GPIO6")


class FakeBoard(ModuleType):
    """A board whose every pin that is asked for is noted."""

    def __init__(self) -> None:
        super().__init__("board")
        self.asked: list[str] = []

    def __getattr__(self, name: str) -> str:
        if name.startswith("__"):
            raise AttributeError(name)
        self.asked.append(name)
        return name


def with_board(
    monkeypatch: pytest.MonkeyPatch,
    *,
    spi_error: Exception | None = None,
    on: Mapping[str, str] = MappingProxyType({"D5": "SPI0", "D6": "SPI0"}),
) -> tuple[FakeBoard, SimulatedBench]:
    bench = SimulatedBench(["D5", "D6"], record_last=None, on=on)
    board = FakeBoard()
    wired = {("SCLK", "MOSI", "MISO"): "SPI0", ("D15", "D14", "D13"): "SPI5"}

    def open_spi(clock: str, MOSI: str, MISO: str) -> Any:  # noqa: N803
        if spi_error is not None:
            raise spi_error
        return bench.buses[wired[clock, MOSI, MISO]]

    monkeypatch.setitem(sys.modules, "board", board)
    monkeypatch.setitem(sys.modules, "busio", SimpleNamespace(SPI=open_spi))
    monkeypatch.setitem(
        sys.modules,
        "digitalio",
        SimpleNamespace(DigitalInOut=lambda pin: bench.pins[pin]),
    )
    return board, bench


def test_a_rig_on_a_board_takes_the_bus_and_the_chip_selects_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    board, bench = with_board(monkeypatch)
    rig = open_rig([TOP, BOTTOM])
    bench.show({"D5": 1000.0, "D6": 990.0})
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 1000.0, "bottom": 990.0}
    assert board.asked == ["SCLK", "MOSI", "MISO", "D5", "D6"]
    rig.close()
    rig.close()
    assert [call.device for call in bench.calls if call.action == "deinit"] == ["D6", "D5", "SPI0"]


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (NotImplementedError("Board not supported"), "no SPI bus"),
        (AttributeError("module 'board' has no attribute 'SCLK'"), "no SPI bus"),
        (ModuleNotFoundError("lgpio"), "no SPI bus"),
        (PermissionError(13, "Permission denied"), "groups spi and gpio"),
        (ValueError("No Hardware SPI on these pins"), "raspi-config"),
        (RuntimeError("GPIO busy"), "other programs"),
    ],
)
def test_a_board_that_will_not_open_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, error: Exception, words: str
) -> None:
    with_board(monkeypatch, spi_error=error)
    with pytest.raises(RigError, match=words) as caught:
        open_rig([TOP])
    assert "\n" not in str(caught.value)


def test_a_rig_of_two_buses_takes_their_own_pins_and_its_chip_selects_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    board, bench = with_board(monkeypatch, on={"D5": "SPI0", "D6": "SPI5"})
    rig = open_rig([TOP, ThermocoupleChannel("bottom", "GPIO6", bus="SPI5")])
    bench.show({"D5": 1000.0, "D6": 990.0})
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"top": 1000.0, "bottom": 990.0}
    assert board.asked == ["SCLK", "MOSI", "MISO", "D15", "D14", "D13", "D5", "D6"]
    rig.close()
    assert {call.device for call in bench.calls} == {"SPI0", "SPI5", "D5", "D6"}
    assert [call.device for call in bench.calls if call.action == "deinit"] == [
        "D6",
        "D5",
        "SPI5",
        "SPI0",
    ]


def test_a_bus_that_this_pi_does_not_have_is_named_with_the_way_to_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with_board(monkeypatch, spi_error=OSError("/dev/spidev5.0 does not exist"))
    with pytest.raises(RigError) as caught:
        open_rig([ThermocoupleChannel("top", "D5", bus="SPI5")])
    said = str(caught.value)
    assert "The SPI bus SPI5 can't be opened" in said
    assert "dtoverlay=spi5-1cs in config.txt" in said
    assert "the Raspberry Pi 4 and 5" in said


def test_a_chip_select_that_another_program_holds_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _, bench = with_board(monkeypatch)
    monkeypatch.setitem(
        sys.modules, "digitalio", SimpleNamespace(DigitalInOut=_all_but(bench, "D6"))
    )
    with pytest.raises(RigError, match="The chip select GPIO6 can't be opened"):
        open_rig([TOP, BOTTOM])


def test_a_pin_that_can_not_be_driven_is_one_sentence_and_lets_everything_go(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _, bench = with_board(monkeypatch)

    def refuse(value: bool = False) -> None:
        raise OSError(16, "Device or resource busy")

    monkeypatch.setattr(bench.pins["D6"], "switch_to_output", refuse)
    with pytest.raises(RigError, match="chip select D5, GPIO6 can't be opened"):
        open_rig([TOP, BOTTOM])
    assert [call.device for call in bench.calls if call.action == "deinit"] == ["D6", "D5", "SPI0"]


def test_pins_are_let_go_of_when_a_later_one_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    _, bench = with_board(monkeypatch)
    digitalio = SimpleNamespace(DigitalInOut=_all_but(bench, "D6"))
    monkeypatch.setitem(sys.modules, "digitalio", digitalio)
    with pytest.raises(RigError, match="other programs"):
        open_rig([TOP, BOTTOM])
    assert [call.device for call in bench.calls if call.action == "deinit"] == ["D5", "SPI0"]


def _all_but(bench: SimulatedBench, busy: str) -> Any:
    def open_pin(pin: str) -> Any:
        if pin == busy:
            raise OSError(16, "Device or resource busy")
        return bench.pins[pin]

    return open_pin


def test_this_machine_without_pins_says_so_and_prints_nothing(
    capfd: pytest.CaptureFixture[str],
) -> None:
    blinka = pytest.importorskip("adafruit_blinka.agnostic")
    if blinka.detector.board.any_raspberry_pi:
        pytest.skip("this is a Raspberry Pi: it has the pins")
    with pytest.raises(RigError) as caught:
        open_rig([TOP])
    assert "\n" not in str(caught.value)
    assert capfd.readouterr().out == ""


@pytest.mark.parametrize(
    ("pin", "words"),
    [
        ("CE2", "no CE2"),
        ("D8", "CE0"),
        ("GPIO7", "CE1"),
        ("D10", "MOSI"),
        ("D28", "no such pin"),
        ("D1", "no such pin"),
        ("relay", "no such pin"),
    ],
)
def test_a_pin_that_can_not_select_a_chip_is_refused(pin: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        open_rig([ThermocoupleChannel("top", pin)])


def test_one_pin_under_two_names_is_refused() -> None:
    with pytest.raises(InputError, match="same pin"):
        open_rig([TOP, ThermocoupleChannel("bottom", "GPIO5")])
