"""What goes out to the broker beside alerts, and when: the status, the readings, word to hubs.

Knows the keeper and the link; alerts go their own way, through the record's outbox.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence

from supervisor import __version__
from supervisor.core.readings import Reading
from supervisor.messaging.discovery import Discovery
from supervisor.messaging.memory import FILE_NAME, Memory
from supervisor.messaging.mqtt import LinkState, MqttLink
from supervisor.messaging.outbox import Outbox
from supervisor.messaging.settings import BrokerSettings
from supervisor.service.clock_trust import is_label_believed
from supervisor.service.keeper import Keeper
from supervisor.service.setup import Setup
from supervisor.service.status import reading_json, status_json
from supervisor.service.terminal import warn

_STATUS_EVERY_S = 30.0
"""The status is worked out anew so often; the link repeats what it has each minute."""
_STATUS_AFTER_S = 0.1
_LOOK_EVERY_S = 2.0
"""Working out a status takes a Pi a tenth of a second, in which nothing else is done. So it waits
until the alert that it is about is on its way, and without an event it is looked only so often
whether it has changed."""
_READINGS_EVERY_S = 0.5
"""Real seconds between two readings sent to the broker; a speeded-up firing has too many."""


def link_to(
    broker: BrokerSettings, setup: Setup, outbox: Outbox, on_change: Callable[[LinkState], None]
) -> MqttLink:
    """The kiln's link to its broker; what a person should read of it goes to the terminal."""

    def on_notice(sentence: str, is_trouble: bool) -> None:
        (warn if is_trouble else setup.say)(sentence)

    for_hubs = None
    if broker.discovery_prefix is not None:
        for_hubs = Discovery(
            broker.discovery_prefix,
            setup.kiln,
            setup.source.channels,
            setup.settings.units,
            __version__,
        ).messages
    return MqttLink(
        broker,
        setup.kiln,
        outbox,
        memory=Memory(setup.data_dir / FILE_NAME),
        for_hubs=for_hubs,
        on_change=on_change,
        on_notice=on_notice,
    )


class Teller:
    """Tells the broker how the firing of ``keeper`` stands, as often as is worth it."""

    def __init__(
        self, link: MqttLink, keeper: Callable[[], Keeper], failing: Sequence[str]
    ) -> None:
        """``keeper`` gives that of the firing that goes on; ``failing`` has at each time the
        addresses of people that take no messages.
        """
        self._link = link
        self._keeper = keeper
        self._failing = failing
        self._wanted = asyncio.Event()
        self._told: tuple[object, ...] = ()
        self._told_real_s = float("-inf")
        self._look_real_s = float("-inf")
        self._reading_real_s = float("-inf")

    def read(self, reading: Reading, *, has_events: bool) -> None:
        """A reading has come in."""
        clock = self._keeper().clock
        now_s = clock.real_s()
        if now_s - self._reading_real_s >= _READINGS_EVERY_S:
            self._reading_real_s = now_s
            is_believed = is_label_believed(clock)
            self._link.send_reading(reading_json(reading, is_time_believed=is_believed))
        if has_events or now_s - self._look_real_s >= _LOOK_EVERY_S:
            self._look_real_s = now_s
            self.want()

    def want(self) -> None:
        """The status may have changed: look at it soon."""
        self._wanted.set()

    async def run(self) -> None:
        """Look at the status whenever that is wanted, until cancelled."""
        while True:
            await self._wanted.wait()
            await asyncio.sleep(_STATUS_AFTER_S)
            self._wanted.clear()
            self.look()

    def look(self) -> None:
        """Hand the status to the link where it has changed, or is old."""
        keeper = self._keeper()
        status = keeper.watch.status()
        plan = status.plan
        coarse = (
            keeper.firing.id,
            keeper.is_open,
            keeper.is_armed,
            keeper.blind,
            plan.activity,
            plan.step,
            keeper.record.trouble is None,
            tuple(self._failing),
            tuple(
                (alert.id, alert.severity, alert.acknowledged_at_s is None, alert.reminders)
                for alert in keeper.book.open_alerts
            ),
            tuple(cone.down_at_s for cone in status.cones),
            status.correction,
        )
        now_s = keeper.clock.real_s()
        if coarse != self._told or now_s - self._told_real_s >= _STATUS_EVERY_S:
            self._told, self._told_real_s = coarse, now_s
            is_believed = is_label_believed(keeper.clock)
            self._link.set_status(status_json(keeper, self._failing, is_time_believed=is_believed))
