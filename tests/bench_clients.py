"""How soon a reading is on a hundred pages, and what they cost: `python -m tests.bench_clients`.

The daemon runs as a process of its own, with its record and its page, reading simulated probes
through the real driver, once a second. Clients on the live stream note how old each reading is
that they are told of, from the moment at which the channels were looked at. The kiln swings
about its limit by degrees a second, so that every reading is worth a word, and there are alerts.
What the daemon takes of a core is measured with no client and with all of them. On a machine that
is busy with other work give it precedence (`chrt -f 20`). Nothing is asserted.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from supervisor.service.run import run
from tests.bench_messages import INTERVAL_S, show, swinging_kiln

SPEED = INTERVAL_S
"""A look a second, a minute of the firing apart."""
HOST = "127.0.0.1"
WITHIN_MS, MOST_CPU = 250.0, 25.0
SETTLE_S = 5.0


def watch(folder: Path) -> None:
    """The daemon, until it is told to stop."""
    setup = replace(
        swinging_kiln(folder, SPEED), host=HOST, port=0, say=lambda line: print(line, flush=True)
    )
    asyncio.run(run(setup))


def port_of(daemon: subprocess.Popen[str]) -> int:
    assert daemon.stdout is not None
    for line in daemon.stdout:
        if line.startswith("page: "):
            return int(line.rstrip("/\n").rpartition(":")[2])
    raise SystemExit("the daemon has ended before its page was ready")


def spent_s(pid: int) -> float:
    """Seconds of a core that the process has had (proc(5): utime and stime)."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def chunks(reader: asyncio.StreamReader) -> AsyncIterator[bytes]:
    """The body of a chunked answer (RFC 9112, 7.1), unpacked."""
    head = await reader.readuntil(b"\r\n\r\n")
    packed = b"content-encoding: gzip" in head.lower()
    unpacker = zlib.decompressobj(wbits=31)
    while size := int(await reader.readline(), 16):
        body = (await reader.readexactly(size + 2))[:size]
        yield unpacker.decompress(body) if packed else body


async def listen(port: int, delays_s: list[float], *, is_packed: bool) -> None:
    """A page that is open: notes the age of every reading that it hears of after the first."""
    reader, writer = await asyncio.open_connection(HOST, port)
    accepts = "Accept-Encoding: gzip\r\n" if is_packed else ""
    writer.write(f"GET /api/stream HTTP/1.1\r\nHost: {HOST}\r\n{accepts}\r\n".encode())
    text = b""
    try:
        async for piece in chunks(reader):
            now_s = time.time()
            text += piece
            *whole, text = text.split(b"\n\n")
            for event in whole:
                name, _, data = event.partition(b"\n")
                if name != b"event: changes":
                    continue
                told = json.loads(data.removeprefix(b"data: "))
                if "time" in told:
                    # Labels of a speeded-up firing begin at the wall clock and run with the firing.
                    label_s = datetime.fromisoformat(told["time"]).timestamp()
                    begun_s = label_s - told["elapsed_s"]
                    delays_s.append(now_s - begun_s - told["elapsed_s"] / SPEED)
    finally:
        writer.close()


async def measure(daemon: subprocess.Popen[str], clients: int, seconds: float) -> None:
    port = port_of(daemon)
    delays_s: list[float] = []
    await asyncio.sleep(SETTLE_S)
    alone = await share(daemon.pid, seconds / 4)
    pages = [asyncio.create_task(listen(port, delays_s, is_packed=True)) for _ in range(clients)]
    await asyncio.sleep(SETTLE_S)
    delays_s.clear()
    busy = await share(daemon.pid, seconds)
    heard = list(delays_s)
    for page in pages:
        page.cancel()
    await asyncio.gather(*pages, return_exceptions=True)
    head = "  ".join(f"{name:>7}" for name in ("median", "90 %", "99 %", "worst"))
    print(f"{'milliseconds from the look to the pages':<52}  count  {head}")
    show(f"a reading on {clients} pages", heard)
    readings = len(heard) / clients
    print(f"of {seconds:.0f} readings each page heard {readings:.1f}")
    print(f"the daemon, of one core: {alone:.1f} % with no page, {busy:.1f} % with {clients}")
    one_min, *_ = os.getloadavg()
    print(f"the machine's load meanwhile: {one_min:.1f} on {os.cpu_count()} cores")
    late_ms = 1000.0 * sorted(heard)[int(0.99 * len(heard))] if heard else float("inf")
    for what, figure, limit in (
        ("99 of 100 readings within, ms", late_ms, WITHIN_MS),
        ("the daemon's share of a core, %", busy, MOST_CPU),
    ):
        verdict = "ok" if figure <= limit else "TOO MUCH"
        print(f"{what:<52} {figure:8.1f} (at most {limit:.0f}): {verdict}")


async def share(pid: int, seconds: float) -> float:
    """Percent of one core that the process takes meanwhile."""
    spent, begun_s = spent_s(pid), time.monotonic()
    await asyncio.sleep(seconds)
    return 100.0 * (spent_s(pid) - spent) / (time.monotonic() - begun_s)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--clients", type=int, default=100, help="how many; default: 100")
    parser.add_argument("--seconds", type=float, default=120.0, help="how long; default: 120")
    parser.add_argument("--watch", metavar="DIR", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.watch is not None:
        watch(options.watch)
        return
    with tempfile.TemporaryDirectory(prefix="spyhole-bench-") as scratch:
        words = ("-m", "tests.bench_clients", "--watch", str(Path(scratch) / "data"))
        daemon = subprocess.Popen(
            [sys.executable, *words], stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )
        try:
            asyncio.run(measure(daemon, options.clients, options.seconds))
        finally:
            daemon.terminate()
            daemon.wait(30.0)
            assert daemon.stdout is not None
            daemon.stdout.close()


if __name__ == "__main__":
    main()
