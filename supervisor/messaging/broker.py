"""A broker inside the program, so that the demo needs nothing installed.

Knows how to start and stop amqtt on a local port. It is not for a real kiln: it dies with the
daemon, so its last will is never sent, and it forgets what an absent client should have got.
"""

from __future__ import annotations

import asyncio
import logging
from types import TracebackType

from amqtt.broker import Broker
from amqtt.contexts import BrokerConfig, ListenerConfig
from amqtt.errors import BrokerError

from supervisor.core.errors import PeerError

LOCAL = "127.0.0.1"

_PLUGINS: dict[str, dict[str, object]] = {
    "amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}
}


class EmbeddedBroker:
    """An MQTT broker for this machine, for as long as an ``async with`` block lasts."""

    def __init__(self, host: str = LOCAL, port: int = 0) -> None:
        """``port`` 0 takes a free one; ``port`` then says which."""
        self.host = host
        self._wanted_port = port
        self._port: int | None = None
        self._broker: Broker | None = None

    @property
    def port(self) -> int:
        """Where it listens. Raises PeerError unless it runs."""
        if self._port is None:
            raise PeerError("the demo's broker does not run")
        return self._port

    async def __aenter__(self) -> EmbeddedBroker:
        """Start. Raises PeerError if the port is taken or can't be used."""
        # A client that comes and goes is no news, and failing to start is told by the error.
        for name in ("amqtt", "transitions"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
        where = f"{self.host}:{self._wanted_port}"
        listener = ListenerConfig(bind=where)
        broker = Broker(BrokerConfig(listeners={"default": listener}, plugins=dict(_PLUGINS)))
        try:
            await broker.start()
        except BrokerError as error:
            cause = error.__cause__
            why = cause.strerror if isinstance(cause, OSError) and cause.strerror else error
            raise PeerError(
                f"the demo's broker can't listen on {where} ({why}): name another port, or 0"
            ) from None
        self._broker = broker
        # amqtt does not say which free port it was given.
        instance = broker._servers["default"].instance  # noqa: SLF001
        assert isinstance(instance, asyncio.Server)  # noqa: S101 - a listener of type tcp
        self._port = int(instance.sockets[0].getsockname()[1])
        return self

    async def __aexit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Stop listening and let go of every client."""
        broker, self._broker, self._port = self._broker, None, None
        if broker is not None:
            await broker.shutdown()
