"""A bench with several MAX31856 chips on SPI buses, each behind a chip select of its own.

Knows how the parts are wired; refuses to know who reads them and where temperatures come from.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from simulator.chip.bus import BusCall, FakeChipSelect, FakeSpi, Notebook
from simulator.chip.max31856 import Max31856Chip


class SimulatedBench:
    """Chips, pins and bus by the names of the chip selects.

    ``record_last`` bounds the record of calls: 0 (the default) keeps none, so that a demo that
    runs for days does not grow; ``None`` keeps all. ``on`` says which chips are on which bus,
    where there are several; ``spi`` is then the first of ``buses``.

    >>> bench = SimulatedBench(["top", "bottom"])
    >>> sorted(bench.pins) == sorted(bench.chips)
    True
    """

    def __init__(
        self,
        names: Iterable[str],
        *,
        record_last: int | None = 0,
        on: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        notebook = Notebook(record_last)
        self.chips: Mapping[str, Max31856Chip] = {name: Max31856Chip() for name in names}
        self.pins: Mapping[str, FakeChipSelect] = {
            name: FakeChipSelect(name, chip, notebook) for name, chip in self.chips.items()
        }
        self.buses: Mapping[str, FakeSpi] = {
            bus: FakeSpi(
                {name: chip for name, chip in self.chips.items() if on.get(name, "spi") == bus},
                {name: pin for name, pin in self.pins.items() if on.get(name, "spi") == bus},
                notebook,
                name=bus,
            )
            for bus in dict.fromkeys(on.get(name, "spi") for name in self.chips)
        }
        self.spi = next(iter(self.buses.values()))

    @property
    def calls(self) -> tuple[BusCall, ...]:
        """The calls kept so far, pins and bus, oldest first."""
        return self.spi.calls

    def show(
        self, temps_c: Mapping[str, float | None], *, cold_junction_c: float | None = None
    ) -> None:
        """Put the probes into a kiln: °C by name, ``None`` for a broken circuit.

        Names left out keep what they had. ``cold_junction_c`` is for all the terminals.
        """
        for name, temp_c in temps_c.items():
            self.chips[name].set_thermocouple(temp_c)
        if cold_junction_c is not None:
            for chip in self.chips.values():
                chip.set_cold_junction(cold_junction_c)

    def advance(self, seconds: float) -> None:
        """Let time pass on all chips."""
        for chip in self.chips.values():
            chip.advance(seconds)

    def convert(self) -> None:
        """Complete a conversion now on every chip that is converting."""
        for chip in self.chips.values():
            chip.convert()
