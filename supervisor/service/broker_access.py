"""From the ``[mqtt]`` table to what the link to the broker needs: files, password, hubs.

Knows the table's keys and the folder that it lies in; opens no connection.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from supervisor.core.errors import InputError
from supervisor.core.toml_places import shown
from supervisor.messaging.settings import PLAIN_PORT, TLS_PORT, BrokerSettings
from supervisor.service.config_table import KeysError

if TYPE_CHECKING:
    from supervisor.service.config import MqttTable

PASSWORD_VARIABLE = "SPYHOLE_MQTT_PASSWORD"  # noqa: S105 - its name, not a password
_LONGEST_PASSWORD = 65_536
"""MQTT's own limit, bytes (OASIS MQTT 3.1.1, section 1.5.3)."""


def broker_settings(table: MqttTable, folder: Path) -> BrokerSettings:
    """How to reach the broker; files are looked for in ``folder``.

    Raises InputError for what does not fit together, or can't be read.
    """
    check_broker(table)
    return BrokerSettings(
        host=table.host,
        port=table.port or (TLS_PORT if table.tls else PLAIN_PORT),
        user=table.user,
        password=_password(table, folder),
        uses_tls=table.tls,
        ca_file=folder / table.ca_file if table.ca_file else None,
        cert_file=folder / table.cert_file if table.cert_file else None,
        key_file=folder / table.key_file if table.key_file else None,
        discovery_prefix=_discovery_prefix(table) if table.discovery else None,
    )


def check_broker(table: MqttTable) -> None:
    """Raise KeysError for keys that don't go together; opens no file."""
    files = [key for key in ("ca_file", "cert_file", "key_file") if getattr(table, key)]
    if files and not table.tls:
        raise KeysError(
            f"[mqtt] names certificate files ({', '.join(files)}), but not `tls = true`",
            *(("mqtt", key) for key in (*files, "tls")),
        )
    if table.key_file and not table.cert_file:
        raise KeysError("[mqtt] names a key_file, but no cert_file", ("mqtt", "key_file"))
    if table.discovery:
        _discovery_prefix(table)
    passwords = [key for key in ("password", "password_file") if getattr(table, key) is not None]
    paths = [("mqtt", key) for key in passwords]
    if len(passwords) > 1:
        raise KeysError("[mqtt] gives both a password and a password_file: leave one out", *paths)
    if passwords and table.user is None:
        raise KeysError("[mqtt] gives a password, but no user", *paths)


def _discovery_prefix(table: MqttTable) -> str:
    prefix = table.discovery_prefix.strip("/")
    if not prefix or prefix.startswith("$") or set(prefix) & set("+#\0"):
        raise KeysError(
            f"[mqtt] discovery_prefix = {shown(table.discovery_prefix)} can't begin a topic; give "
            "the one that your hub is set to, without $, + and #",
            ("mqtt", "discovery_prefix"),
        )
    return prefix


def _password(table: MqttTable, folder: Path) -> str | None:
    """The password of the file that is named, of the configuration, or of the environment."""
    if table.user is None:
        return None
    if table.password_file is None:
        return table.password or os.environ.get(PASSWORD_VARIABLE) or None
    path = folder / table.password_file
    try:
        text = path.read_bytes()[:_LONGEST_PASSWORD].decode("utf-8").strip("\r\n")
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise InputError(
            f"the password_file of [mqtt] can't be read ({why})", where=str(path)
        ) from None
    if not text or "\n" in text:
        raise InputError(
            "the password_file of [mqtt] holds one line, the password", where=str(path)
        )
    return text
