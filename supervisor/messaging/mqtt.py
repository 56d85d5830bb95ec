"""The connection to the MQTT broker: keeps it, mends it, and says whether it stands.

Knows the broker and its manners; knows nothing of what is published. It subscribes to nothing,
so that nothing sent by anybody can act on the kiln, and a broker that is away costs the watch
nothing: status is kept until it can be told, readings are dropped, alerts wait in the record.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import random
import re
import socket
import ssl
from collections import deque
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any

import aiomqtt
import paho.mqtt.client as paho
from aiomqtt.exceptions import MqttConnectError

from supervisor.core.errors import InputError, SpyholeError
from supervisor.messaging.outbox import Outbox, StoredMessage
from supervisor.messaging.topics import OFFLINE, ONLINE, Topics, slug, topics_of

RETRY_FIRST_S = 1.0
RETRY_LONGEST_S = 60.0
STATUS_EVERY_S = 60.0
"""Status is repeated so often even when nothing changes."""
_CONNECT_WITHIN_S = 2.5
"""A connection that takes longer is given up; also how long stopping may have to wait for one."""
_ANSWER_WITHIN_S = 10.0
"""An acknowledgement that takes longer means that the broker is gone."""
_FAREWELL_WITHIN_S = 1.0
_READINGS_KEPT = 32
"""Readings between two looks at the connection while it stands; none are kept while it does not."""
# What paho and aiomqtt log of a broken connection is told by `why`, once and in words; without a
# handler of its own it would stand on stderr as well.
_LOG = logging.getLogger(__name__)
_LOG.addHandler(logging.NullHandler())
_ERROR_NUMBER = re.compile(r"^\[Errno -?\d+\] ")


class LinkState(StrEnum):
    """Whether messages get through."""

    OFF = "off"
    """The link does not run."""
    AWAY = "away"
    """The broker can't be reached, refuses, or has not answered yet; it is tried again."""
    CONNECTED = "connected"
    """The broker answers."""


@dataclass(frozen=True, slots=True)
class BrokerSettings:
    """Where the broker is and how it lets spyhole in.

    ``keepalive_s`` decides when the last will is sent after a power cut: one and a half times
    it. ``client_id`` must be one kiln's own, and the same after a restart: a broker that still
    holds the dead connection then drops it at once, not after the new one said ``online``.
    """

    host: str
    port: int = 1883
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    uses_tls: bool = False
    ca_file: Path | None = None
    cert_file: Path | None = None
    key_file: Path | None = None
    keepalive_s: int = 20
    client_id: str | None = None

    def tls_context(self) -> ssl.SSLContext | None:
        """What TLS needs, ``None`` without TLS. Raises InputError for files that don't do."""
        if not self.uses_tls:
            return None
        try:
            context = ssl.create_default_context(cafile=self.ca_file)
            if self.cert_file is not None:
                context.load_cert_chain(self.cert_file, self.key_file)
        except OSError as error:
            named = [str(f) for f in (self.ca_file, self.cert_file, self.key_file) if f]
            raise InputError(
                f"the broker's certificates can't be used ({error.strerror or error})",
                where=", ".join(named) or None,
            ) from None
        return context


class MqttLink:
    """One kiln's connection to its broker. ``run`` keeps it until it is cancelled."""

    def __init__(
        self,
        settings: BrokerSettings,
        kiln: str,
        outbox: Outbox,
        *,
        on_change: Callable[[LinkState], None] | None = None,
        sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
        chance: Callable[[], float] = random.random,
        status_every_s: float = STATUS_EVERY_S,
    ) -> None:
        """``on_change`` is called in the event loop whenever ``state`` has changed.

        It is also called when, while away, it first becomes known ``why``; not again for each
        further attempt that fails. ``sleep`` waits between attempts, for a time spread by
        ``chance`` (0 to 1) so that ten kilns do not all knock at once. Raises InputError for a
        kiln's name that makes no topic and for unusable certificates.
        """
        self.topics: Topics = topics_of(kiln)
        self._settings = settings
        self._client_id = settings.client_id or f"spyhole-{slug(kiln)}"
        self._tls = settings.tls_context()
        self._outbox = outbox
        self._on_change = on_change
        self._sleep = sleep
        self._chance = chance
        self._status_every_s = status_every_s
        self._state = LinkState.OFF
        self._why: str | None = None
        self._status: str | None = None
        self._status_changed = asyncio.Event()
        self._readings: deque[str] = deque(maxlen=_READINGS_KEPT)
        self._reading_came = asyncio.Event()

    @property
    def state(self) -> LinkState:
        """Whether messages get through now."""
        return self._state

    @property
    def why(self) -> str | None:
        """Why the broker is away, in words; ``None`` while it is not, or not known to be."""
        return self._why

    def set_status(self, status_json: str) -> None:
        """Tell this status: now or, if the broker is away, as soon as it is back."""
        if status_json != self._status:
            self._status = status_json
            self._status_changed.set()

    def send_reading(self, reading_json: str) -> None:
        """Tell this reading if the broker is there; else it is dropped."""
        if self._state is LinkState.CONNECTED:
            self._readings.append(reading_json)
            self._reading_came.set()

    async def run(self) -> None:
        """Keep the connection until cancelled; then say ``offline`` and take leave."""
        failures = 0
        self._change(LinkState.AWAY, None)
        try:
            while True:
                try:
                    await self._one_connection()
                except* (aiomqtt.MqttError, OSError) as group:
                    if self._state is LinkState.CONNECTED:
                        failures = 0
                    self._change(LinkState.AWAY, self._in_words(_first_of(group)))
                await self._sleep(self._pause_s(failures))
                failures += 1
        finally:
            self._change(LinkState.OFF, None)

    async def _one_connection(self) -> None:
        """Connect and publish. Ends only by an error or by being cancelled."""
        client = _Client(self._settings, self._client_id, self._tls, self.topics)
        try:
            await client.connect()
            await client.say(self.topics.availability, ONLINE)
            self._change(LinkState.CONNECTED, None)
            self._status_changed.set()
            async with asyncio.TaskGroup() as group:
                group.create_task(client.watch())
                group.create_task(self._tell_status(client))
                group.create_task(self._tell_readings(client))
                group.create_task(self._outbox.deliver(client.deliver))
        except asyncio.CancelledError:
            if self._state is LinkState.CONNECTED:
                with contextlib.suppress(aiomqtt.MqttError):
                    await client.say(self.topics.availability, OFFLINE, within_s=_FAREWELL_WITHIN_S)
            raise
        finally:
            self._readings.clear()
            await client.leave()

    async def _tell_status(self, client: _Client) -> None:
        while True:
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(self._status_every_s):
                    await self._status_changed.wait()
            self._status_changed.clear()
            # Also mends what the will of an older, forgotten connection may have said.
            await client.say(self.topics.availability, ONLINE)
            if self._status is not None:
                await client.say(self.topics.status, self._status)

    async def _tell_readings(self, client: _Client) -> None:
        while True:
            await self._reading_came.wait()
            self._reading_came.clear()
            while self._readings:
                await client.tell(self.topics.readings, self._readings.popleft(), qos=0)

    def _change(self, state: LinkState, why: str | None) -> None:
        is_news = state is not self._state or (self._why is None and why is not None)
        self._why = why
        if is_news:
            self._state = state
            if self._on_change is not None:
                self._on_change(state)

    def _pause_s(self, failures: int) -> float:
        """Twice as long after each failure, up to a limit, less up to a half by chance."""
        longest_s = min(RETRY_FIRST_S * 2.0 ** min(failures, 16), RETRY_LONGEST_S)
        return longest_s * (1.0 - 0.5 * self._chance())

    def _in_words(self, error: BaseException) -> str:
        where = f"{self._settings.host}:{self._settings.port}"
        if isinstance(error, SpyholeError):
            return str(error)
        if isinstance(error, MqttConnectError):
            return f"the broker at {where} refuses: {error}"
        if self._state is LinkState.CONNECTED:
            return f"the broker at {where} answers no more"
        return f"the broker at {where} does not answer: {_ERROR_NUMBER.sub('', str(error))}"


class _Client(aiomqtt.Client):
    """One connection, from its making to its end."""

    def __init__(
        self,
        settings: BrokerSettings,
        client_id: str,
        tls: ssl.SSLContext | None,
        topics: Topics,
    ) -> None:
        super().__init__(
            settings.host,
            settings.port,
            username=settings.user,
            password=settings.password,
            identifier=client_id,
            will=aiomqtt.Will(topics.availability, OFFLINE, qos=1, retain=True),
            keepalive=settings.keepalive_s,
            timeout=_ANSWER_WITHIN_S,
            tls_context=tls,
            logger=_LOG,
        )
        self._client.connect_timeout = _CONNECT_WITHIN_S

    async def connect(self) -> None:
        """Connect. When cancelled, wait for a connecting thread, which can't be stopped."""
        connecting = asyncio.ensure_future(self.__aenter__())
        try:
            await asyncio.shield(connecting)
        except asyncio.CancelledError:
            if self._client.socket() is None:
                await asyncio.wait((connecting,), timeout=_CONNECT_WITHIN_S)
            connecting.cancel()
            await asyncio.wait((connecting,))
            if not connecting.cancelled():
                connecting.exception()
            raise
        except ValueError as error:
            # A host's name that can't be one ("a..b") is no OSError to Python.
            raise aiomqtt.MqttError(str(error)) from None

    # paho asks for turns at the socket from within other calls, and from the connecting thread;
    # aiomqtt grants them a moment later by the number of the socket's file, which by then may be
    # closed, or somebody else's. So here the socket itself is asked at that moment.

    def _on_socket_open(self, client: paho.Client, _userdata: Any, sock: Any) -> None:
        """Read whenever there is something to read."""

        def read() -> None:
            while True:
                client.loop_read()
                still = client.socket()
                if not isinstance(still, ssl.SSLSocket) or still.pending() == 0:
                    return

        def begin() -> None:
            if sock.fileno() >= 0:
                self._loop.add_reader(sock.fileno(), self._or_disconnected, read)
                self._misc_task = self._loop.create_task(self._misc_loop())

        self._loop.call_soon_threadsafe(begin)

    def _on_socket_register_write(self, client: paho.Client, _userdata: Any, sock: Any) -> None:
        """Write as soon as the socket takes something."""

        def begin() -> None:
            if sock.fileno() >= 0:
                self._loop.add_writer(sock.fileno(), self._or_disconnected, client.loop_write)

        self._loop.call_soon_threadsafe(begin)

    def _on_disconnect(self, *arguments: Any, **named: Any) -> None:
        """Note how the connection ended, unless it was given up before it stood.

        aiomqtt then asks a cancelled future how it went, which raises in the middle of paho's
        leave-taking, and the socket would stay open.
        """
        if not self._connected.cancelled():
            super()._on_disconnect(*arguments, **named)

    def _or_disconnected(self, turn: Callable[[], object]) -> None:
        """Take a turn; whatever goes wrong in it means that the connection is broken."""
        try:
            turn()
        except Exception as error:  # the network's, the TLS library's or paho's own
            if not self._disconnected.done():
                self._disconnected.set_exception(error)

    async def watch(self) -> None:
        """Raise MqttError when the connection breaks."""
        async for _ in self.messages:
            """Nothing is subscribed to, so nothing comes."""

    async def say(self, topic: str, payload: str, within_s: float | None = None) -> None:
        """Publish something retained, and wait for the acknowledgement."""
        await self.tell(topic, payload, qos=1, retain=True, within_s=within_s)

    async def deliver(self, message: StoredMessage) -> None:
        """Publish a stored message, and wait for the acknowledgement."""
        await self.tell(message.topic, message.payload, qos=message.qos, retain=message.retain)

    async def tell(
        self,
        topic: str,
        payload: str,
        *,
        qos: int,
        retain: bool = False,
        within_s: float | None = None,
    ) -> None:
        """Publish; with a quality of service above 0, wait for the acknowledgement."""
        task = asyncio.current_task()
        cancelled_before = task.cancelling() if task is not None else 0
        await self.publish(topic, payload, qos=qos, retain=retain, timeout=within_s)
        # Up to Python 3.11 asyncio.wait_for, which aiomqtt waits with, forgets a cancellation
        # that comes together with the answer (python/cpython#86296).
        if task is not None and task.cancelling() > cancelled_before:
            raise asyncio.CancelledError

    async def leave(self) -> None:
        """Close the connection, however far it got; an orderly leave sends no will."""
        with contextlib.suppress(OSError):
            self._client.disconnect()
            self._client.loop_write()
        sock = self._client.socket()
        if isinstance(sock, socket.socket):
            # The broker takes nothing any more, not even the farewell.
            self._loop.remove_reader(sock)
            self._loop.remove_writer(sock)
            sock.close()
        if self._misc_task is not None:
            self._misc_task.cancel()
            await asyncio.wait((self._misc_task,))
        if self._disconnected.done():
            self._disconnected.exception()


def _first_of(group: BaseExceptionGroup[BaseException]) -> BaseException:
    error: BaseException = group
    while isinstance(error, BaseExceptionGroup):
        error = error.exceptions[0]
    return error
