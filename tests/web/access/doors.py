"""A page with a PIN, people in the network in front of it, and a clock that the test winds."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator
from typing import Any

import httpx

from supervisor.core.errors import RecordError
from tests.web.fake_desk import FakeDesk
from web.access.access import Access, Reading
from web.access.gate import OWN_HEADER
from web.access.interface import Deed, KeptDeed, UnreadablePinError
from web.access.pin import Cost, PinHash, hashed
from web.app import create_app

PIN = "581093"
OTHER_PIN = "270416"
WRONG = "000777"
CHEAP = Cost(n=2, r=1, p=1)
PHONE = "192.168.1.20"
OTHER_PHONE = "192.168.1.21"
KILN = "kiln.local:8017"
OWN = {OWN_HEADER: "1"}


class FakeKeys:
    """Keeps a PIN and sessions in memory."""

    def __init__(self, pin: str | None = PIN) -> None:
        self.is_unreadable = False
        self.kept_sessions: str | None = None
        self.disk_refuses = False
        self.set(pin)

    def set(self, pin: str | None) -> None:
        """What `spyhole pin` does."""
        self.hash: PinHash | None = None if pin is None else hashed(pin, CHEAP)

    def pin(self) -> PinHash | None:
        if self.is_unreadable:
            raise UnreadablePinError("damaged")
        return self.hash

    def how_to_set(self) -> str:
        return "spyhole pin --data /somewhere"

    def load_sessions(self) -> str | None:
        return self.kept_sessions

    def save_sessions(self, text: str) -> None:
        if self.disk_refuses:
            raise OSError(28, "No space left on device")
        self.kept_sessions = text


class FakeTrail:
    """Keeps deeds in memory."""

    def __init__(self) -> None:
        self.deeds: list[Deed] = []
        self.disk_refuses = False

    async def add(self, deed: Deed) -> None:
        if self.disk_refuses:
            raise RecordError("the disk is full")
        self.deeds.append(deed)

    async def latest(self, limit: int) -> list[KeptDeed]:
        kept = [
            KeptDeed(number, "2025-03-15T04:00:00+01:00", "f1", deed)
            for number, deed in enumerate(self.deeds, start=1)
        ]
        return kept[::-1][:limit]


class Door:
    """An access with its parts at hand, and the page behind it."""

    def __init__(
        self,
        pin: str | None = PIN,
        *,
        reading: Reading = Reading.OPEN,
        behind_proxy: bool = False,
        keys: FakeKeys | None = None,
    ) -> None:
        self.keys = keys or FakeKeys(pin)
        self.trail = FakeTrail()
        self.now_s = 1000.0
        self.wall_s = 1_700_000_000.0
        self.warnings: list[str] = []
        self.desk = FakeDesk()
        self.access = Access(
            self.keys,
            self.trail,
            reading=reading,
            clock=lambda: self.now_s,
            wall=lambda: self.wall_s,
            warn=self.warnings.append,
        )
        self.app = create_app(
            self.desk,
            access=self.access,
            allowed_hosts=["kiln.example.org"],
            behind_proxy=behind_proxy,
        )

    @contextlib.asynccontextmanager
    async def opened_from(
        self, address: str = PHONE, *, host: str = KILN, by: str = "http", **more: Any
    ) -> AsyncIterator[httpx.AsyncClient]:
        """A program at ``address`` that keeps cookies and sends the page's own header."""
        transport = httpx.ASGITransport(
            self.app, client=(address, 50_000), raise_app_exceptions=False
        )
        async with httpx.AsyncClient(
            transport=transport, base_url=f"{by}://{host}", headers=more.get("headers", OWN)
        ) as client:
            yield client


async def sign_in(
    client: httpx.AsyncClient, pin: str = PIN, name: str = "Ana", **headers: str
) -> httpx.Response:
    return await client.post("/api/session/begin", json={"pin": pin, "name": name}, headers=headers)


async def note(client: httpx.AsyncClient, text: str = "Damper in", **more: Any) -> httpx.Response:
    return await client.post("/api/notes", json={"text": text} | more)
