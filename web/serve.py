"""Serve the page on a port, and stop when told, open pages or not.

Knows sockets and uvicorn, nothing of what is served. It touches no signal handler: who owns
the process cancels ``serve``, and that is what ends the streams.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import socket
import ssl
import weakref
from collections.abc import Callable, Iterator

import uvicorn
from fastapi import FastAPI

from supervisor.core.errors import PeerError
from web.app import end_streams
from web.connections import MOST, PatientProtocol

BACKLOG = 64
"""Connections that wait to be taken, and that asyncio takes at one go, before any of them can be
hung up on: together with ``connections.MOST`` well below the files that a process may open."""
ON_THIS_MACHINE = ["127.0.0.1", "::1"]
"""Where a proxy may ask from that says for whom it asks."""
STREAMS_END_S = 1.5
"""Real seconds that open connections have to end by themselves before they are cut."""


class _Server(uvicorn.Server):
    """uvicorn without its signal handlers."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


class CountedListener(socket.socket):
    """A listening socket that takes no more connections than the page may have.

    By HTTPS a connection costs a file from its first byte, long before ``PatientProtocol`` knows
    of it: whoever never ends the handshake would otherwise be counted by nobody.
    """

    def __init__(self, *words: int) -> None:
        super().__init__(*words)
        self._taken: weakref.WeakSet[socket.socket] = weakref.WeakSet()

    def accept(self) -> tuple[socket.socket, object]:
        """The next connection; BlockingIOError where there is none, or it was one too many."""
        connection, address = super().accept()
        open_now = sum(one.fileno() >= 0 for one in self._taken)
        if open_now >= MOST:
            connection.close()
            raise BlockingIOError(errno.EAGAIN, "too many connections")
        self._taken.add(connection)
        return connection, address


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
    listener = CountedListener(family, kind, protocol)
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
    tls: ssl.SSLContext | None = None,
    behind_proxy: bool = False,
) -> None:
    """Serve ``app`` on ``listener`` (of ``bind``) until cancelled; with ``tls`` by HTTPS.

    With ``behind_proxy`` a proxy on this machine is believed for whom it asks, and how that one
    came; from anybody else such a word counts for nothing.

    ``on_ready`` is called once, with the port really used, when connections are taken. When
    cancelled it ends the open streams, waits for open requests at most 1.5 s, lets go of the
    port and raises CancelledError.
    """
    real_port = listener.getsockname()[1]
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        server_header=False,
        lifespan="off",
        http=PatientProtocol,
        backlog=BACKLOG,
        ws="none",
        timeout_graceful_shutdown=2,
        proxy_headers=behind_proxy,
        forwarded_allow_ips=ON_THIS_MACHINE,
    )
    config.load()
    config.ssl = tls
    server = _Server(config)
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
