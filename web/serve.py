"""Serve the page on a port, and stop when told, open pages or not.

Knows sockets and uvicorn, nothing of what is served. It touches no signal handler: who owns
the process cancels ``serve``, and that is what ends the streams.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import socket
from collections.abc import Callable, Iterator

import uvicorn
from fastapi import FastAPI

from supervisor.core.errors import PeerError
from web.app import end_streams
from web.connections import PatientProtocol

BACKLOG = 64
"""Connections that wait to be taken, and that asyncio takes at one go, before any of them can be
hung up on: together with ``connections.MOST`` well below the files that a process may open."""
STREAMS_END_S = 1.5
"""Real seconds that open connections have to end by themselves before they are cut."""


class _Server(uvicorn.Server):
    """uvicorn without its signal handlers."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


def bind(host: str, port: int) -> socket.socket:
    """A listening socket on ``host`` (name or address) and ``port`` (0: a free one).

    Raises PeerError, in one sentence, when the address can't be had.
    """
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except (OSError, UnicodeError) as error:
        raise PeerError(
            f"The page can't be served at “{host}”: no such address; use an IP address of this "
            "machine, 127.0.0.1 for this machine only, or 0.0.0.0 for the whole network."
        ) from error
    listener = socket.socket(family, kind, protocol)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(BACKLOG)
        listener.setblocking(False)
    except OSError as error:
        listener.close()
        raise PeerError(_why_not(host, port, error)) from error
    return listener


def _why_not(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {port} on {host} is taken by another program; stop that, or choose another "
            "port (0 finds a free one)."
        )
    if error.errno == errno.EACCES:
        return f"Port {port} needs more rights than spyhole has; choose one from 1024 upwards."
    reason = error.strerror or str(error)
    return f"The page can't be served on port {port} of {host}: {reason.lower()}."


async def serve(
    app: FastAPI,
    listener: socket.socket,
    *,
    on_ready: Callable[[int], None] | None = None,
) -> None:
    """Serve ``app`` on ``listener`` (of ``bind``) until cancelled.

    ``on_ready`` is called once, with the port really used, when connections are taken. When
    cancelled it ends the open streams, waits for open requests at most 1.5 s, lets go of the
    port and raises CancelledError.
    """
    real_port = listener.getsockname()[1]
    server = _Server(
        uvicorn.Config(
            app,
            log_config=None,
            access_log=False,
            server_header=False,
            lifespan="off",
            http=PatientProtocol,
            backlog=BACKLOG,
            ws="none",
            timeout_graceful_shutdown=2,
        )
    )
    task = asyncio.create_task(server.serve(sockets=[listener]), name="page server")
    try:
        while not server.started and not task.done():
            await asyncio.sleep(0.01)
        if on_ready is not None and server.started:
            on_ready(real_port)
        await asyncio.shield(task)
    finally:
        end_streams(app)
        server.should_exit = True
        await _finish(server, task)
        listener.close()


async def _finish(server: uvicorn.Server, task: asyncio.Task[None]) -> None:
    """Wait for the server's end; cut what has not ended by itself in time."""
    _, late = await asyncio.wait([task], timeout=STREAMS_END_S)
    if late:
        for connection in list(server.server_state.connections):
            transport = getattr(connection, "transport", None)
            if transport is not None:
                transport.abort()
    await asyncio.wait([task])
    if not task.cancelled():
        task.result()
