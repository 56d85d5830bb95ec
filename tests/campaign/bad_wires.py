"""A simulated rig whose wires are bad for minutes at a time, in every way that wires know.

The kiln, the chips and the driver are those of every simulation; what is spoilt is what passes
on the bus between chips and driver. Counts what it did, in a file, so that another process can
tell how much that was.
"""

from __future__ import annotations

import json
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random

from simulator.scenario import Scenario
from supervisor.core.readings import Reading
from supervisor.service.simulated_rig import SimulatedRig

REGISTERS = 16
"""Bytes in a look at a chip (Maxim, MAX31856 data sheet)."""
CLEAN_S = (240.0, 900.0)
BAD_S = (120.0, 600.0)
CLEAN_AT_FIRST_S = 900.0
CLEAN_AT_LAST_S = 1800.0
HANG_S = 7.0
"""Real seconds for which a look hangs; the daemon's patience is 5."""
HANGS = 3


class Weather:
    """What becomes of bytes on their way to the driver, by kind of trouble."""

    def __init__(self, chance: Random, counts: Counter[str]) -> None:
        self._chance = chance
        self._counts = counts

    def sparse(self, received: bytes) -> bytes:
        """One look in twenty has a flipped bit."""
        return self._flipped(received, 1) if self._chance.random() < 0.05 else received

    def dense(self, received: bytes) -> bytes:
        """Every second look has some flipped bits."""
        if self._chance.random() < 0.5:
            return received
        return self._flipped(received, self._chance.randint(1, 6))

    def garbage(self, received: bytes) -> bytes:
        """Nothing is left of what the chip said."""
        return self._count(received, self._chance.randbytes(len(received)))

    def stuck_low(self, received: bytes) -> bytes:
        """The data line lies at ground."""
        return self._count(received, bytes(len(received)))

    def stuck_high(self, received: bytes) -> bytes:
        """The data line lies at the supply."""
        return self._count(received, b"\xff" * len(received))

    def shifted(self, received: bytes) -> bytes:
        """A clock edge too many: every bit is one place further."""
        value = int.from_bytes(received, "big") << 1
        return self._count(
            received, (value & (1 << 8 * len(received)) - 1).to_bytes(len(received), "big")
        )

    def os_error(self, received: bytes) -> bytes:
        """The kernel's driver gives an error, each time."""
        self._counts["OSError"] += 1
        raise OSError(5, "Input/output error")

    def flaky(self, received: bytes) -> bytes:
        """The kernel's driver gives an error now and then."""
        if self._chance.random() < 0.3:
            self._counts["TimeoutError"] += 1
            raise TimeoutError(110, "Connection timed out")
        return received

    def runtime_error(self, received: bytes) -> bytes:
        """The library between gives an error of its own."""
        self._counts["RuntimeError"] += 1
        raise RuntimeError("SPI must be locked first")

    def _flipped(self, received: bytes, bits: int) -> bytes:
        spoilt = bytearray(received)
        for _ in range(bits):
            spoilt[self._chance.randrange(len(spoilt))] ^= 1 << self._chance.randrange(8)
        return self._count(received, bytes(spoilt))

    def _count(self, received: bytes, spoilt: bytes) -> bytes:
        if len(received) == REGISTERS and spoilt != received:
            self._counts["corrupted looks"] += 1
        return spoilt


class BadWires:
    """A source: clean for minutes, then bad for minutes in one way, and so on to the end."""

    def __init__(self, scenario: Scenario, interval_s: float, tally: Path) -> None:
        self._scenario = scenario
        self._rig = SimulatedRig(scenario, interval_s)
        self._spi = self._rig._bench.spi
        self._chance = Random(f"{scenario.seed} wires")
        self.counts: Counter[str] = Counter()
        self._weather = Weather(self._chance, self.counts)
        self._tally = tally
        self._told_s = 0.0
        self._change_s = CLEAN_AT_FIRST_S
        self._is_bad = False
        self._left: list[Callable[[bytes], bytes]] = []

    @property
    def channels(self) -> tuple[str, ...]:
        return self._rig.channels

    def due_s(self, after_s: float | None) -> float | None:
        return self._rig.due_s(after_s)

    def read(self, elapsed_s: float) -> Reading:
        """A look through wires as they are at the moment."""
        if elapsed_s >= self._change_s:
            self._change(elapsed_s)
        self.counts["readings"] += 1
        if elapsed_s - self._told_s >= 600.0:
            self._told_s = elapsed_s
            self._tell()
        return self._rig.read(elapsed_s)

    def _change(self, elapsed_s: float) -> None:
        ends_s = (self._scenario.duration_s or self._scenario.max_s) - CLEAN_AT_LAST_S
        self._is_bad = not self._is_bad and elapsed_s < ends_s
        lasts_s = self._chance.uniform(*(BAD_S if self._is_bad else CLEAN_S))
        self._change_s = min(elapsed_s + lasts_s, ends_s if self._is_bad else float("inf"))
        if not self._is_bad:
            self._spi.corrupt = None
            return
        if not self._left:
            weather = self._weather
            self._left = [
                weather.sparse, weather.dense, weather.garbage, weather.stuck_low,
                weather.stuck_high, weather.shifted, weather.os_error, weather.flaky,
                weather.runtime_error, weather.sparse, weather.dense,
            ]  # fmt: skip
            self._chance.shuffle(self._left)
        self._spi.corrupt = self._left.pop()
        self.counts[f"spells of {self._spi.corrupt.__name__}"] += 1
        is_early = elapsed_s < ends_s / 2.0
        if is_early and self.counts["hangs"] < HANGS and self._chance.random() < 0.15:
            self.counts["hangs"] += 1
            time.sleep(HANG_S)

    def _tell(self) -> None:
        self._tally.write_text(json.dumps(self.counts), encoding="utf-8")

    def close(self) -> None:
        self._tell()
        self._rig.close()
