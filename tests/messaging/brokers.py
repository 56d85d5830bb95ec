"""A real Mosquitto, and an ear that is not ours (plain paho-mqtt)."""

from __future__ import annotations

import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Callable
from pathlib import Path

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

LOCAL = "127.0.0.1"
PATIENCE_S = 15.0


def free_port() -> int:
    """A port that nobody listens on at the moment."""
    with socket.socket() as probe:
        probe.bind((LOCAL, 0))
        return int(probe.getsockname()[1])


class Mosquitto:
    """A broker on a free port, with its sessions kept across a stop and a start."""

    def __init__(self, program: str, folder: Path, *extra: str) -> None:
        self.port = free_port()
        self._program = program
        self._config = folder / "mosquitto.conf"
        self.log = folder / "mosquitto.log"
        self._process: subprocess.Popen[bytes] | None = None
        lines = [
            f"listener {self.port} {LOCAL}",
            "persistence true",
            f"persistence_location {folder}/",
            "user root",
            "log_type all",
            *(extra or ("allow_anonymous true",)),
        ]
        self._config.write_text("\n".join(lines) + "\n")

    def start(self) -> None:
        """Start, and wait until it listens."""
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                [self._program, "-c", str(self._config)], stdout=log, stderr=log
            )
        gives_up_at_s = time.monotonic() + PATIENCE_S
        while True:
            try:
                socket.create_connection((LOCAL, self.port), timeout=1.0).close()
            except OSError:
                assert self._process.poll() is None, self.log.read_text()
                assert time.monotonic() < gives_up_at_s, self.log.read_text()
                time.sleep(0.02)
            else:
                return

    def stop(self) -> None:
        """Stop in good order: sessions are kept."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait(PATIENCE_S)
            self._process = None


class Ear:
    """Hears everything below ``spyhole/`` (or ``below``) and keeps it in order."""

    def __init__(
        self, port: int, name: str = "ear", *, below: str = "spyhole/#", **login: str
    ) -> None:
        self.heard: list[tuple[str, str, bool]] = []
        self._changed = threading.Condition()
        self._subscribed = threading.Event()
        self._client = paho.Client(
            callback_api_version=CallbackAPIVersion.VERSION2, client_id=name, clean_session=False
        )
        if login:
            self._client.username_pw_set(login["user"], login["password"])
        self._client.reconnect_delay_set(1, 1)
        self._client.on_connect = lambda client, *_: client.subscribe(below, qos=1)
        self._client.on_subscribe = lambda *_: self._subscribed.set()
        self._client.on_message = self._hear
        self._client.connect(LOCAL, port)
        self._client.loop_start()
        assert self._subscribed.wait(PATIENCE_S)

    def _hear(self, _client: object, _userdata: object, message: paho.MQTTMessage) -> None:
        with self._changed:
            self.heard.append((message.topic, message.payload.decode(), message.retain))
            self._changed.notify_all()

    def on(self, topic: str) -> list[str]:
        """The payloads heard on one topic, in order."""
        return [payload for at, payload, _ in list(self.heard) if at == topic]

    def wait(self, is_so: Callable[[], bool]) -> None:
        """Wait until what was heard makes it so; fail if it never does."""
        with self._changed:
            assert self._changed.wait_for(is_so, PATIENCE_S), self.heard

    def close(self) -> None:
        """Stop hearing."""
        self._client.disconnect()
        self._client.loop_stop()


def program(name: str) -> str:
    """Where a program lies; the test is skipped where it is missing."""
    found = shutil.which(name) or shutil.which(name, path="/usr/sbin:/usr/local/sbin")
    if found is None:
        pytest.skip(f"{name} is not installed on this machine (Debian: apt install mosquitto)")
    return found
