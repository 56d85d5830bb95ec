"""Which chip selects a rig may have: the kernel's on each bus, and plain pins beside them.

Knows what keeps two selects from each other; opens nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from hardware.buses import BUSES, DEFAULT_BUS
from hardware.channel import ThermocoupleChannel
from supervisor.core.errors import InputError

_PIN = re.compile(r"(?:D|GPIO)(\d{1,2})", re.IGNORECASE)
_HIGHEST_PIN: Final = 27
_EXAMPLE: Final = "CE0, CE1 or a free pin such as D5, D6 or D13 is allowed."


def pin_numbers(channels: Sequence[ThermocoupleChannel]) -> dict[str, int]:
    """Numbers of the processor's pins that the channels' ``chip_select``s name.

    Selects that the kernel moves have none here. Raises InputError for one that can't be a chip
    select beside the buses and the selects that are used.
    """
    # The first bus is the kernel's wherever SPI is switched on at all.
    used = dict.fromkeys([DEFAULT_BUS, *(channel.bus for channel in channels)], 0)
    for channel in channels:
        if channel.kernel_select is not None:
            used[channel.bus] = max(used[channel.bus], _kernels(channel) + 1)
    by_pin = [channel for channel in channels if channel.kernel_select is None]
    numbers = {channel.chip_select: _pin_number(channel, used) for channel in by_pin}
    if len(set(numbers.values())) < len(numbers):
        raise InputError("two channels use the same pin as chip select; each needs its own.")
    for bus in dict.fromkeys(channel.bus for channel in by_pin):
        first = [c for c in channels if c.bus == bus and c.kernel_select == 0]
        if first:
            # Blinka sends through the bus's first device, and the kernel selects its chip.
            raise InputError(
                f"CE0 of {bus} can't be used beside plain pins on the same bus: whatever is sent "
                f"there moves CE0 too. Give all of {bus}'s channels plain pins, or CE1 and plain "
                f"pins.",
                where=f"channel {first[0].name}",
            )
    return numbers


def _kernels(channel: ThermocoupleChannel) -> int:
    """The number of a select that the kernel moves, if its bus can have it."""
    number = channel.kernel_select
    assert number is not None  # noqa: S101 - it is asked for such alone
    most = len(BUSES[channel.bus].selects)
    if number >= most:
        names = ", ".join(f"CE{place}" for place in range(most))
        raise InputError(
            f"{channel.bus} has no CE{number}: {names} or a free pin such as D5 is allowed.",
            where=f"channel {channel.name}",
        )
    return number


def _pin_number(channel: ThermocoupleChannel, buses: Mapping[str, int]) -> int:
    where = f"channel {channel.name}"
    text = channel.chip_select.strip()
    match = _PIN.fullmatch(text)
    if match is None or not 2 <= int(match[1]) <= _HIGHEST_PIN:
        raise InputError(f'chip select "{text[:20]}" is no such pin: {_EXAMPLE}', where=where)
    number = int(match[1])
    for bus, selects in buses.items():
        role = BUSES[bus].role(number, selects)
        if role is not None:
            raise InputError(
                f"chip select {text} is {bus}'s own pin {role}: {_EXAMPLE}", where=where
            )
    return number
