"""Starts the service for the commands that watch: its options, and one event loop."""

from __future__ import annotations

import argparse
import asyncio

from supervisor.commands.numbers import port_number
from supervisor.service.run import Setup, run


def describe_page(parser: argparse.ArgumentParser) -> None:
    """The options that every watching command has."""
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument(
        "--port", type=port_number, metavar="N", help="port of the page; 0: a free one"
    )
    parser.add_argument(
        "--host", help='address of the page; "0.0.0.0" lets the whole network see it'
    )


def say(line: str) -> None:
    """A line for whoever reads along, at once: another program may wait for it."""
    print(line, flush=True)


def interval_for(speed: float) -> float:
    """Firing seconds between readings: each second, but at most sixty times a real second."""
    return max(1.0, speed / 60.0)


def start(setup: Setup) -> int:
    """Run the service until it is told to stop; the exit code."""
    asyncio.run(run(setup))
    return 0
