"""A bench to practise on: probes in a cold kiln on register-level chips, with faults at will.

Knows what each fault does to a chip. Time passes when ``advance_to`` says so; the same seed
gives the same noise. Refuses to know who reads the chips.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import StrEnum
from random import Random
from typing import Final

from simulator.chip.bench import SimulatedBench

ROOM_C: Final = 21.0
TERMINALS_C: Final = 24.5
"""The box is a little warmer than the room (a guess)."""
_NOISE_C, _NOISY_C = 0.08, 6.0
_DIP_S: Final = 9.0
"""A thin probe in stirred water (a guess)."""
_SOAKS_AFTER_S: Final = 8.0
_RESTARTS_EVERY_S: Final = 5.0
_TOO_HOT_C: Final = 126.0


class PracticeFault(StrEnum):
    """What can be wrong with a channel."""

    OPEN = "open"
    """The probe is broken."""
    VOLTAGE = "voltage"
    """The input sees a foreign voltage."""
    SWAPPED = "swapped"
    """Plus and minus are swapped."""
    WRONG_TYPE = "wrong-type"
    """A type S probe; on an input for S, a type K."""
    HOT_TERMINALS = "hot-terminals"
    """The board is far too hot."""
    UNPLUGGED = "unplugged"
    """The board is not there."""
    STUCK_LOW = "stuck-low"
    """The board's data output is at 0 V."""
    STUCK_HIGH = "stuck-high"
    """The board's data output is at 3.3 V."""
    RESTARTS = "restarts"
    """The board loses its power every few seconds."""
    NOISY = "noisy"
    """A loose or wet terminal."""


class PracticeBench:
    """Channels by name with the type that each is set to; ``on`` says which bus each is on.

    ``off_c`` is what every probe reads too high.
    """

    def __init__(
        self,
        letters: Mapping[str, str],
        *,
        on: Mapping[str, str],
        faults: Mapping[str, PracticeFault],
        off_c: float = 1.3,
        seed: int = 1,
    ) -> None:
        self.bench = SimulatedBench(letters, on=on)
        self._off_c = off_c
        self._faults = dict(faults)
        self._junctions_c = dict.fromkeys(letters, ROOM_C)
        self._bath: tuple[str, float] | None = None
        self._dice = Random(seed)  # noqa: S311 - noise, no secret
        self._now_s = 0.0
        self._restarted_s = 0.0
        self.bench.show({}, cold_junction_c=TERMINALS_C)
        for name, fault in self._faults.items():
            self._break(name, fault, letters[name])

    def dip(self, name: str, bath_c: float) -> None:
        """Put a probe into water, a few seconds from the beginning."""
        self._bath = (name, bath_c)

    def advance_to(self, elapsed_s: float) -> None:
        """Let time pass until ``elapsed_s``."""
        dt_s, self._now_s = elapsed_s - self._now_s, elapsed_s
        if dt_s <= 0.0:
            return
        if self._bath is not None and elapsed_s > _SOAKS_AFTER_S:
            name, bath_c = self._bath
            left = math.exp(-dt_s / _DIP_S)
            self._junctions_c[name] = bath_c + (self._junctions_c[name] - bath_c) * left
        for name, junction_c in self._junctions_c.items():
            fault = self._faults.get(name)
            noise_c = _NOISY_C if fault is PracticeFault.NOISY else _NOISE_C
            if fault is not PracticeFault.OPEN:
                noisy_c = junction_c + self._off_c + self._dice.gauss(0.0, noise_c)
                self.bench.show({name: noisy_c})
        if elapsed_s - self._restarted_s >= _RESTARTS_EVERY_S:
            self._restarted_s = elapsed_s
            for name, fault in self._faults.items():
                if fault is PracticeFault.RESTARTS:
                    self.bench.chips[name].brown_out()
        self.bench.advance(dt_s)

    def _break(self, name: str, fault: PracticeFault, letter: str) -> None:
        chip = self.bench.chips[name]
        match fault:
            case PracticeFault.OPEN:
                chip.set_thermocouple(None)
            case PracticeFault.VOLTAGE:
                chip.set_over_voltage(True)
            case PracticeFault.SWAPPED:
                chip.set_probe(None, swapped=True)
            case PracticeFault.WRONG_TYPE:
                chip.set_probe("K" if letter == "S" else "S")
            case PracticeFault.HOT_TERMINALS:
                chip.set_cold_junction(_TOO_HOT_C)
            case PracticeFault.UNPLUGGED:
                chip.unplug()
            case PracticeFault.STUCK_LOW:
                chip.stick_output(0)
            case PracticeFault.STUCK_HIGH:
                chip.stick_output(1)
            case PracticeFault.RESTARTS | PracticeFault.NOISY:
                """They come with time."""
