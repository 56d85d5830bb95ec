"""The connection to the MQTT broker: keeps it, mends it, and says whether it stands.

Knows the broker's manners; knows nothing of what is published. It subscribes to nothing, so that
nothing sent by anybody can act on the kiln, and a broker that is away costs the watch nothing:
status is kept until it can be told, readings are dropped, alerts wait in the record.
"""

from __future__ import annotations

import asyncio
import contextlib
import random
from collections import deque
from collections.abc import Awaitable, Callable, Mapping
from enum import StrEnum

import aiomqtt
from aiomqtt.exceptions import MqttConnectError

from supervisor.core.errors import InputError, PeerError
from supervisor.messaging import words
from supervisor.messaging.backoff import pause_s
from supervisor.messaging.client import (
    SESSION_TAKEN_OVER,
    UNSUPPORTED_VERSION,
    Client,
    NoAnswerError,
    RefusedMessageError,
    TooLargeError,
)
from supervisor.messaging.memory import Memory
from supervisor.messaging.name import LISTEN_S, Name
from supervisor.messaging.outbox import Outbox, StoredMessage
from supervisor.messaging.settings import BrokerSettings
from supervisor.messaging.topics import (
    OFFLINE,
    ONLINE,
    PREFIX,
    Topics,
    slug,
    topics_of,
    topics_under,
)

__all__ = ["BrokerSettings", "LinkState", "MqttLink"]

RETRY_FIRST_S = 1.0
RETRY_LONGEST_S = 15.0
"""A warning must not wait long behind a broker that is back."""
REFUSED_PAUSE_S = 60.0
"""What a person has to put right is asked for less often."""
STATUS_EVERY_S = 60.0
"""Status is repeated so often even when nothing changes."""
STEADY_S = 10.0
"""A connection that has stood for so long has mended what was wrong."""
_FLAPS = 3
"""So many connections in a row that did not last tell of something else than the network."""
_FAREWELL_WITHIN_S = 1.0
_READINGS_KEPT = 32
"""Readings between two looks at the connection while it stands; none are kept while it does not."""


class LinkState(StrEnum):
    """Whether messages get through."""

    OFF = "off"
    """The link does not run."""
    AWAY = "away"
    """The broker can't be reached, refuses, or has not answered yet; it is tried again."""
    CONNECTED = "connected"
    """The broker answers."""


def _to_nobody(_text: str, _is_trouble: bool) -> None:
    """For whoever does not want to know."""


class MqttLink:
    """One kiln's connection to its broker. ``run`` keeps it until it is cancelled."""

    def __init__(
        self,
        settings: BrokerSettings,
        kiln: str,
        outbox: Outbox,
        *,
        memory: Memory | None = None,
        for_hubs: Callable[[str, Topics], Mapping[str, str]] | None = None,
        on_change: Callable[[LinkState], None] | None = None,
        on_notice: Callable[[str, bool], None] = _to_nobody,
        sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
        chance: Callable[[], float] = random.random,
        status_every_s: float = STATUS_EVERY_S,
        steady_s: float = STEADY_S,
    ) -> None:
        """``on_change`` is called in the event loop whenever ``state`` has changed.

        It is also called when, while away, it first becomes known ``why``; not again for each
        further attempt that fails. ``on_notice`` gets what a person should read, a sentence
        once in an outage, and whether it is trouble. ``for_hubs`` makes, of the kiln's name and
        topics at the broker, what home-automation hubs are told, by topic. ``sleep`` waits
        between attempts, for a time spread by ``chance`` (0 to 1) so that ten kilns do not all
        knock at once. Raises InputError for a kiln's name that makes no topic and for unusable
        certificates.
        """
        self.topics: Topics = topics_of(kiln)
        """The topics of the kiln's own name; messages on them go out under the name that it has
        at the broker."""
        settings.tls_context()
        self._settings = settings
        self._kiln = kiln
        self._memory = memory or Memory()
        self._name = Name(slug(kiln), self._memory)
        self._for_hubs = for_hubs
        self._outbox = outbox
        self._on_change = on_change
        self._on_notice = on_notice
        self._sleep = sleep
        self._chance = chance
        self._status_every_s = status_every_s
        self._steady_s = steady_s
        self._state = LinkState.OFF
        self._why: str | None = None
        self._speaks_5 = settings.speaks_5
        self._failures = 0
        self._flaps = 0
        self._was_away = False
        self._told: set[str] = set()
        self._never_told: set[str] = set()
        self._client: Client | None = None
        self._is_listening = False
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

    @property
    def name(self) -> str:
        """The kiln's name at the broker: its topics lie under ``spyhole/<name>/``."""
        return self._name.now

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
        self._change(LinkState.AWAY, None)
        try:
            while True:
                wait_s = 0.0
                try:
                    await self._one_connection()
                except* words.Errors as group:
                    wait_s = self._after(words.first_of(group))
                if wait_s > 0.0:
                    await self._sleep(wait_s)
        finally:
            self._change(LinkState.OFF, None)

    async def _one_connection(self) -> None:
        """Connect and publish. Ends only by an error or by being cancelled."""
        name = self._name.now
        topics = topics_under(name)
        self._client = None
        try:
            tls = self._settings.tls_context()
        except InputError as error:
            # It was there when the program began.
            raise PeerError(str(error)) from None
        client = Client(self._settings, f"{PREFIX}-{name}", tls, topics, speaks_5=self._speaks_5)
        is_online = False
        try:
            await client.connect()
            self._client = client
            await self._listen(client)
            if self._name.settle():
                self._notice(
                    f"another kiln at the broker has the name “{self._kiln}” already: this one "
                    f"goes on as {PREFIX}/{name}/; give each kiln a name of its own under [kiln]"
                )
            is_online = True
            self._status_changed.clear()
            async with asyncio.TaskGroup() as group:
                # From the first word on: who is cut off by a namesake must come back at once.
                group.create_task(client.watch())
                await self._tell_state(client, topics)
                self._change(LinkState.CONNECTED, None)
                group.create_task(self._settle_down())
                group.create_task(self._tell_status(client, topics))
                group.create_task(self._tell_readings(client, topics))
                group.create_task(self._tell_hubs(client, name, topics))
                group.create_task(self._outbox.deliver(lambda m: self._deliver(client, topics, m)))
        except asyncio.CancelledError:
            if is_online:
                with contextlib.suppress(aiomqtt.MqttError):
                    await client.say(topics.availability, OFFLINE, within_s=_FAREWELL_WITHIN_S)
                    is_online = False
            raise
        finally:
            self._readings.clear()
            await client.leave(in_order=not is_online)

    async def _listen(self, client: Client) -> None:
        """Say nothing for a while if somebody else may have our name."""
        now_s = asyncio.get_running_loop().time()
        if not self._name.must_listen(is_in_use=client.session_present, at_s=now_s):
            return
        self._is_listening = True
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(LISTEN_S):
                await client.watch()
        self._is_listening = False

    def _after(self, error: BaseException) -> float:
        """Draw the consequences of an end; how long to wait before the next attempt."""
        client, was_listening = self._client, self._is_listening
        self._is_listening = False
        self._name.leave(asyncio.get_running_loop().time())
        if was_listening:
            self._name.give_way()
            return 0.0
        if self._name.take_back():
            return 0.0
        if self._speaks_5 and isinstance(error, MqttConnectError):
            if getattr(error.rc, "value", None) == UNSUPPORTED_VERSION:
                self._speaks_5 = False
                return 0.0
        elif self._settings.speaks_5 and isinstance(error, NoAnswerError):
            # A broker that does not know MQTT 5 may hang up, or itself.
            self._speaks_5 = not self._speaks_5
        why = words.in_words(error, self._settings, client)
        if self._state is LinkState.CONNECTED and client is not None and client.is_lost:
            self._flaps += 1
            self._if_taken(client)
        once = "away" if words.is_absence(error, client) else None
        if self._flaps >= _FLAPS:
            once = "flaps"
            why += (
                f" (again and again, right after it was connected; does another client use the "
                f"name {PREFIX}-{self._name.now}?)"
            )
        self._was_away = True
        self._change(LinkState.AWAY, why)
        self._notice(f"{why}; it is tried again", once=once)
        failures, self._failures = self._failures, self._failures + 1
        if words.is_refusal(error):
            return pause_s(0, REFUSED_PAUSE_S, REFUSED_PAUSE_S, self._chance)
        return pause_s(failures, RETRY_FIRST_S, RETRY_LONGEST_S, self._chance)

    def _if_taken(self, client: Client) -> None:
        """Give way to somebody of our name who does not."""
        is_taken = client.end is not None and client.end.value == SESSION_TAKEN_OVER
        if is_taken and self._flaps >= _FLAPS - 1:
            self._name.give_way()

    async def _settle_down(self) -> None:
        """Note, after a while, that what was wrong is mended."""
        await asyncio.sleep(self._steady_s)
        self._failures, self._flaps = 0, 0
        self._told.clear()
        if self._was_away:
            self._was_away = False
            self._on_notice(f"the broker at {self._settings.where} is back", False)

    async def _tell_state(self, client: Client, topics: Topics) -> None:
        """The status, and that there is somebody who tells it, in this order.

        What an earlier run has left is replaced before anybody may take it for news. Repeating
        the second also mends what the will of an older, forgotten connection may have said.
        """
        if self._status is not None:
            await self._unless_too_large(topics.status, client.say(topics.status, self._status))
        await client.say(topics.availability, ONLINE)

    async def _tell_status(self, client: Client, topics: Topics) -> None:
        while True:
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(self._status_every_s):
                    await self._status_changed.wait()
            self._status_changed.clear()
            await self._tell_state(client, topics)

    async def _tell_readings(self, client: Client, topics: Topics) -> None:
        while True:
            await self._reading_came.wait()
            self._reading_came.clear()
            while self._readings:
                reading = self._readings.popleft()
                await self._unless_too_large(
                    topics.readings, client.tell(topics.readings, reading, qos=0)
                )

    async def _tell_hubs(self, client: Client, name: str, topics: Topics) -> None:
        """Tell home-automation hubs what there is to see; take back what there was once."""
        memory, broker = self._memory, self._settings.where
        wanted = {} if self._for_hubs is None else self._for_hubs(name, topics)
        before = memory.retained(broker)
        # Remembered first: what may stand at the broker must never be forgotten.
        await asyncio.to_thread(memory.keep_retained, broker, before | set(wanted))
        try:
            for topic in sorted(before - set(wanted)):
                await client.say(topic, "")
            await asyncio.to_thread(memory.keep_retained, broker, wanted)
            for topic, payload in wanted.items():
                await self._unless_too_large(topic, client.say(topic, payload))
        except RefusedMessageError as error:
            self._on_notice(
                f"the broker at {self._settings.where} {error}: hubs are told nothing", True
            )

    async def _deliver(self, client: Client, topics: Topics, message: StoredMessage) -> None:
        """Publish a stored message, and wait for the acknowledgement."""
        topic = topics.alerts if message.topic == self.topics.alerts else message.topic
        await self._unless_too_large(
            f"{topic}, {message.id}",
            client.tell(topic, message.payload, qos=message.qos, retain=message.retain),
        )

    async def _unless_too_large(self, what: str, telling: Awaitable[None]) -> None:
        """Tell, or say once of ``what`` can never be told: the rest must not wait behind it."""
        try:
            await telling
        except TooLargeError as error:
            if what not in self._never_told:
                self._never_told.add(what)
                self._on_notice(
                    f"the broker at {self._settings.where} {error}: it can't be told there; the "
                    "page and the record have it",
                    True,
                )

    def _notice(self, sentence: str, *, once: str | None = None) -> None:
        """Trouble, once in an outage; so is whatever goes by the same ``once``."""
        if (once or sentence) not in self._told:
            self._told.add(once or sentence)
            self._on_notice(sentence, True)

    def _change(self, state: LinkState, why: str | None) -> None:
        is_news = state is not self._state or (self._why is None and why is not None)
        self._why = why
        if is_news:
            self._state = state
            if self._on_change is not None:
                self._on_change(state)
