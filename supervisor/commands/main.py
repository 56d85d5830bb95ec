"""Chooses the command, and turns every error into one sentence and an exit code.

0 done, 1 bad input, 2 usage, 3 the rig or a peer failed.
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence

from supervisor import __version__
from supervisor.core.errors import SpyholeError

_COMMANDS = {
    "demo": "watch a simulated firing, speeded up, with page and broker; needs no set-up",
    "setup": "ask a few questions and write the configuration",
    "rig": "read the thermocouples on the day of wiring, and explain each fault",
    "watch": "watch a kiln: the daemon",
    "pin": "set or change the PIN that the page asks for",
    "plan": "check and explain a schedule",
    "replay": "run a recorded log through the watch",
    "heatwork": "work out the cones that a recorded log reached",
    "simulate": "make a log of a simulated firing",
    "fleet": "try the watch on many simulated firings",
    "log": "list the firings in the record, or add a recorded log to it",
    "witness": "note what the real cones did, and correct the kiln's offset by it",
    "unload": "tell what in a firing may be behind the defects of its ware",
    "trends": "tell what changes from firing to firing: elements, thermocouples, evenness",
    "repeat": "make a plan from an actual firing, and suggest small changes",
    "notify": "list who is told of alerts beside the broker, and send a test",
    "report": "write one firing of the record to a file: a report, or its log",
    "compare": "hold firings against each other, or against a plan",
}

_EPILOG = """\
spyhole watches a kiln through thermocouples and never switches anything. It is no safety
device: the kiln maker's instructions, the local electrical code and licensed practice come
first.

a first look:   spyhole demo
a schedule:     spyhole plan midfire-glaze
each command:   spyhole COMMAND --help
exit codes:     0 done, 1 bad input, 2 wrong usage, 3 the rig, a peer or the disk failed
"""


def _listing() -> str:
    width = max(map(len, _COMMANDS))
    return "\n".join(f"  {name:<{width}}  {what}" for name, what in _COMMANDS.items())


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line; the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    parser = argparse.ArgumentParser(
        prog="spyhole",
        usage="spyhole COMMAND [OPTIONS]",
        description="Watches a kiln firing, compares it with its plan, tracks heat-work, warns, "
        "and keeps the log.\n\ncommands:\n" + _listing(),
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"spyhole {__version__}")
    parser.add_argument(
        "command", choices=tuple(_COMMANDS), help=argparse.SUPPRESS, metavar="COMMAND"
    )
    parser.add_argument("rest", nargs=argparse.REMAINDER, help=argparse.SUPPRESS)
    if not words:
        parser.print_help()
        return 2
    name = parser.parse_args(words[:1]).command
    command = argparse.ArgumentParser(
        prog=f"spyhole {name}", formatter_class=argparse.RawDescriptionHelpFormatter
    )
    try:
        # A Pi takes seconds for this, in which somebody may think better of it.
        module = importlib.import_module(f"supervisor.commands.{name}")
        module.describe(command)
        options = command.parse_args(words[1:])
        code: int = module.run(options)
        sys.stdout.flush()
    except SpyholeError as error:
        print(f"spyhole {name}: {error}", file=sys.stderr)
        return error.exit_code
    except BrokenPipeError:
        # The reader of our output has gone (`spyhole log | head`): nothing is left to say.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print(f"spyhole {name}: stopped", file=sys.stderr)
        return 130
    return code


def run() -> None:
    """Entry point of the ``spyhole`` command."""
    sys.exit(main())
