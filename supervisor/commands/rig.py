"""``spyhole rig``: reads the thermocouples on the day of wiring, and explains what it finds."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from hardware.board import open_rig
from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from supervisor.commands.config_file import DEFAULT_FILE, read_config
from supervisor.commands.numbers import altitude_ft_number, altitude_number, pressure_number
from supervisor.commands.rig_bath import Bath, boiling_bath, ice_bath
from supervisor.commands.rig_guide import guide
from supervisor.commands.rig_look import Look, Rig, live, once
from supervisor.core.errors import InputError
from supervisor.core.water import ICE_POINT_C, METRES_PER_FOOT, boiling_point_c, pressure_hpa

if TYPE_CHECKING:
    from supervisor.service.practice_rig import PracticeRig

_EVERY_S = 1.0
_ONCE_EVERY_S = 0.5

_PRACTICE = (
    ThermocoupleChannel("top", "CE0", thermocouple_type="S"),
    ThermocoupleChannel("bottom", "CE1", thermocouple_type="K"),
)

_EPILOG = """\
on the day of wiring:
  spyhole rig                          watch the readings live; warm a tip in your hand
  spyhole rig --once                   one look, every fault explained
  spyhole rig --ice-point top          find the offset of a channel in ice water
  spyhole rig --simulated --once --fault top=open
                                       try it without any hardware

exit codes: 0 all channels are fine, 1 bad input, 3 a channel or the rig failed

It reads only and switches nothing. Mains voltage kills: switch the kiln off at its isolator
before you touch a probe; the kiln's own wiring is a licensed electrician's.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Reads the thermocouples of the configuration and shows each channel's reading, its "
        "noise, the temperature of its terminals, and its faults with what to check. Stop "
        "`spyhole watch` first: two programs can't share the boards."
    )
    parser.epilog = _EPILOG
    parser.add_argument(
        "--config", metavar="FILE", help=f"what stands where; default: {DEFAULT_FILE}"
    )
    parser.add_argument(
        "--once", action="store_true", help="look for some seconds, explain every channel, end"
    )
    parser.add_argument("--json", action="store_true", help="as --once, as one JSON document")
    parser.add_argument(
        "--ice-point",
        metavar="CHANNEL",
        nargs="?",
        const="",
        help="a guided check in ice water, which proposes the channel's offset",
    )
    parser.add_argument(
        "--boiling-point",
        metavar="CHANNEL",
        nargs="?",
        const="",
        help="the same in boiling water; needs --altitude-m, --altitude-ft or --pressure-hpa",
    )
    parser.add_argument(
        "--altitude-m",
        type=altitude_number,
        metavar="M",
        help="your height above the sea in metres",
    )
    parser.add_argument("--altitude-ft", type=altitude_ft_number, metavar="FT", help="or in feet")
    parser.add_argument(
        "--pressure-hpa",
        type=pressure_number,
        metavar="HPA",
        help="the air's pressure where you are, not reduced to the sea; surer than the height",
    )
    parser.add_argument(
        "--simulated",
        action="store_true",
        help="boards that are not there, under the real driver, to try it out",
    )
    parser.add_argument(
        "--fault",
        metavar="CHANNEL=FAULT",
        action="append",
        default=[],
        help="with --simulated: open, voltage, swapped, wrong-type, hot-terminals, unplugged, "
        "stuck-low, stuck-high, restarts or noisy",
    )


def run(options: argparse.Namespace) -> int:
    _check(options)
    config, _ = read_config(options.config, may_be_missing=options.simulated)
    channels = config.channels() or (_PRACTICE if options.simulated else ())
    if not channels:
        raise InputError(
            "the configuration names no [[sensor]]; `spyhole watch` shows what it needs, and "
            "`spyhole rig --simulated` tries it without one"
        )
    bath, dipped = _bath(options, channels)
    is_once = options.once or options.json
    interval_s = _ONCE_EVERY_S if is_once else _EVERY_S
    if options.simulated:
        practice = _practice(options.fault, channels, config.watch.mains_hz, interval_s)
        if bath is not None and dipped is not None:
            practice.dip(dipped.name, bath.temp_c)
        rig: Rig = practice
    else:
        rig = open_rig(channels, interval_s=interval_s, mains_hz=config.watch.mains_hz)
    look = Look(rig, channels, config.unit)
    try:
        if bath is not None and dipped is not None:
            return guide(look, bath, dipped)
        if is_once:
            return once(look, in_json=options.json)
        return live(look)
    finally:
        rig.close()


def _check(options: argparse.Namespace) -> None:
    if options.ice_point is not None and options.boiling_point is not None:
        raise InputError("--ice-point and --boiling-point are two checks: do one after the other")
    is_guided = options.ice_point is not None or options.boiling_point is not None
    if is_guided and (options.json or options.once):
        raise InputError("--once and --json look at the rig, the guided checks go on by themselves")
    air = [options.altitude_m, options.altitude_ft, options.pressure_hpa]
    if options.boiling_point is None and any(value is not None for value in air):
        raise InputError("--altitude-m, --altitude-ft and --pressure-hpa go with --boiling-point")
    if options.boiling_point is not None and sum(value is not None for value in air) != 1:
        raise InputError(
            "water boils by the air's pressure: give one of --altitude-m and --altitude-ft, your "
            "height above the sea, or --pressure-hpa, what a barometer shows"
        )
    if options.fault and not options.simulated:
        raise InputError("--fault goes with --simulated")


def _bath(
    options: argparse.Namespace, channels: Sequence[ThermocoupleChannel]
) -> tuple[Bath | None, ThermocoupleChannel | None]:
    """The bath of a guided check, and the channel whose probe goes into it."""
    if options.ice_point is not None:
        bath, name = ice_bath(ICE_POINT_C), options.ice_point
    elif options.boiling_point is not None:
        hpa = options.pressure_hpa
        note = f"Water boils there under {hpa:.0f} hPa." if hpa is not None else ""
        if hpa is None:
            height_m, shown = options.altitude_m, f"{options.altitude_m or 0.0:,.0f} m"
            if height_m is None:
                height_m = options.altitude_ft * METRES_PER_FOOT
                shown = f"{options.altitude_ft:,.0f} ft"
            hpa = pressure_hpa(height_m)
            note = (
                f"That is for a standard day's {hpa:.0f} hPa at {shown}; the "
                f"weather moves it by half a degree, which --pressure-hpa would not leave open."
            )
        bath, name = boiling_bath(boiling_point_c(hpa), note), options.boiling_point
    else:
        return None, None
    if not name and len(channels) == 1:
        name = channels[0].name
    channel = next((channel for channel in channels if channel.name == name), None)
    if channel is None:
        names = ", ".join(channel.name for channel in channels)
        what = f"there is no channel {name[:40]!r}" if name else "say which probe is in the water"
        raise InputError(f"{what}; the channels are {names}", where=bath.option)
    if TYPE_RANGE_C[channel.thermocouple_type][0] > bath.temp_c:
        raise InputError(
            f"channel {channel.name} is of type {channel.thermocouple_type}, which gives nothing "
            f"to measure in water; only witness cones can check it",
            where=bath.option,
        )
    return bath, channel


def _practice(
    faults: Sequence[str],
    channels: Sequence[ThermocoupleChannel],
    mains_hz: int,
    interval_s: float,
) -> PracticeRig:
    # A real rig needs none of the simulator.
    from simulator.chip.practice import PracticeFault
    from supervisor.service.practice_rig import PracticeRig

    names = [channel.name for channel in channels]
    wrong: dict[str, PracticeFault] = {}
    for text in faults:
        name, _, fault = text.partition("=")
        if name not in names or fault not in list(PracticeFault):
            raise InputError(
                f"{text[:60]!r} can't be used; give CHANNEL=FAULT with a channel of "
                f"{', '.join(names)} and a fault of {', '.join(PracticeFault)}",
                where="--fault",
            )
        wrong[name] = PracticeFault(fault)
    return PracticeRig(channels, wrong, interval_s=interval_s, mains_hz=mains_hz)
