"""What several keys of ``spyhole.toml`` together can't be, named with file, line, table and keys.

Each key by itself has been found good before. Opens no file and no connection.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import check_rig
from hardware.selects import pin_numbers
from supervisor.core.errors import InputError
from supervisor.core.toml_places import line_of
from supervisor.messaging.topics import topics_of
from supervisor.service.broker_access import check_broker
from supervisor.service.config import Config
from supervisor.service.config_table import KeysError


def check_together(config: Config, text: str, where: str) -> None:
    """Raise InputError where keys of ``config``, written as ``text``, don't go together."""
    with lines_named(text, where):
        _check_rig(config)
        config.watch_settings()
        config.alert_rules()
        config.page_rules()
        if config.mqtt is not None:
            _check_kiln_name(config)
            check_broker(config.mqtt)


@contextmanager
def lines_named(text: str, where: str) -> Iterator[None]:
    """Give a mistake in several keys the file and the line of the one that completes it."""
    try:
        yield
    except KeysError as error:
        found = [line_of(text, path) for path in error.paths]
        lines = [line for line in found if line is not None]
        place = f"{where}, line {max(lines)}" if lines else where
        raise InputError(error.what, where=place) from None


def _check_kiln_name(config: Config) -> None:
    try:
        topics_of(config.kiln.name)
    except InputError as error:
        raise KeysError(f"[kiln] name: {error}", ("kiln", "name")) from None


def _check_rig(config: Config) -> None:
    """The sensors one after the other, so that the one which doesn't fit the others is named."""
    channels = config.channels()
    for count in range(1, len(channels) + 1):
        some = channels[:count]
        try:
            pin_numbers(some)
            check_rig(some, interval_s=config.watch.interval_s, mains_hz=config.watch.mains_hz)
        except InputError as error:
            key = "channel" if _is_named_before(some) else "chip_select"
            raise KeysError(
                f"[[sensor]] {count}, {key}: {error}", ("sensor", count - 1, key)
            ) from None


def _is_named_before(channels: tuple[ThermocoupleChannel, ...]) -> bool:
    return channels[-1].name in [channel.name for channel in channels[:-1]]
