"""One connection to the broker, from its making to its end.

Knows aiomqtt, paho underneath and their manners; knows nothing of what is published, and asks
the broker for nothing.

MQTT 5, because there a broker says why it refuses, what it takes at most, and that it did not
let a message through: by MQTT 3.1.1 a warning that an access list holds back is acknowledged
like any other, and lost in silence. A broker that knows only 3.1.1 is spoken to in that.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import socket
import ssl
from typing import Any

import aiomqtt
import paho.mqtt.client as paho
from paho.mqtt.enums import LogLevel
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from supervisor.messaging.settings import BrokerSettings
from supervisor.messaging.topics import OFFLINE, Topics

CONNECT_WITHIN_S = 2.5
"""A connection that takes longer is given up; also how long stopping may have to wait for one."""
ANSWER_WITHIN_S = 10.0
"""An acknowledgement that takes longer means that the broker is gone."""
SESSION_S = 2
"""The broker remembers a name for so long after its connection has broken, and tells whoever
comes under that name meanwhile: see ``name.py``."""

UNSUPPORTED_VERSION = 0x84
SESSION_TAKEN_OVER = 0x8E
"""Reason codes of MQTT 5, section 2.4."""

_PACKET_HEAD = 16
"""Bytes of a PUBLISH beside topic and payload, at most, as we send it (MQTT 5, section 3.3)."""

# What paho and aiomqtt log of a broken connection is told in words by the link, once; without a
# handler of its own it would stand on stderr as well.
_LOG = logging.getLogger(__name__)
_LOG.addHandler(logging.NullHandler())


class NoAnswerError(aiomqtt.MqttError):
    """There is a broker, and it did not answer."""


class ClosedEarlyError(NoAnswerError):
    """The broker closed the connection in place of an answer."""


class RefusedMessageError(aiomqtt.MqttError):
    """The broker did not take a message; the connection stands."""


class TooLargeError(RefusedMessageError):
    """The message is larger than what the broker takes."""


class _TlsSocket(ssl.SSLSocket):
    """Shakes hands within the time that a connection may take, and closes if that fails.

    paho gives a handshake the whole keep-alive, and leaves the socket to the garbage collector.
    """

    def do_handshake(self, block: bool = False) -> None:
        self.settimeout(CONNECT_WITHIN_S)
        try:
            super().do_handshake(block)
        except BaseException:
            self.close()
            raise


class Client(aiomqtt.Client):
    """One connection, from its making to its end."""

    def __init__(
        self,
        settings: BrokerSettings,
        client_id: str,
        tls: ssl.SSLContext | None,
        topics: Topics,
        *,
        speaks_5: bool = True,
    ) -> None:
        self.speaks_5 = speaks_5
        self.session_present = False
        """True if the broker knew another connection under this name a moment ago."""
        self.end: ReasonCode | None = None
        """Why the broker has ended the connection, where it says so."""
        self.complaint = ""
        """The last thing that the library complained of."""
        self.is_lost = False
        """True once the other side, or the network, has ended a connection that stood."""
        self._largest: int | None = None
        self._refusal: ReasonCode | None = None
        self._turn = asyncio.Lock()
        if tls is not None:
            tls.sslsocket_class = _TlsSocket
        properties = None
        if speaks_5:
            properties = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
            properties.SessionExpiryInterval = SESSION_S
        super().__init__(
            settings.host,
            settings.port,
            username=settings.user,
            password=settings.password,
            identifier=client_id,
            protocol=aiomqtt.ProtocolVersion.V5 if speaks_5 else aiomqtt.ProtocolVersion.V311,
            clean_start=False if speaks_5 else paho.MQTT_CLEAN_START_FIRST_ONLY,
            properties=properties,
            will=aiomqtt.Will(topics.availability, OFFLINE, qos=1, retain=True),
            keepalive=settings.keepalive_s,
            timeout=ANSWER_WITHIN_S,
            tls_context=tls,
            logger=_LOG,
            # Else an alert behind a reading waits 40 ms for the broker's word on that.
            socket_options=((socket.IPPROTO_TCP, socket.TCP_NODELAY, 1),),
        )
        self._client.connect_timeout = CONNECT_WITHIN_S
        self._client.on_log = self._on_log

    async def connect(self) -> None:
        """Connect. When cancelled, wait for a connecting thread, which can't be stopped."""
        connecting = asyncio.ensure_future(self.__aenter__())
        try:
            await asyncio.shield(connecting)
        except asyncio.CancelledError:
            if self._client.socket() is None:
                await asyncio.wait((connecting,), timeout=CONNECT_WITHIN_S)
            connecting.cancel()
            await asyncio.wait((connecting,))
            if not connecting.cancelled():
                connecting.exception()
            raise
        except aiomqtt.MqttError as error:
            if self._client.socket() is None or type(error) is not aiomqtt.MqttError:
                raise
            raise NoAnswerError(str(error)) from error
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

    def _on_connect(
        self,
        client: paho.Client,
        userdata: Any,
        flags: paho.ConnectFlags,
        reason_code: ReasonCode,
        properties: Properties | None = None,
    ) -> None:
        """Note what the broker says of itself."""
        self.session_present = self.speaks_5 and bool(flags.session_present)
        self._largest = getattr(properties, "MaximumPacketSize", None)
        super()._on_connect(client, userdata, flags, reason_code, properties)

    def _on_disconnect(
        self,
        client: paho.Client,
        userdata: Any,
        flags: paho.DisconnectFlags,
        reason_code: ReasonCode,
        properties: Properties | None = None,
    ) -> None:
        """Note how the connection ended, unless it was given up before it stood.

        aiomqtt waits for an answer of a broker that has hung up until its patience is at an end,
        and asks a cancelled future how it went, which raises in the middle of paho's
        leave-taking, so that the socket would stay open.
        """
        if flags.is_disconnect_packet_from_server:
            self.end = reason_code
        if self._connected.cancelled():
            return
        if not self._connected.done():
            self._connected.set_exception(ClosedEarlyError(self.complaint or str(reason_code)))
            return
        self.is_lost = True
        super()._on_disconnect(client, userdata, flags, reason_code, properties)
        self._take_note()

    def _on_publish(
        self,
        client: paho.Client,
        userdata: Any,
        mid: int,
        reason_code: ReasonCode,
        properties: Properties,
    ) -> None:
        """Note a refusal: an acknowledgement may say that the message was not let through."""
        if reason_code.is_failure:
            self._refusal = reason_code
        super()._on_publish(client, userdata, mid, reason_code, properties)

    def _on_log(self, _client: paho.Client, _userdata: Any, level: int, text: str) -> None:
        if level == LogLevel.MQTT_LOG_ERR:
            self.complaint = text

    def _or_disconnected(self, turn: Any) -> None:
        """Take a turn; whatever goes wrong in it means that the connection is broken."""
        try:
            turn()
        except Exception as error:  # the network's, the TLS library's or paho's own
            for ending in (self._connected, self._disconnected):
                if not ending.done():
                    ending.set_exception(
                        error
                        if ending is self._disconnected
                        else ClosedEarlyError(str(error) or type(error).__name__)
                    )
                    break
            self.is_lost = True
            self._take_note()

    def _take_note(self) -> None:
        """Look at how it ended, for asyncio complains of an error that nobody has looked at.

        aiomqtt throws it away where the connection breaks in the moment in which it stood.
        """
        for ending in (self._connected, self._disconnected):
            if ending.done() and not ending.cancelled():
                ending.exception()

    async def watch(self) -> None:
        """Raise MqttError when the connection breaks, or has broken."""
        if self.is_lost:
            raise aiomqtt.MqttError("Disconnected as soon as it was connected")
        async for _ in self.messages:
            """Nothing is subscribed to, so nothing comes."""

    async def say(self, topic: str, payload: str, within_s: float | None = None) -> None:
        """Publish something retained, and wait for the acknowledgement."""
        await self.tell(topic, payload, qos=1, retain=True, within_s=within_s)

    async def tell(
        self,
        topic: str,
        payload: str,
        *,
        qos: int,
        retain: bool = False,
        within_s: float | None = None,
    ) -> None:
        """Publish; with a quality of service above 0, wait for the acknowledgement.

        One message at a time is on its way, however few a broker takes at once. Raises
        TooLargeError and RefusedMessageError for what the broker does not take, MqttError
        when the connection is broken.
        """
        size = len(topic.encode()) + len(payload.encode()) + _PACKET_HEAD
        if self._largest is not None and size > self._largest:
            raise TooLargeError(
                f"takes no message larger than {self._largest:,} bytes, and one on {topic} has "
                f"{size:,}"
            )
        if qos == 0:
            await self._publish(topic, payload, 0, retain, within_s)
            return
        async with self._turn:
            self._refusal = None
            await self._publish(topic, payload, qos, retain, within_s)
            if self._refusal is not None:
                raise RefusedMessageError(
                    f"does not let spyhole publish on {topic} ({self._refusal})"
                )

    async def _publish(
        self, topic: str, payload: str, qos: int, retain: bool, within_s: float | None
    ) -> None:
        task = asyncio.current_task()
        cancelled_before = task.cancelling() if task is not None else 0
        await self.publish(topic, payload, qos=qos, retain=retain, timeout=within_s)
        # Up to Python 3.11 asyncio.wait_for, which aiomqtt waits with, forgets a cancellation
        # that comes together with the answer (python/cpython#86296).
        if task is not None and task.cancelling() > cancelled_before:
            raise asyncio.CancelledError

    async def leave(self, *, in_order: bool) -> None:
        """Close the connection, however far it got.

        An orderly leave drops the last will and the broker's memory of the name. Out of order,
        the broker is left to send the will.
        """
        if in_order:
            properties = None
            if self.speaks_5:
                properties = Properties(PacketTypes.DISCONNECT)  # type: ignore[no-untyped-call]
                properties.SessionExpiryInterval = 0
            with contextlib.suppress(OSError):
                self._client.disconnect(properties=properties)
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
        self._take_note()
