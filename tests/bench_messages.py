"""How long a reading takes until it is in an MQTT client: ``python -m tests.bench_messages``.

The daemon runs as a process of its own, reading simulated probes through the real driver;
Mosquitto and a listener that is not ours run beside it. The kiln swings about its limit, so that
there are alerts, and each of them is on the disk before it leaves. Counted is from the moment at
which the channels are looked at to the moment at which the listener has the message. There are
ten looks a second, a minute of the firing apart: a real rig has one. Prints figures of this
machine; nothing is asserted.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from simulator.scenario import load_scenario
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.messaging.settings import BrokerSettings
from supervisor.record.rows import Mode
from supervisor.service.run import run
from supervisor.service.setup import Setup
from tests.messaging.brokers import LOCAL, Mosquitto, program

SPEED, INTERVAL_S = 600.0, 60.0
LIMIT_C, SWING_C, SWING_S = 1100.0, 100.0, 1200.0
"""The kiln goes so far above and below its limit, once in so long: 20 °C a minute."""
CHANNELS = ("top", "middle", "bottom")


class Swinging:
    """A source: probes in a kiln that swings, seen through MAX31856 chips and their driver."""

    def __init__(self) -> None:
        self._bench = SimulatedBench(CHANNELS)
        channels = [ThermocoupleChannel(name, chip_select=name) for name in CHANNELS]
        self._rig = Max31856Rig(self._bench.spi, channels, self._bench.pins)

    @property
    def channels(self) -> tuple[str, ...]:
        return self._rig.channels

    def due_s(self, after_s: float | None) -> float | None:
        return 0.0 if after_s is None else after_s + INTERVAL_S

    def read(self, elapsed_s: float) -> Reading:
        part = elapsed_s / SWING_S % 1.0
        temp_c = LIMIT_C + SWING_C * (4.0 * abs(part - 0.5) - 1.0)
        self._bench.show(dict.fromkeys(CHANNELS, temp_c), cold_junction_c=25.0)
        self._bench.convert()
        return self._rig.read(elapsed_s)

    def close(self) -> None:
        self._rig.close()


def swinging_kiln(folder: Path, speed: float) -> Setup:
    """What is watched: that kiln, with a record in ``folder``; nobody is told anything yet."""
    plan = load_scenario("healthy-midfire")
    return Setup(
        source=Swinging(),
        schedule=plan.schedule,
        schedule_toml=schedule_toml(plan.schedule),
        data_dir=folder,
        kiln="bench",
        settings=WatchSettings(limit_c=LIMIT_C),
        mode=Mode.SIMULATION,
        speed=speed,
        interval_s=INTERVAL_S,
        say=lambda _line: None,
    )


def watch(port: int, folder: Path) -> None:
    """The daemon, until it is told to stop."""
    setup = replace(swinging_kiln(folder, SPEED), broker=BrokerSettings(LOCAL, port))
    asyncio.run(run(setup))


def listen(port: int, delays_s: dict[str, list[float]]) -> paho.Client:
    """Hears everything of the kiln, and notes by topic how old it is."""

    def hear(_client: object, _userdata: object, message: paho.MQTTMessage) -> None:
        now_s = time.time()
        word = message.topic.rpartition("/")[2]
        if word in delays_s and not message.retain:
            told = json.loads(message.payload)
            if told["time"] is None:
                return
            # Labels of a speeded-up firing begin at the wall clock and run with the firing.
            begun_s = datetime.fromisoformat(told["time"]).timestamp() - told["elapsed_s"]
            delays_s[word].append(now_s - begun_s - told["elapsed_s"] / SPEED)

    ready = threading.Event()
    client = paho.Client(CallbackAPIVersion.VERSION2, client_id="listener")
    client.on_message = hear
    client.on_subscribe = lambda *_: ready.set()
    client.connect(LOCAL, port)
    client.subscribe("spyhole/bench/#", qos=1)
    client.loop_start()
    ready.wait(10.0)
    return client


def show(what: str, delays_s: list[float]) -> None:
    ordered = sorted(delays_s)
    if not ordered:
        print(f"{what:<52} none came")
        return
    marks = (0.5, 0.9, 0.99)
    shown = [1000.0 * ordered[min(int(len(ordered) * m), len(ordered) - 1)] for m in marks]
    figures = "  ".join(f"{ms:7.1f}" for ms in (*shown, 1000.0 * ordered[-1]))
    print(f"{what:<52} {len(ordered):6}  {figures}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seconds", type=float, default=180.0, help="how long; default: 180")
    parser.add_argument("--watch", nargs=2, metavar=("PORT", "DIR"), help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.watch is not None:
        watch(int(options.watch[0]), Path(options.watch[1]))
        return
    delays_s: dict[str, list[float]] = {"readings": [], "alerts": []}
    with tempfile.TemporaryDirectory(prefix="spyhole-bench-") as scratch:
        folder = Path(scratch)
        broker = Mosquitto(program("mosquitto"), folder)
        broker.start()
        client = listen(broker.port, delays_s)
        words = ("-m", "tests.bench_messages", "--watch", str(broker.port), str(folder / "data"))
        daemon = subprocess.Popen([sys.executable, *words])
        try:
            time.sleep(options.seconds)
        finally:
            daemon.terminate()
            daemon.wait(30.0)
            client.disconnect()
            client.loop_stop()
            broker.stop()
    head = "  ".join(f"{name:>7}" for name in ("median", "90 %", "99 %", "worst"))
    print(f"{'milliseconds from the look to the listener':<52}  count  {head}")
    show("a reading (not waiting for the disk)", delays_s["readings"])
    show("an alert (on the disk before it leaves)", delays_s["alerts"])


if __name__ == "__main__":
    main()
