"""A real server on a free port, for the tests that need sockets."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI

from tests.web.fake_desk import FakeDesk
from web.app import create_app
from web.serve import bind, serve


@dataclass
class Serving:
    """The running server; ``stop`` ends it as the service does, by cancelling."""

    port: int
    task: asyncio.Task[None]

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    async def stop(self) -> None:
        self.task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await self.task


@contextlib.asynccontextmanager
async def serving(
    desk: FakeDesk, *, port: int = 0, app: FastAPI | None = None
) -> AsyncIterator[Serving]:
    """Serve ``desk`` on 127.0.0.1 until the block ends."""
    ready: asyncio.Future[int] = asyncio.get_running_loop().create_future()
    listener = bind("127.0.0.1", port)
    task = asyncio.create_task(serve(app or create_app(desk), listener, on_ready=ready.set_result))
    both: set[asyncio.Future[Any]] = {task, ready}
    await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
    if task.done():
        task.result()
    server = Serving(ready.result(), task)
    try:
        yield server
    finally:
        await server.stop()


class Line:
    """A wire between browser and server that can be cut and can fall silent."""

    def __init__(self) -> None:
        self.port = 0
        self._to_port = 0
        self._server: asyncio.Server | None = None
        self._writers: set[asyncio.StreamWriter] = set()
        self._flows = asyncio.Event()
        self._flows.set()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    async def lay(self, to_port: int) -> None:
        """Connect to a server on ``to_port``, at the same address as before."""
        self._to_port = to_port
        self._server = await asyncio.start_server(self._join, "127.0.0.1", self.port)
        self.port = self._server.sockets[0].getsockname()[1]

    def silence(self) -> None:
        """Let nothing through any more, and tell no one."""
        self._flows.clear()

    async def cut(self) -> None:
        """End every connection without a word and take no more, as a power cut does."""
        self._flows.set()
        if self._server is not None:
            self._server.close()
        for writer in self._writers:
            writer.transport.abort()
        await asyncio.sleep(0)

    async def _join(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self._to_port)
        self._writers |= {writer, far_writer}
        await asyncio.gather(self._carry(reader, far_writer), self._carry(far_reader, writer))

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with contextlib.suppress(ConnectionError):
            while data := await reader.read(65536):
                await self._flows.wait()
                writer.write(data)
                await writer.drain()
        writer.close()
        self._writers.discard(writer)


@contextlib.asynccontextmanager
async def line_to(server: Serving) -> AsyncIterator[Line]:
    """A line to ``server`` until the block ends."""
    line = Line()
    await line.lay(server.port)
    try:
        yield line
    finally:
        await line.cut()
