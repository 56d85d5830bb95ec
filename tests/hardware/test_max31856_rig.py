"""The rig through Adafruit's real driver, on register-level chips on a strict fake bus."""

from __future__ import annotations

import pytest

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from simulator.chip import registers as reg
from supervisor.core.errors import InputError, RigError
from supervisor.core.readings import FaultCause
from tests.hardware.rigs import bench_and_rig

# A bus left locked is waited for without end: fail soon.
pytestmark = pytest.mark.timeout(20)


def test_every_channel_reads_its_own_probe() -> None:
    bench, rig = bench_and_rig("top", "middle", "bottom")
    bench.show({"top": 1222.5078125, "middle": 1210.0, "bottom": -0.0625})
    bench.advance(1.0)
    reading = rig.read(7.5)
    assert reading.elapsed_s == 7.5
    assert list(reading.temps_c.items()) == [
        ("top", 1222.5078125),
        ("middle", 1210.0),
        ("bottom", -0.0625),
    ]
    assert reading.faults == {}
    assert reading.time is None
    assert rig.cold_junctions_c() == {"top": 25.0, "middle": 25.0, "bottom": 25.0}


def test_the_offset_is_added() -> None:
    _, rig = bench_and_rig("kiln", offset_c=-2.5)
    assert rig.read(1.0).temps_c == {"kiln": 497.5}


def test_a_quiet_reading_takes_one_transaction_a_chip() -> None:
    bench, rig = bench_and_rig("top", "middle", "bottom", record_last=None)
    rig.read(1.0)
    before = len(bench.calls)
    rig.read(2.0)
    transfers = [call for call in bench.calls[before:] if call.action == "write"]
    assert [call.detail for call in transfers] == [b"\x00"] * 3


def test_a_reading_before_the_first_conversion_is_no_zero() -> None:
    bench = SimulatedBench(["kiln"])
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    early = rig.read(0.0)
    assert early.temps_c == {"kiln": None}
    assert early.faults == {}
    bench.show({"kiln": 20.0})
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == {"kiln": 20.0}


def test_a_chip_that_never_converts_is_not_believed() -> None:
    bench = SimulatedBench(["kiln"])
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    assert rig.read(0.0).faults == {}
    assert rig.read(1.0).faults == {"kiln": FaultCause.BUS}


def test_a_value_from_before_a_restart_is_waited_out() -> None:
    bench, _ = bench_and_rig("kiln")
    again = Max31856Rig(
        bench.spi, [ThermocoupleChannel("kiln", "kiln", thermocouple_type="N")], bench.pins
    )
    assert again.read(0.0).temps_c == {"kiln": None}, "converted as type K"
    bench.advance(1.0)
    assert again.read(1.0).temps_c == {"kiln": 500.0}


def test_what_another_program_left_in_the_chip_is_undone() -> None:
    bench = SimulatedBench(["kiln"])
    chip = bench.chips["kiln"]
    chip.select()
    for byte in (0x80 | reg.CR0, 0x94, 0xF2, 0xFF, 30, 20, 0x01, 0x00, 0x00, 0x10, 0x7F):
        chip.exchange(byte, 0)
    chip.deselect()
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    bench.show({"kiln": 900.0}, cold_junction_c=25.0)
    bench.advance(1.0)
    reading = rig.read(1.0)
    assert reading.temps_c == {"kiln": 900.0}
    assert reading.faults == {}


FAULTS = [
    (reg.SR_OPEN, FaultCause.OPEN),
    (reg.SR_VOLTAGE, FaultCause.VOLTAGE),
    (reg.SR_TC_RANGE, FaultCause.RANGE),
    (reg.SR_TC_HIGH, FaultCause.RANGE),
    (reg.SR_TC_LOW, FaultCause.RANGE),
    (reg.SR_CJ_RANGE, FaultCause.COLD_JUNCTION),
    (reg.SR_CJ_HIGH, FaultCause.COLD_JUNCTION),
    (reg.SR_CJ_LOW, FaultCause.COLD_JUNCTION),
    (reg.SR_OPEN | reg.SR_VOLTAGE, FaultCause.VOLTAGE),
    (reg.SR_OPEN | reg.SR_TC_RANGE, FaultCause.OPEN),
    (reg.SR_CJ_RANGE | reg.SR_TC_RANGE, FaultCause.COLD_JUNCTION),
]


@pytest.mark.parametrize(("bits", "cause"), FAULTS)
def test_every_fault_bit_has_its_cause(bits: int, cause: FaultCause) -> None:
    bench, rig = bench_and_rig("kiln")

    def with_bits(received: bytes) -> bytes:
        return received[:-1] + bytes([bits]) if len(received) == 16 else received

    bench.spi.corrupt = with_bits
    reading = rig.read(1.0)
    assert reading.faults == {"kiln": cause}
    assert reading.temps_c == {"kiln": None}


def test_an_open_probe_is_told_and_the_others_go_on() -> None:
    bench, rig = bench_and_rig("top", "bottom")
    rig.read(1.0)
    bench.show({"top": None, "bottom": 501.0})
    bench.advance(3.0)
    reading = rig.read(2.0)
    assert reading.faults == {"top": FaultCause.OPEN}
    assert reading.temps_c == {"top": None, "bottom": 501.0}
    bench.show({"top": 502.0})
    bench.advance(3.0)
    assert rig.read(3.0).temps_c == {"top": 502.0, "bottom": 501.0}


def test_a_foreign_voltage_is_told_even_from_the_start() -> None:
    bench = SimulatedBench(["kiln"])
    bench.chips["kiln"].set_over_voltage(True)
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    bench.advance(1.0)
    assert rig.read(1.0).faults == {"kiln": FaultCause.VOLTAGE}
    assert "licensed electrician" in " ".join(rig.explain()[0].sentences)
    bench.chips["kiln"].set_over_voltage(False)
    bench.advance(1.0)
    assert rig.read(2.0).temps_c == {"kiln": 20.0}


def test_what_was_read_before_a_foreign_voltage_is_not_given_when_it_has_gone() -> None:
    """The chip converts nothing while it lasts (data sheet), and holds what it had."""
    bench, rig = bench_and_rig("kiln")
    assert rig.read(1.0).temps_c == {"kiln": 500.0}
    bench.chips["kiln"].set_over_voltage(True)
    bench.show({"kiln": 900.0})
    bench.advance(3600.0)
    assert rig.read(3601.0).faults == {"kiln": FaultCause.VOLTAGE}
    bench.chips["kiln"].set_over_voltage(False)
    gone = rig.read(3602.0)
    assert gone.temps_c == {"kiln": None}, "500 °C is an hour old"
    assert gone.faults == {}
    bench.advance(1.0)
    rig.read(3603.0)
    assert rig.read(3604.0).temps_c == {"kiln": 900.0}


def test_terminals_too_hot_are_told() -> None:
    bench, rig = bench_and_rig("kiln")
    bench.show({}, cold_junction_c=126.0)
    bench.advance(1.0)
    assert rig.read(1.0).faults == {"kiln": FaultCause.COLD_JUNCTION}
    assert rig.cold_junctions_c() == {"kiln": 126.0}


def test_a_cold_type_b_is_no_fault() -> None:
    """Data sheet, table 1: type B from 250 °C."""
    bench, rig = bench_and_rig("kiln", letter="B")
    bench.show({"kiln": 60.0})
    bench.advance(1.0)
    reading = rig.read(1.0)
    assert reading.temps_c == {"kiln": None}
    assert reading.faults == {}
    assert "250 °C" in " ".join(rig.explain()[0].sentences)
    bench.show({"kiln": 1300.0})
    bench.advance(1.0)
    assert rig.read(2.0).temps_c == {"kiln": 1300.0}
    bench.show({"kiln": 1830.0})
    bench.advance(1.0)
    assert rig.read(3.0).faults == {"kiln": FaultCause.RANGE}


@pytest.mark.parametrize("level", [0, 1])
def test_a_stuck_data_line_is_a_dead_bus_and_not_a_cold_kiln(level: int) -> None:
    bench, rig = bench_and_rig("top", "bottom")
    assert rig.read(1.0).faults == {}
    bench.spi.stick_miso(level)
    dead = rig.read(2.0)
    assert dead.temps_c == {"top": None, "bottom": None}
    assert dead.faults == {"top": FaultCause.BUS, "bottom": FaultCause.BUS}
    assert rig.cold_junctions_c() == {"top": None, "bottom": None}
    bench.spi.stick_miso(None)
    bench.advance(1.0)
    rig.read(3.0)
    bench.advance(1.0)
    assert rig.read(4.0).temps_c == {"top": 500.0, "bottom": 500.0}


def test_a_kiln_at_exactly_zero_is_a_kiln_at_zero() -> None:
    bench, rig = bench_and_rig("kiln")
    rig.read(1.0)
    bench.show({"kiln": 0.0}, cold_junction_c=0.0)
    bench.advance(1.0)
    reading = rig.read(2.0)
    assert reading.temps_c == {"kiln": 0.0}
    assert reading.faults == {}


@pytest.mark.parametrize("floating", [0x00, 0xFF, 0x5A])
def test_an_unplugged_chip_comes_back_by_itself(floating: int) -> None:
    bench, rig = bench_and_rig("top", "bottom")
    bench.spi.floating = floating
    rig.read(1.0)
    bench.chips["top"].unplug()
    for elapsed_s in (2.0, 3.0, 4.0):
        reading = rig.read(elapsed_s)
        assert reading.faults == {"top": FaultCause.BUS}
        assert reading.temps_c == {"top": None, "bottom": 500.0}
    bench.chips["top"].plug_in()
    back = rig.read(5.0)
    assert back.temps_c["top"] is None, "nothing has been converted yet"
    bench.advance(1.0)
    assert rig.read(6.0).temps_c == {"top": 500.0, "bottom": 500.0}


def test_a_chip_that_was_away_at_the_start_comes_in_later() -> None:
    bench = SimulatedBench(["kiln"])
    bench.chips["kiln"].unplug()
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    assert rig.read(0.0).faults == {"kiln": FaultCause.BUS}
    bench.chips["kiln"].plug_in()
    rig.read(1.0)
    bench.advance(1.0)
    assert rig.read(2.0).temps_c == {"kiln": 20.0}


def test_a_brown_out_costs_one_reading_and_gives_no_zero() -> None:
    bench, rig = bench_and_rig("kiln", letter="S")
    rig.read(1.0)
    bench.chips["kiln"].brown_out()
    during = rig.read(2.0)
    assert during.temps_c == {"kiln": None}
    assert during.faults == {}
    bench.advance(1.0)
    assert rig.read(3.0).temps_c == {"kiln": 500.0}


def test_a_chip_that_was_silent_is_looked_at_after_the_others() -> None:
    """To set it up anew takes longest, and it may be away for good."""
    bench, rig = bench_and_rig("top", "bottom", record_last=None)
    bench.chips["top"].unplug()
    rig.read(1.0)
    before = len(bench.calls)
    rig.read(2.0)
    lows = [call.device for call in bench.calls[before:] if call.detail is False]
    assert lows[0] == "bottom"
    assert set(lows[1:]) == {"top"}


def test_lost_power_is_counted_and_a_loose_data_line_is_not() -> None:
    bench, rig = bench_and_rig("top", "bottom")
    rig.read(1.0)
    for elapsed_s in (2.0, 3.0):
        bench.chips["top"].brown_out()
        bench.spi.stick_miso(0)
        rig.read(elapsed_s - 0.5)
        bench.spi.stick_miso(None)
        bench.chips["top"].brown_out()
        rig.read(elapsed_s)
        bench.advance(1.0)
    rig.read(4.0)
    top, bottom = rig.explain()
    assert "has lost its power 2 times" in " ".join(top.sentences)
    assert bottom.sentences == ("The probe reads well.",)


def test_a_chip_with_its_output_stuck_spares_the_others() -> None:
    bench, rig = bench_and_rig("top", "bottom")
    bench.chips["bottom"].stick_output(0)
    reading = rig.read(1.0)
    assert reading.temps_c == {"top": 500.0, "bottom": None}
    assert reading.faults == {"bottom": FaultCause.BUS}


def test_an_error_of_the_bus_is_a_fault_and_leaves_the_bus_free() -> None:
    bench, rig = bench_and_rig("top", "bottom")
    rig.read(1.0)
    bench.spi.failure = OSError(5, "Input/output error")
    assert rig.read(2.0).faults == {"top": FaultCause.BUS, "bottom": FaultCause.BUS}
    assert not bench.spi.locked
    bench.spi.failure = None
    assert rig.read(3.0).temps_c == {"top": 500.0, "bottom": 500.0}


def test_a_bus_that_fails_at_the_start_is_a_fault_too() -> None:
    bench = SimulatedBench(["kiln"])
    bench.spi.failure = OSError(5, "Input/output error")
    rig = Max31856Rig(bench.spi, [ThermocoupleChannel("kiln", "kiln")], bench.pins)
    assert rig.read(0.0).faults == {"kiln": FaultCause.BUS}


def test_a_bus_that_somebody_else_holds_is_not_waited_for() -> None:
    bench, rig = bench_and_rig("kiln")
    assert bench.spi.try_lock()
    assert rig.read(1.0).faults == {"kiln": FaultCause.BUS}
    bench.spi.unlock()
    assert rig.read(2.0).temps_c == {"kiln": 500.0}


def test_one_flipped_bit_in_a_value_is_looked_at_again() -> None:
    bench, rig = bench_and_rig("kiln")
    rig.read(1.0)
    looks = 0

    def flip_once(received: bytes) -> bytes:
        nonlocal looks
        looks += len(received) == 16
        if len(received) == 16 and looks == 1:
            return received[:0x0C] + bytes([received[0x0C] ^ 0x20]) + received[0x0D:]
        return received

    bench.spi.corrupt = flip_once
    reading = rig.read(2.0)
    assert reading.temps_c == {"kiln": 500.0}
    assert reading.faults == {}
    assert looks == 3


def test_a_kiln_that_really_jumps_is_believed_at_the_second_look() -> None:
    bench, rig = bench_and_rig("kiln")
    rig.read(1.0)
    bench.show({"kiln": 800.0})
    bench.advance(1.0)
    assert rig.read(2.0).temps_c == {"kiln": 800.0}


def test_the_next_reading_is_due_one_interval_on() -> None:
    bench = SimulatedBench(["kiln"])
    channel = ThermocoupleChannel("kiln", "kiln", averaging=16)
    rig = Max31856Rig(bench.spi, [channel], bench.pins, interval_s=2.0)
    assert rig.due_s(None) == 2.0
    assert rig.due_s(100.0) == 102.0


def test_a_closed_rig_says_so() -> None:
    released: list[str] = []
    bench = SimulatedBench(["kiln"])
    rig = Max31856Rig(
        bench.spi,
        [ThermocoupleChannel("kiln", "kiln")],
        bench.pins,
        release=lambda: released.append("now"),
    )
    rig.close()
    rig.close()
    assert released == ["now"]
    with pytest.raises(RigError, match="closed"):
        rig.read(1.0)


CHANNEL = ThermocoupleChannel("kiln", "D5")


@pytest.mark.parametrize(
    ("channels", "interval_s", "mains_hz", "sentence"),
    [
        ([], 1.0, 50, "at least one channel"),
        ([CHANNEL, ThermocoupleChannel("kiln", "D6")], 1.0, 50, "both named kiln"),
        ([CHANNEL, ThermocoupleChannel("top", "D5")], 1.0, 50, "chip select D5"),
        ([ThermocoupleChannel("top", "D9")], 1.0, 50, "no pin D9"),
        ([CHANNEL], 0.1, 50, "0.2 to 60 s"),
        ([CHANNEL], float("nan"), 50, "0.2 to 60 s"),
        ([CHANNEL], 1.0, 55, "50 or 60"),
    ],
)
def test_a_rig_that_can_not_be_is_refused(
    channels: list[ThermocoupleChannel], interval_s: float, mains_hz: int, sentence: str
) -> None:
    bench = SimulatedBench(["D5", "D6"])
    with pytest.raises(InputError, match=sentence):
        Max31856Rig(bench.spi, channels, bench.pins, interval_s=interval_s, mains_hz=mains_hz)


@pytest.mark.parametrize(
    ("description", "sentence"),
    [
        ({"name": ""}, "not a name"),
        ({"name": "top,c"}, "not a name"),
        ({"name": "x" * 41}, "not a name"),
        ({"chip_select": ""}, "chip select is missing"),
        ({"thermocouple_type": "k"}, "B, E, J, K, N, R, S, T"),
        ({"offset_c": float("nan")}, "-50 to 50"),
        ({"offset_c": 51.0}, "-50 to 50"),
        ({"averaging": 3}, "1, 2, 4, 8 or 16"),
        ({"bus": "I2C"}, 'no bus "I2C": the names are SPI0'),
        ({"mains_hz": 55}, "50 or 60"),
        ({"lead_resistance": "none"}, "low, high or slow"),
        ({"cold_junction_offset_c": 8.0}, "-8 to 7.9375"),
        ({"cold_junction_offset_c": float("nan")}, "-8 to 7.9375"),
    ],
)
def test_a_channel_that_can_not_be_is_refused(
    description: dict[str, object], sentence: str
) -> None:
    fields: dict[str, object] = {"name": "kiln", "chip_select": "D5"} | description
    with pytest.raises(InputError, match=sentence):
        ThermocoupleChannel(**fields)  # type: ignore[arg-type]
