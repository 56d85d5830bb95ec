"""Starts the daemon and ends it: signals, port, record, in this order. Owns the signals."""

from __future__ import annotations

import asyncio
import os
import signal

from supervisor.core.errors import PeerError, SpyholeError
from supervisor.messaging.sender import AddressError, must_be_addresses
from supervisor.messaging.topics import topics_of
from supervisor.record.store import Record
from supervisor.record.writer import Trouble
from supervisor.service.alone import alone_in
from supervisor.service.daemon import Daemon
from supervisor.service.service_manager import Notifier
from supervisor.service.setup import Setup
from supervisor.service.terminal import warn
from web.serve import bind
from web.tls import server_tls


async def run(setup: Setup) -> None:
    """Watch until SIGTERM or SIGINT; the record is closed when this returns.

    Raises a SpyholeError, in one sentence, when the record, the port or the configuration
    does not allow it.
    """
    loop = asyncio.get_running_loop()
    task = asyncio.current_task()
    assert task is not None  # noqa: S101 - we run in it
    told_to_stop = False
    notifier = Notifier.from_environment(os.environ, os.getpid())

    def stop() -> None:
        nonlocal told_to_stop
        if not told_to_stop:
            told_to_stop = True
            notifier.stopping()
            task.cancel()

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, stop)
    daemon: Daemon | None = None

    def on_trouble(trouble: Trouble | None) -> None:
        warn("the record is written again" if trouble is None else trouble.message)
        if daemon is not None:
            daemon.on_trouble()

    try:
        if setup.broker is not None:
            # What can't be used for messages is said before anything is written.
            topics_of(setup.kiln)
            setup.broker.tls_context()
        # A kiln is not left unwatched because of whom it could not tell.
        unfit: tuple[str, ...] = ()
        try:
            await must_be_addresses(
                [address.url for address in setup.notify],
                [address.label for address in setup.notify],
            )
        except AddressError as error:
            unfit = error.labels
            warn(
                f"{error}. NO ALERT REACHES {', '.join(unfit)}: it waits, and the kiln is watched "
                "all the same"
            )
        except PeerError as error:
            warn(f"the addresses under [notify] could not be looked over: {error}")
        rules = setup.page
        tls = None
        if rules.certificate is not None and rules.key is not None:
            tls = server_tls(rules.certificate, rules.key)
        # Before anything is written: a second daemon must not touch the record of the first.
        with (
            bind(setup.host, setup.port) as listener,
            alone_in(setup.data_dir),
            Record.open_or_stand_in(setup.data_dir, on_trouble=on_trouble) as record,
        ):
            daemon = Daemon(setup, record, listener, notifier, unfit, tls)
            await daemon.run()
    except asyncio.CancelledError:
        if not told_to_stop:
            raise
        task.uncancel()
    except BaseExceptionGroup as group:
        raise _one_of(group) from None
    finally:
        for number in (signal.SIGTERM, signal.SIGINT):
            loop.remove_signal_handler(number)
        setup.source.close()


def _one_of(group: BaseExceptionGroup[BaseException]) -> BaseException:
    """What to tell of several tasks' errors: one that a person can mend, else all of it."""
    mendable = group.subgroup(SpyholeError)
    if mendable is None:
        return group
    error: BaseException = mendable
    while isinstance(error, BaseExceptionGroup):
        error = error.exceptions[0]
    return error
