"""Starts the service for the commands that watch: its options, and one event loop."""

from __future__ import annotations

import argparse
import asyncio
from dataclasses import replace

from supervisor.commands.numbers import port_number
from supervisor.core.watch import WatchSettings
from supervisor.service.run import run
from supervisor.service.setup import Setup

_HICCUP_S = 5.0
"""Real seconds that a busy machine may take over a reading."""


def describe_page(parser: argparse.ArgumentParser) -> None:
    """The options that every watching command has."""
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument(
        "--port", type=port_number, metavar="N", help="port of the page; 0: a free one"
    )
    parser.add_argument(
        "--host", help='address of the page; "0.0.0.0" lets the whole network see it'
    )


def interval_for(speed: float) -> float:
    """Firing seconds between readings: each second, but at most sixty times a real second."""
    return max(1.0, speed / 60.0)


def patient(settings: WatchSettings, speed: float) -> WatchSettings:
    """The settings with the patience that a busy machine needs to fire speeded up.

    At 1,200 times the speed, a tenth of a second of this machine is two minutes of the kiln.
    """
    return replace(settings, no_readings_s=max(settings.no_readings_s, _HICCUP_S * speed))


def start(setup: Setup) -> int:
    """Run the service until it is told to stop; the exit code."""
    asyncio.run(run(setup))
    return 0
