"""A probe held in water of a known temperature: what offset it asks for, or why none would do.

Waits until the channel reads steadily, then compares. A reading that is too far off for an offset
is held against what a wrong type or swapped leads would read there (ITS-90). Knows degrees
Celsius only; refuses to know how the bath is made and who is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hardware.channel import ThermocoupleChannel
from hardware.steadiness import Spell
from supervisor.core.its90 import LETTERS, emf_mv, read_as_c, slope_mv_per_c

STEADY_S: Final = 120.0
_STEADY_C_PER_MIN, _STEADY_NOISE_C = 0.1, 1.0
"""A thick tube that is two minutes late is then within some 0.3 °C of the water (common
practice, no source)."""

LARGEST_OFF_C: Final = 4.0
"""New wire of the standard class is within 2.2 °C of its table (types E, J, K, N, R, S, T; ASTM
E230), a board's terminals within 0.7 °C and its voltage within 0.15 % (data sheet, from memory),
the bath within 0.5 °C: more is no matter of an offset."""
_FINE_C: Final = 0.5
"""What such a bath can't tell from nothing (common practice, no source)."""
_FITS_C: Final = 2.0
_ROOM_C: Final = 6.0
"""So near the terminals' temperature is the room's."""
_TELLING_C: Final = 10.0
"""Terminals as warm as the bath make every type read alike."""
HOT_C: Final = 1200.0
"""Where stoneware is fired; what a bath says of it is told."""


class Refusal(StrEnum):
    """Why no offset is proposed."""

    ROOM = "room"
    """It reads as the room does."""
    SWAPPED = "swapped"
    """It reads as swapped leads would."""
    TYPE = "type"
    """It reads as another type would."""
    UNKNOWN = "unknown"
    """It is too far off, and nothing of these explains it."""


@dataclass(frozen=True, slots=True)
class BathResult:
    """What a bath showed, in °C.

    ``off_c`` is how much the bare probe reads too high. ``offset_c`` is the offset to configure,
    to a tenth; ``None`` where one of ``refusals`` stands. ``is_needed`` says whether it differs
    from the configured one by more than the bath can tell. ``hot_c`` is what the same voltage
    makes at 1,200 °C, ``None`` where the type does not reach so far. ``tells_type`` says whether
    the terminals were far enough from the bath to tell a wrong type or swapped leads.
    """

    bath_c: float
    read_c: float
    off_c: float
    offset_c: float | None
    is_needed: bool
    hot_c: float | None
    tells_type: bool
    refusals: tuple[Refusal, ...] = ()
    fits: tuple[str, ...] = ()


class BathCheck:
    """Fed one look after the other; ``result`` is there once the channel has read steadily."""

    def __init__(self, channel: ThermocoupleChannel, bath_c: float) -> None:
        self._channel = channel
        self._bath_c = bath_c
        self._spell = Spell(STEADY_S)
        self._terminals = Spell(STEADY_S)
        self.result: BathResult | None = None

    @property
    def drift_c_per_min(self) -> float | None:
        """How fast it still moves."""
        return self._spell.drift_c_per_min

    @property
    def noise_c(self) -> float | None:
        """How much it jitters."""
        return self._spell.noise_c

    def feed(self, elapsed_s: float, temp_c: float | None, cold_junction_c: float | None) -> None:
        """Take in a reading as it is shown, with the configured offset in it."""
        if temp_c is None or cold_junction_c is None:
            self._spell.clear()
            self._terminals.clear()
            return
        self._spell.add(elapsed_s, temp_c)
        self._terminals.add(elapsed_s, cold_junction_c)
        drift, noise_c = self._spell.drift_c_per_min, self._spell.noise_c
        if drift is None or noise_c is None or self._spell.lasted_s < STEADY_S - 5.0:
            return
        if abs(drift) <= _STEADY_C_PER_MIN and noise_c <= _STEADY_NOISE_C:
            read_c, terminals_c = self._spell.mean_c, self._terminals.mean_c
            assert read_c is not None  # noqa: S101 - there is a drift
            assert terminals_c is not None  # noqa: S101 - there are as many of them
            self.result = judge(self._channel, self._bath_c, read_c, terminals_c)


def judge(
    channel: ThermocoupleChannel, bath_c: float, read_c: float, terminals_c: float
) -> BathResult:
    """What a steady ``read_c``, the configured offset in it, says in a bath of ``bath_c``."""
    letter = channel.thermocouple_type
    bare_c = read_c - channel.offset_c
    off_c = bare_c - bath_c
    tells_type = abs(bath_c - terminals_c) >= _TELLING_C
    refusals: list[Refusal] = []
    fits: tuple[str, ...] = ()
    if abs(off_c) > LARGEST_OFF_C:
        if abs(bare_c - terminals_c) < _ROOM_C:
            refusals.append(Refusal.ROOM)
        if tells_type and _near(
            read_as_c(letter, letter, bath_c, terminals_c, swapped=True), bare_c
        ):
            refusals.append(Refusal.SWAPPED)
        if tells_type:
            fits = tuple(
                other
                for other in LETTERS
                if other != letter and _near(read_as_c(other, letter, bath_c, terminals_c), bare_c)
            )
        if fits:
            refusals.append(Refusal.TYPE)
        if not refusals:
            refusals.append(Refusal.UNKNOWN)
    return BathResult(
        bath_c=bath_c,
        read_c=read_c,
        off_c=off_c,
        offset_c=None if refusals else round(-off_c, 1) + 0.0,
        is_needed=not refusals and abs(channel.offset_c + off_c) > _FINE_C,
        hot_c=_at_1200_c(letter, bath_c, off_c),
        tells_type=tells_type,
        refusals=tuple(refusals),
        fits=fits,
    )


def _near(would_read_c: float | None, bare_c: float) -> bool:
    return would_read_c is not None and abs(would_read_c - bare_c) < _FITS_C


def _at_1200_c(letter: str, bath_c: float, off_c: float) -> float | None:
    """What the voltage that makes ``off_c`` in the bath makes at 1,200 °C."""
    if emf_mv(letter, HOT_C) == emf_mv(letter, HOT_C + 1.0):
        return None
    return off_c * slope_mv_per_c(letter, bath_c) / slope_mv_per_c(letter, HOT_C)
