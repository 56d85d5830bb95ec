"""A hundred clients of the page that hang: the daemon goes on, and serves those that don't.

A third open the live stream and never read it; a third begin a request and never end it; a third
post a note one byte at a time; who is hung up on comes back at once. At last a crowd comes that
is larger than the number of files that Debian lets a process open. All stay until the daemon is
told to stop, which they must not delay either.
"""

from __future__ import annotations

import json
import select
import socket
import time
from contextlib import ExitStack, suppress
from itertools import pairwise
from pathlib import Path
from statistics import median
from urllib.parse import urlsplit

from supervisor.commands.service import interval_for
from tests.campaign.judging import all_heard, complaints, ends_well, judge
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.person import Page, Person
from tests.campaign.process import open_files, processor_s, resident_kb
from tests.campaign.record import copy_of
from tests.campaign.scenarios import busy_firing, owed
from tests.campaign.shed import Shed
from tests.daemons import Daemon, wait_until

SPEED = 60.0
_AROUND_MIN = 0.4
"""Real minutes before the clients come and after."""
MOST_GROWTH_MB = 15.0
"""A hundred connections with a full buffer of 64 KiB each are 6.4 MB, and a stack each."""
ANSWERS_WITHIN_S = 10.0
"""After which a page gives a request up (``web.writing``)."""
LONGEST_REAL_GAP_S = 5.0
MOST_KB = 1024
FILES = ("prlimit", "--nofile=1024:1024")
CROWD_S = 5.0


def run(
    progress: Progress,
    folder: Path,
    *,
    clients: int = 100,
    crowd: int = 1200,
    minutes: float = 3.0,
    speed: float = SPEED,
) -> Outcome:
    """So many clients that hang for so many real minutes."""
    outcome = Outcome("clients", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    folder.mkdir(parents=True)
    hours = (minutes + _AROUND_MIN) * speed / 60.0
    scenario = busy_firing(folder / "firing.toml", 701, hours=hours, flap_every_min=15.0)
    wanted = owed(scenario, speed=speed, interval_s=interval_for(speed))
    with Shed(folder) as shed, shed.watch(scenario, speed, FILES) as daemon, ExitStack() as stack:
        person = Person(shed.listener)
        person.open(daemon.page)
        wait_until(lambda: daemon.snapshot()["reading_age_s"] is not None, "it reads")
        answers_s = _served(person, daemon, 10)
        usual_s = median(answers_s)
        before_kb, before_s = resident_kb(daemon.pid), processor_s(daemon.pid)
        hung = [stack.enter_context(_Hung(daemon.page, n)) for n in range(clients)]
        begun_s = time.monotonic()
        most_kb, files, answers_s = before_kb, 0, []
        while (since_s := time.monotonic() - begun_s) < minutes * 60.0:
            for one in hung:
                one.drip()
            answers_s += _served(person, daemon, 3)
            most_kb = max(most_kb, resident_kb(daemon.pid))
            files = max(files, open_files(daemon.pid))
            if len(answers_s) % 60 == 0:
                progress(f"{since_s:.0f} s, {(most_kb - before_kb) / MOST_KB:.1f} MB more")
            time.sleep(1.0)
        crowded_s, crowded_kb, heard = _crowd(stack, shed, daemon, crowd)
        if heard == 0:
            outcome.breaks("no reading was told while the crowd was there")
        busy = (processor_s(daemon.pid) - before_s) / (time.monotonic() - begun_s)
        hung_up = sum(one.hung_up for one in hung)
        while not any(line.startswith("the readings are over") for line in daemon.lines):
            assert time.monotonic() - begun_s < minutes * 60.0 + 300.0, "it does not end"
            time.sleep(0.5)
        all_heard(shed)
        took_s = ends_well(outcome, daemon)
        complaints(outcome, daemon)
        much = judge(outcome, shed, person, wanted, lost_with_kills=set())
    with copy_of(shed.data) as record:
        times_s = [reading.elapsed_s for reading in record.readings(record.firings()[0].id)]
    gap_s = max(after - before for before, after in pairwise(times_s)) / speed
    if gap_s > LONGEST_REAL_GAP_S:
        outcome.slows(f"no reading was taken for {gap_s:.1f} s")
    if max(answers_s) > ANSWERS_WITHIN_S:
        outcome.slows(f"a client that does not hang waited {max(answers_s):.1f} s for an answer")
    grown_mb = (max(most_kb, crowded_kb) - before_kb) / MOST_KB
    if grown_mb > MOST_GROWTH_MB:
        outcome.breaks(f"memory grew by {grown_mb:.1f} MB")
    outcome.done = f"{clients} clients that hang for {minutes:g} minutes, then {crowd:,} more"
    outcome.figures.append(
        f"{much}; memory grew by {grown_mb:.1f} MB at most; {files} files open at most; "
        f"{100.0 * busy:.0f} % of a core at {speed / interval_for(speed):.0f} readings a second; "
        f"{hung_up} times one was hung up on and came back; a client that does not hang was "
        f"answered in {1000 * median(answers_s):.0f} ms ({1000 * usual_s:.0f} ms without the "
        "others), at most "
        f"{1000 * max(answers_s):.0f} ms; longest time between two readings {gap_s:.1f} s; "
        f"with {crowd:,} more clients and 1,024 files allowed, {heard} readings told in "
        f"{crowded_s:.0f} s; told to stop, the daemon took {took_s:.1f} s"
    )
    return outcome


def _crowd(stack: ExitStack, shed: Shed, daemon: Daemon, number: int) -> tuple[float, int, int]:
    """Let so many come at once and stay: how long, how much memory, how many readings heard."""
    where = urlsplit(daemon.page)
    before = len(shed.listener.readings())
    begun_s = time.monotonic()
    for _ in range(number):
        one = stack.enter_context(socket.socket())
        one.settimeout(0.2)
        with suppress(OSError):
            one.connect((str(where.hostname), where.port or 80))
            one.sendall(b"GET /api/snapshot HTTP/1.1\r\nHost: x")
    most_kb = 0
    until_s = time.monotonic() + CROWD_S
    while time.monotonic() < until_s:
        most_kb = max(most_kb, resident_kb(daemon.pid))
        time.sleep(0.2)
    return time.monotonic() - begun_s, most_kb, len(shed.listener.readings()) - before


def _served(person: Person, daemon: Daemon, times: int) -> list[float]:
    """How many seconds the page takes for the one who reads and writes and does not hang."""
    page = Page(daemon.page)
    took_s = []
    for _ in range(times):
        asked_s = time.monotonic()
        status, body = page.ask("GET", "/api/snapshot")
        took_s.append(time.monotonic() - asked_s)
        assert status == 200
        assert json.loads(body)["firing"]
    person.note()
    person.acknowledge_one()
    return took_s


class _Hung:
    """A client that hangs in one of three ways, and comes back when it is hung up on."""

    def __init__(self, address: str, number: int) -> None:
        self._where = urlsplit(address)
        self._number = number
        self.hung_up = 0
        self._come()

    def _come(self) -> None:
        where, number = self._where, self._number
        self._socket = socket.create_connection((str(where.hostname), where.port or 80), 10.0)
        # A phone far away takes little at a time.
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        host = f"Host: {where.netloc}\r\n"
        self._rest = b""
        if number % 3 == 0:
            self._send(f"GET /api/stream HTTP/1.1\r\n{host}Accept: text/event-stream\r\n\r\n")
        elif number % 3 == 1:
            self._send(f"GET /api/snapshot HTTP/1.1\r\n{host}X-Slow: ")
            self._rest = b"x" * 1_000
        else:
            body = json.dumps({"text": f"a slow note {number} " + "." * 900, "by": "slow"})
            self._send(
                f"POST /api/notes HTTP/1.1\r\n{host}Content-Type: application/json\r\n"
                f"Content-Length: {len(body)}\r\n\r\n"
            )
            self._rest = body.encode()

    def _send(self, text: str) -> None:
        self._socket.sendall(text.encode())

    def drip(self) -> None:
        """Send one byte more, if there is one; come back where the server has hung up."""
        if self._is_hung_up():
            self.hung_up += 1
            self._socket.close()
            with suppress(OSError):
                self._come()
        elif self._rest:
            with suppress(OSError):
                self._socket.send(self._rest[:1])
                self._rest = self._rest[1:]

    def _is_hung_up(self) -> bool:
        """Whether the line is dead. What was sent stays unread."""
        poller = select.poll()
        poller.register(self._socket, select.POLLRDHUP)
        return bool(poller.poll(0))

    def __enter__(self) -> _Hung:
        return self

    def __exit__(self, *_: object) -> None:
        self._socket.close()
