"""A shed: a folder with a configuration, a broker, a listener, and the daemon of that place.

Knows how the real programs are started. What is done to them is each part's own business.
"""

from __future__ import annotations

import shutil
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.campaign.listener import Listener
from tests.daemons import Daemon
from tests.messaging.brokers import Mosquitto

KILN = "Shed kiln"


class MissingError(Exception):
    """This machine lacks a program or a right that a part needs."""


def program(name: str, package: str | None = None) -> str:
    """Where a program lies. Raises MissingError where it is not installed."""
    found = shutil.which(name) or shutil.which(name, path="/usr/sbin:/sbin:/usr/local/sbin")
    if found is None:
        raise MissingError(f"{name} is not installed (Debian: apt install {package or name})")
    return found


class Broker(Mosquitto):
    """Mosquitto, which may also be frozen and thawed."""

    def freeze(self) -> None:
        """Let it hang: connections stand and nothing is answered."""
        self._must_run().send_signal(19)

    def thaw(self) -> None:
        """Let it go on."""
        self._must_run().send_signal(18)

    def _must_run(self) -> subprocess.Popen[bytes]:
        assert self._process is not None, "the broker does not run"
        return self._process


class Shed:
    """The place of one kiln. ``data`` is the record's folder."""

    def __init__(self, folder: Path, *, listens: bool = True) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self.data = folder / "data"
        quiet = ("allow_anonymous true", "log_type error", "log_type warning")
        self.broker = Broker(program("mosquitto"), folder, *quiet)
        self.broker.start()
        self.ear = Listener(self.broker.port, f"listener-{folder.name}") if listens else None
        self.config = folder / "spyhole.toml"
        self.config.write_text(
            f'[kiln]\nname = "{KILN}"\n[mqtt]\nhost = "127.0.0.1"\nport = {self.broker.port}\n'
            "[page]\nport = 0\n",
            encoding="utf-8",
        )

    @property
    def listener(self) -> Listener:
        """The client that keeps what it gets."""
        assert self.ear is not None
        return self.ear

    def words(self, scenario: Path, speed: float) -> tuple[str | Path, ...]:
        """The daemon's command line, without the program's name."""
        return (
            "watch", "--simulate", scenario, "--config", self.config,
            "--speed", f"{speed:g}", "--data", self.data,
        )  # fmt: skip

    def watch(self, scenario: Path, speed: float, before: Sequence[str] = ()) -> Daemon:
        """The daemon, as a process of its own; ``before`` as in ``Daemon``."""
        return Daemon(*self.words(scenario, speed), before=before)

    def close(self) -> None:
        """End broker and listener."""
        if self.ear is not None:
            self.ear.close()
        self.broker.stop()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def until(moment_s: float) -> None:
    """Wait until the monotonic clock shows this."""
    time.sleep(max(moment_s - time.monotonic(), 0.0))
