"""A potter with a phone: writes notes, acknowledges alerts, and remembers what was answered.

What the page has answered with "it is written" (200 to 204 but 202) is a promise; what it only
keeps in memory (202) or has not answered is none.
"""

from __future__ import annotations

import http.client
import json
import threading
import time
import uuid
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from supervisor.record.looking import RecordReader
from tests.campaign.listener import Listener

ACCEPTED_ONLY = 202
_ANSWERS_WITHIN_S = 15.0


@dataclass(slots=True)
class Promises:
    """What the page has said is written."""

    notes: list[str] = field(default_factory=list)
    acknowledged: set[str] = field(default_factory=set)
    shelves: list[str] = field(default_factory=list)
    """Looks at cones, by the shelf that was named with each."""
    in_memory: list[str] = field(default_factory=list)
    """Notes of which the answer was that they are only kept in memory as yet."""

    def count(self) -> int:
        """How many promises."""
        return len(self.notes) + len(self.acknowledged) + len(self.shelves)

    def must_be_written(self) -> int:
        """What was only in memory must be on the disk from now on; how much that is."""
        count = len(self.in_memory)
        self.notes += self.in_memory
        self.in_memory.clear()
        return count

    def missing(self, record: RecordReader, firing_id: str) -> list[str]:
        """The promises that the record does not hold."""
        notes = {note.text for note in record.notes(firing_id)}
        seen = {kept.seen.shelf for kept in record.observations(firing_id)}
        acknowledged = {
            alert.id for alert in record.alerts(firing_id) if alert.acknowledged_at_s is not None
        }
        return [
            *(text for text in self.notes if text not in notes),
            *(shelf for shelf in self.shelves if shelf not in seen),
            *(f"acknowledgement of {one}" for one in self.acknowledged - acknowledged),
        ]


class Page:
    """Asks the page's server once for each request, as a phone that wakes up does."""

    def __init__(self, address: str) -> None:
        where = urlsplit(address)
        self._host, self._port = str(where.hostname), where.port or 80

    def ask(self, method: str, path: str, body: object = None) -> tuple[int, bytes]:
        """Status and body of the answer. Raises OSError or HTTPException when there is none."""
        connection = http.client.HTTPConnection(self._host, self._port, timeout=_ANSWERS_WITHIN_S)
        try:
            headers = {} if body is None else {"Content-Type": "application/json"}
            text = None if body is None else json.dumps(body)
            connection.request(method, path, text, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()


class Person:
    """Writes through the page until told to stop, and keeps the promises."""

    def __init__(self, ear: Listener, name: str = "Ann", pause_s: float = 0.4) -> None:
        self.promises = Promises()
        self.refused: list[str] = []
        """Answers that should not have been given."""
        self._ear = ear
        self._name = name
        self._pause_s = pause_s
        self._number = 0
        self._page: Page | None = None
        self._answered = threading.Event()
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def open(self, address: str) -> None:
        """Open the page at this address."""
        self._page = Page(address)

    def begin(self, address: str) -> None:
        """Open the page at this address and write."""
        self.open(address)
        self._stop.clear()
        self._thread = threading.Thread(target=self._write_on, name="person")
        self._thread.start()

    def end(self) -> None:
        """Stop writing."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def wait_for_answer(self, within_s: float) -> bool:
        """Wait until the next promise is made."""
        self._answered.clear()
        return self._answered.wait(within_s)

    def _write_on(self) -> None:
        while not self._stop.is_set():
            self.note()
            self.acknowledge_one()
            if self._number % 5 == 0:
                self.look()
            self._stop.wait(self._pause_s)

    def note(self) -> int | None:
        """Write a note; the answer's status, None without one."""
        self._number += 1
        text = f"{self._name}'s note {self._number}"
        body = {"text": text, "by": self._name, "client_id": str(uuid.uuid4())}
        status = self._ask("/api/notes", body)
        if self._is_promise(status):
            self.promises.notes.append(text)
            self._answered.set()
        elif status == ACCEPTED_ONLY:
            self.promises.in_memory.append(text)
        return status

    def look(self) -> int | None:
        """Write what a cone shows."""
        shelf = f"{self._name}'s shelf {self._number}"
        body = {"cone": "6", "clock": "1", "shelf": shelf, "client_id": str(uuid.uuid4())}
        status = self._ask("/api/cones", body)
        if self._is_promise(status):
            self.promises.shelves.append(shelf)
            self._answered.set()
        return status

    def acknowledge_one(self) -> int | None:
        """Acknowledge the oldest alert heard of and not acknowledged."""
        for message in self._ear.alerts():
            # One that tells of several together has none of its own, and wants no answer.
            alert = message["alert"]
            if alert is None or alert in self.promises.acknowledged:
                continue
            status = self._ask(f"/api/alerts/{alert}/acknowledge", {"by": self._name})
            if self._is_promise(status):
                self.promises.acknowledged.add(alert)
                self._answered.set()
            return status
        return None

    @staticmethod
    def _is_promise(status: int | None) -> bool:
        return status is not None and 200 <= status < 300 and status != ACCEPTED_ONLY

    def _ask(self, path: str, body: object) -> int | None:
        assert self._page is not None
        try:
            status, text = self._page.ask("POST", path, body)
        except (OSError, http.client.HTTPException):
            # Nobody is there at the moment: the daemon is dead, or dies while it is asked.
            time.sleep(0.05)
            return None
        if not 200 <= status < 300 and status != 503:
            self.refused.append(f"{path} was answered {status}: {text[:120]!r}")
        return status
