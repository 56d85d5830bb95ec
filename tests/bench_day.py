"""What a day costs a phone that has the page open all the time: `python -m tests.bench_day`.

A firing of 24 hours, read each second by three channels, goes through the real watch and the real
application, and a phone asks of it what the page asks: the live stream, the chart at first and
whenever it has grown too long, and each minute what is to come. The day is passed in minutes: the
event loop's clock jumps to whatever is due next, so that all that is spoken and all that is waited
is as in a day. Counted is what crosses the wire, as HTTP has it: heads, bodies as the server
compresses them, and what frames their chunks. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import asyncio
import gzip
import json
import selectors
import tempfile
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.types import Message

from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.core.readings import Reading
from supervisor.record.store import Record
from supervisor.service.desk import Desk
from supervisor.service.proposals import Proposals
from tests.service.firings import begin, keep
from tests.service.test_desk import logbook_over
from web.app import create_app
from web.models import Mode

DAY_S = 24 * 3600.0
SCENARIO = "healthy-midfire"
LATE_S = (0.004, 0.0, 0.011, 0.002, 0.007)
"""How late a look begins, over and over: a real rig's times are not whole seconds."""
MOST_ROWS, COURSE_EVERY_S = 3000, 900.0
"""As `chart.js` and `views/watch/chart.js` have them."""
MOST_BYTES = 1_000_000
PACKET_BYTES = 40
"""Heads of IP and TCP, at least, for what is sent in one go."""


class Jumping(selectors.DefaultSelector):
    """Waits for nothing but what others are really doing: then time is where it was due."""

    def __init__(self) -> None:
        super().__init__()
        self.now_s = 0.0
        self.is_held = False

    def select(self, timeout: float | None = None) -> list[Any]:
        if self.is_held or timeout is None:
            return super().select(0.001 if timeout is None else min(timeout, 0.001))
        found = super().select(0.0)
        if not found and timeout > 0.0:
            self.now_s += timeout
        return found


class Wire:
    """One answer as it crosses the wire."""

    def __init__(self, costs: Counter[str], what: str) -> None:
        self.costs, self.what = costs, what
        self.body = b""
        self.news = asyncio.Event()
        self.is_chunked = True

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            head = sum(len(name) + len(value) + 4 for name, value in message["headers"])
            self.is_chunked = b"content-length" not in dict(message["headers"])
            # "HTTP/1.1 200 OK", a date, and the empty line.
            self._count(17 + 37 + head + 2)
            return
        body = message.get("body", b"")
        if body:
            self.body += body
            self._count(len(body) + (len(f"{len(body):x}") + 4 if self.is_chunked else 0))
        self.news.set()

    def _count(self, size: int) -> None:
        self.costs[self.what] += size
        self.costs[f"{self.what}, packets"] += 1 + size // 1400


def scope(path: str, query: str = "") -> dict[str, Any]:
    return {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.3"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [(b"host", b"kiln.local:8017"), (b"accept-encoding", b"gzip, deflate")],
        "client": ("192.168.1.20", 50_000),
        "server": ("192.168.1.5", 8017),
    }


class Phone:
    """Asks what the page asks, and keeps what it would show."""

    def __init__(self, app: Any, selector: Jumping, costs: Counter[str]) -> None:
        self._app, self._selector, self._costs = app, selector, costs
        self._reader = zlib.decompressobj(wbits=31)
        self._rows = 0
        self._course_at_s = float("-inf")
        self._asked_for = ""
        self._gone = asyncio.Event()
        self.snapshot: dict[str, Any] = {}
        self.events: Counter[str] = Counter()

    async def watch(self) -> None:
        stream = Wire(self._costs, "stream")
        task = asyncio.create_task(self._app(scope("/api/stream"), self._listen, stream.send))
        text = ""
        try:
            while True:
                await stream.news.wait()
                stream.news.clear()
                body, stream.body = stream.body, b""
                text += self._reader.decompress(body).decode()
                while "\n\n" in text:
                    event, _, text = text.partition("\n\n")
                    await self._hear(*event.split("\n"))
        finally:
            self._gone.set()
            task.cancel()
            await asyncio.gather(task, return_exceptions=True)

    async def _listen(self) -> Message:
        await self._gone.wait()
        return {"type": "http.disconnect"}

    async def _hear(self, first: str, second: str) -> None:
        name, data = first.removeprefix("event: "), json.loads(second.removeprefix("data: "))
        self.events[name] += 1
        if name == "points":
            self._rows += len(data["elapsed_s"])
            if self._rows > MOST_ROWS:
                await self._chart()
        if name not in ("snapshot", "changes"):
            return
        before, self.snapshot = self.snapshot, {**self.snapshot, **data}
        if before.get("chart_revision") != self.snapshot["chart_revision"]:
            await self._chart()
        alerts = [*self.snapshot["alerts"], *self.snapshot["earlier"]]
        plan = self.snapshot["plan"]
        wanted = " ".join([f"{plan['step']} {plan['activity']}", *(one["id"] for one in alerts)])
        is_old = self.snapshot["elapsed_s"] - self._course_at_s >= COURSE_EVERY_S
        if is_old or wanted != self._asked_for:
            self._asked_for, self._course_at_s = wanted, self.snapshot["elapsed_s"]
            await self._ask("course", "/api/course")

    async def _chart(self) -> None:
        chart = await self._ask("chart", "/api/chart", "max_points=1500")
        self._rows = len(chart["elapsed_s"])

    async def _ask(self, what: str, path: str, query: str = "") -> Any:
        wire = Wire(self._costs, what)
        self._selector.is_held = True
        try:
            await self._app(scope(path, query), self._listen, wire.send)
        finally:
            self._selector.is_held = False
        self.events[what] += 1
        body = wire.body
        return json.loads(gzip.decompress(body) if body[:2] == b"\x1f\x8b" else body)


def day(until_s: float) -> Iterator[Reading]:
    """The scenario's readings, one a second, at times that are not quite whole."""
    for number, reading in enumerate(simulate(load_scenario(SCENARIO), 1.0)):
        if reading.elapsed_s > until_s:
            return
        yield replace(reading, elapsed_s=reading.elapsed_s + LATE_S[number % len(LATE_S)])


async def pass_a_day(selector: Jumping, folder: Path, until_s: float) -> tuple[Phone, Counter[str]]:
    costs: Counter[str] = Counter()
    with Record.open(folder) as record:
        kept = keep(record, begin(record, SCENARIO), name=SCENARIO)
        logbook = logbook_over(kept.keeper)
        desk = Desk(
            kept.keeper,
            Proposals(record, lambda: None),
            kiln_kind="electric",
            mode=Mode.LIVE,
            interval_s=1.0,
            mqtt_state=lambda: "connected",
            on_written=lambda: None,
            logbook=lambda: logbook,
        )
        kept.keeper._on_news = lambda _events: desk.read(kept.keeper.last_reading)  # type: ignore[arg-type]
        phone = Phone(create_app(desk), selector, costs)
        watching = asyncio.create_task(phone.watch())
        for reading in day(until_s):
            await asyncio.sleep(max(reading.elapsed_s - selector.now_s, 0.0))
            while selector.is_held:
                await asyncio.sleep(0)
            kept.feed(reading)
        watching.cancel()
        await asyncio.gather(watching, return_exceptions=True)
    return phone, costs


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--hours", type=float, default=24.0, help="how long; default: 24")
    options = parser.parse_args()
    selector = Jumping()
    loop = asyncio.SelectorEventLoop(selector)
    loop.time = lambda: selector.now_s  # type: ignore[method-assign]
    with tempfile.TemporaryDirectory(prefix="spyhole-bench-") as scratch:
        work = pass_a_day(selector, Path(scratch), options.hours * 3600.0)
        phone, costs = loop.run_until_complete(work)
    loop.close()
    said = ", ".join(f"{count:,} {name}" for name, count in sorted(phone.events.items()))
    print(f"{options.hours:g} h of {SCENARIO}, a reading a second: {said}")
    names = ("stream", "chart", "course")
    for name in names:
        print(f"{name:<44} {costs[name]:>10,} bytes")
    whole = sum(costs[name] for name in names)
    verdict = "ok" if whole <= MOST_BYTES else "TOO MUCH"
    print(f"{'together':<44} {whole:>10,} bytes (at most {MOST_BYTES:,} in 24 h): {verdict}")
    packets = sum(costs[f"{name}, packets"] for name in names)
    print(f"{'with heads of IP and TCP, at least':<44} {whole + packets * PACKET_BYTES:>10,} bytes")


if __name__ == "__main__":
    main()
