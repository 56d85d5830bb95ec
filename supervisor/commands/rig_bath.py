"""The guided checks in ice water and in boiling water, in words.

Says how the bath is made, what the rig read in it, and which offset that asks for. It writes
nothing: the potter does. Knows text only; what a reading means is in ``hardware.bath``.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Final

from hardware.bath import HOT_C, LARGEST_OFF_C, BathResult, Refusal
from hardware.channel import ThermocoupleChannel
from supervisor.commands.rig_view import degrees, difference
from supervisor.core.units import Unit, difference_from_c, show_temp

_FIRST: Final = (
    "Switch the kiln off at its isolator and let the probe go cold before you take it out: a hot "
    "ceramic tube cracks in water."
)
_ICE: Final = (
    "Fill a deep, insulated jug with crushed ice made of clean water. Pour in cold clean water, "
    "just enough to fill the gaps: ice must reach down to the bottom. Stir, and wait five minutes."
)
_INTO_ICE: Final = (
    "Put the tip as deep into it as the probe allows, 10 cm or more, away from wall and bottom, "
    "and go on stirring. Keep connection head and wires dry: a wet terminal reads wrong."
)
_BOILING: Final = (
    "Bring a deep pot of clean water to a rolling boil. Boiling water and steam scald: wear "
    "gloves, and stand the pot where it can't tip."
)
_INTO_BOILING: Final = (
    "Hang the tip 10 cm or more deep, away from wall and bottom. Keep connection head, wires and "
    "the box of boards out of the steam."
)
_LAST: Final = (
    "Don't hold the probe by its wires. Dry it well before it goes back into a kiln: a wet tube "
    "bursts when it is fired."
)


@dataclass(frozen=True, slots=True)
class Bath:
    """Water of a known temperature, and how a potter makes it."""

    name: str
    temp_c: float
    steps: tuple[str, ...]
    note: str = ""

    @property
    def option(self) -> str:
        """The command line's word for it."""
        return "--" + self.name.replace(" ", "-")


def ice_bath(temp_c: float) -> Bath:
    """Crushed ice and water."""
    return Bath("ice point", temp_c, (_FIRST, _ICE, _INTO_ICE, _LAST))


def boiling_bath(temp_c: float, note: str) -> Bath:
    """Water that boils; ``note`` says what its temperature was worked out from."""
    return Bath("boiling point", temp_c, (_FIRST, _BOILING, _INTO_BOILING, _LAST), note)


def steps(channel: ThermocoupleChannel, bath: Bath, unit: Unit) -> str:
    """What to do first."""
    head = (
        f"{bath.name.capitalize()} of channel “{channel.name}” (type "
        f"{channel.thermocouple_type}): the water is at {degrees(bath.temp_c, unit)}."
    )
    numbered = [f"{number}. {step}" for number, step in enumerate(bath.steps, start=1)]
    note = [bath.note] if bath.note else []
    return "\n".join(
        textwrap.fill(text, 98, subsequent_indent="   ") for text in [head, *note, *numbered]
    )


def outcome(channel: ThermocoupleChannel, result: BathResult, unit: Unit) -> list[str]:
    """What came of it, where an offset will do; a paragraph each."""
    assert result.offset_c is not None  # noqa: S101 - the caller has seen to it
    letter = channel.thermocouple_type
    said = [
        (
            f"Channel “{channel.name}” reads {degrees(result.read_c, unit)} in water at "
            f"{degrees(result.bath_c, unit)}."
        )
    ]
    if result.is_needed:
        offset = difference_from_c(result.offset_c, unit)
        said.append(
            f'Write this into spyhole.toml, into the [[sensor]] with channel = "{channel.name}", '
            "in place of any offset there:"
        )
        said.append(f"    offset = {offset:.1f}")
    else:
        said.append(
            f"That is as near as such a bath can tell: leave its offset at "
            f"{difference(channel.offset_c, unit)}."
        )
    if not result.tells_type:
        said.append(
            "The terminals are about as warm as the bath, so this says nothing of a wrong type or "
            "of swapped leads: the boiling point would."
        )
    sure = (
        f"A check at {degrees(result.bath_c, unit)} tells nothing sure about "
        f"{show_temp(HOT_C, unit)}: there the witness cones decide."
    )
    if result.hot_c is not None and result.is_needed:
        sure += (
            f" If the board's terminals are what is off, the {difference(result.off_c, unit)} here "
            f"are {difference(result.hot_c, unit)} there with type {letter}; if it is the wire, it "
            f"grows with the temperature."
        )
    said.append(sure)
    return said


def refused(channel: ThermocoupleChannel, result: BathResult, unit: Unit) -> str:
    """Why no offset is proposed, in one line."""
    letter = channel.thermocouple_type
    why = {
        Refusal.ROOM: "it reads as the room does, so the tip may not be in the water, or the "
        "leads touch each other before it",
        Refusal.SWAPPED: "it reads as swapped leads would: exchange plus and minus",
        Refusal.TYPE: f"it reads as a type {' or '.join(result.fits)} would on an input that is "
        f"set to {letter}: compare the letter on the probe and on its lead with `type`",
        Refusal.UNKNOWN: "look at the bath, for a wet terminal, and whether probe and lead are "
        "of one type",
    }
    reasons = "; or ".join(why[refusal] for refusal in result.refusals)
    return (
        f"channel “{channel.name}” reads {degrees(result.read_c, unit)} in water at "
        f"{degrees(result.bath_c, unit)}, and more than {difference(LARGEST_OFF_C, unit)} off is "
        f"no matter of an offset: {reasons}."
    )
