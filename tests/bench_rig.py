"""How long one look at the rig takes: ``python -m tests.bench_rig``.

Prints figures of this machine; nothing is asserted. The chips are simulated beneath the real
driver, so a Pi adds what its kernel takes for each transfer; how many there are is told too.
"""

from __future__ import annotations

import statistics
import time

from hardware.channel import ThermocoupleChannel
from hardware.kernel_spi import KernelSpi
from hardware.max31856_rig import Max31856Rig
from simulator.chip import FakeSpidev, SimulatedBench

LOOKS = 2_000
TRANSFERS = ("write", "readinto", "write_readinto")
NAMES = ("top", "middle", "low")


def rig_of(on: dict[str, str]) -> tuple[SimulatedBench, Max31856Rig]:
    bench = SimulatedBench(NAMES, on=on, record_last=None)
    channels = [ThermocoupleChannel(name, name, bus=on[name]) for name in NAMES]
    rig = Max31856Rig(bench.buses, channels, bench.pins)
    bench.advance(1.0)
    return bench, rig


def rig_on_spidev() -> tuple[SimulatedBench, Max31856Rig]:
    """The same three, selected by the kernel."""
    bench = SimulatedBench(NAMES, record_last=None)
    channels = [
        ThermocoupleChannel(name, f"CE{place}", bus="SPI1") for place, name in enumerate(NAMES)
    ]
    selected = {name: KernelSpi(FakeSpidev(bench.spi, bench.pins[name])) for name in NAMES}
    rig = Max31856Rig({}, channels, {}, selected=selected)
    bench.advance(1.0)
    return bench, rig


def measure(what: str, bench: SimulatedBench, rig: Max31856Rig) -> None:
    took_ms = []
    before = sum(call.action in TRANSFERS for call in bench.calls)
    for look in range(LOOKS):
        warm_c = 20.0 + look * 0.5
        bench.show({"top": warm_c, "middle": 0.98 * warm_c, "low": 0.96 * warm_c})
        bench.advance(1.0)
        begun_s = time.perf_counter()
        rig.read(float(look))
        took_ms.append((time.perf_counter() - begun_s) * 1e3)
    transfers = sum(call.action in TRANSFERS for call in bench.calls) - before
    print(
        f"{what:<40} {statistics.median(took_ms):6.2f} ms in the middle, {max(took_ms):6.2f} ms "
        f"at most, {transfers / LOOKS:5.1f} transfers"
    )


def main() -> None:
    one, two = dict.fromkeys(NAMES, "SPI0"), {"top": "SPI0", "middle": "SPI0", "low": "SPI5"}
    bench, rig = rig_of(one)
    measure("three chips on one bus", bench, rig)
    bench, rig = rig_of(one)
    bench.chips["low"].unplug()
    measure("the same, one unplugged", bench, rig)
    bench, rig = rig_of(one)
    bench.spi.stick_miso(0)
    measure("the same, the data line stuck", bench, rig)
    measure("three chips selected by the kernel", *rig_on_spidev())
    bench, rig = rig_of(two)
    measure("three chips on two buses", bench, rig)
    rig.close()


if __name__ == "__main__":
    main()
