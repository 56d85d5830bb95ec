"""Whatever happens to boards and buses: no error, no wait, and never a temperature that is not.

Two boards on two buses, the probes warming slowly; a story of mishaps in any order. Every value
that is given must be what that probe really has, and when all is mended every value is given.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from supervisor.core.readings import FaultCause

pytestmark = pytest.mark.timeout(120)

NAMES = ("top", "low")
ON = {"top": "SPI0", "low": "SPI5"}
TERMINALS_C = 24.0

MISHAPS: dict[str, Callable[[SimulatedBench, str], None]] = {
    "unplug": lambda bench, name: bench.chips[name].unplug(),
    "plug in": lambda bench, name: bench.chips[name].plug_in(),
    "lose power": lambda bench, name: bench.chips[name].brown_out(),
    "output low": lambda bench, name: bench.chips[name].stick_output(0),
    "output high": lambda bench, name: bench.chips[name].stick_output(1),
    "output free": lambda bench, name: bench.chips[name].stick_output(None),
    "bus low": lambda bench, name: bench.buses[ON[name]].stick_miso(0),
    "bus high": lambda bench, name: bench.buses[ON[name]].stick_miso(1),
    "bus free": lambda bench, name: bench.buses[ON[name]].stick_miso(None),
    "break": lambda bench, name: bench.show({name: None}),
    "foreign voltage": lambda bench, name: bench.chips[name].set_over_voltage(True),
    "no voltage": lambda bench, name: bench.chips[name].set_over_voltage(False),
    "bus fails": lambda bench, name: setattr(bench.buses[ON[name]], "failure", OSError(5, "I/O")),
    "bus works": lambda bench, name: setattr(bench.buses[ON[name]], "failure", None),
    "nothing": lambda _bench, _name: None,
}


@given(
    story=st.lists(st.tuples(st.sampled_from(sorted(MISHAPS)), st.sampled_from(NAMES)), max_size=25)
)
@settings(max_examples=120, deadline=None)
def test_no_story_makes_the_rig_fail_or_lie(story: list[tuple[str, str]]) -> None:
    bench = SimulatedBench(NAMES, on=ON)
    channels = [ThermocoupleChannel(name, name, bus=ON[name]) for name in NAMES]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=20.0)
    is_broken = dict.fromkeys(NAMES, False)
    true_c = {"top": 300.0, "low": 280.0}
    elapsed_s = 0.0

    def live() -> None:
        nonlocal elapsed_s
        elapsed_s += 1.0
        for name in NAMES:
            true_c[name] += 0.1
            if not is_broken[name]:
                bench.show({name: true_c[name]}, cold_junction_c=TERMINALS_C)
        bench.advance(1.0)

    try:
        live()
        for what, name in story:
            MISHAPS[what](bench, name)
            is_broken[name] |= what == "break"
            reading = rig.read(elapsed_s)
            for channel, temp_c in reading.temps_c.items():
                if temp_c is not None:
                    assert channel not in reading.faults
                    # A broken probe is only looked for in one of 16 conversions (data sheet).
                    assert is_broken[channel] or temp_c == pytest.approx(true_c[channel], abs=0.5)
                    assert temp_c > 250.0
            assert set(reading.faults) <= set(NAMES)
            live()
        for name in NAMES:
            for mend in ("plug in", "output free", "bus free", "no voltage", "bus works"):
                MISHAPS[mend](bench, name)
            is_broken[name] = False
        for _ in range(6):
            live()
            reading = rig.read(elapsed_s)
        assert reading.faults == {}
        assert reading.temps_c == pytest.approx(true_c, abs=0.5)
    finally:
        rig.close()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("what", ["unplug", "output low", "bus high", "bus fails", "lose power"])
def test_a_mishap_on_one_bus_is_never_seen_on_the_other(what: str, name: str) -> None:
    bench = SimulatedBench(NAMES, on=ON)
    channels = [ThermocoupleChannel(each, each, bus=ON[each]) for each in NAMES]
    rig = Max31856Rig(bench.buses, channels, bench.pins, patience_s=20.0)
    bench.show(dict.fromkeys(NAMES, 600.0), cold_junction_c=TERMINALS_C)
    bench.advance(1.0)
    assert rig.read(1.0).temps_c == dict.fromkeys(NAMES, 600.0)
    MISHAPS[what](bench, name)
    (other,) = set(NAMES) - {name}
    reading = rig.read(2.0)
    assert reading.temps_c == {**dict.fromkeys(NAMES), other: 600.0}
    if what != "lose power":
        assert reading.faults == {name: FaultCause.BUS}
    rig.close()
