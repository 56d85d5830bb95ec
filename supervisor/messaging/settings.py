"""Where the broker is, how it lets spyhole in, and what of TLS is needed for that.

Knows files and names; opens no connection.
"""

from __future__ import annotations

import ssl
from dataclasses import dataclass, field
from pathlib import Path

from supervisor.core.errors import InputError

PLAIN_PORT = 1883
TLS_PORT = 8883
"""The ports that IANA's registry has for MQTT, without and with TLS."""


@dataclass(frozen=True, slots=True)
class BrokerSettings:
    """Where the broker is and how it lets spyhole in.

    ``keepalive_s`` decides when the last will is sent after a power cut or when the program
    hangs: one and a half times it (MQTT 5, section 3.1.2.10). ``discovery_prefix`` is where
    home-automation hubs look for what there is to see; None: they are told nothing.
    ``speaks_5`` is False for a broker that is known to know MQTT 3.1.1 only; of others it is
    found out.
    """

    host: str
    port: int = PLAIN_PORT
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    uses_tls: bool = False
    ca_file: Path | None = None
    cert_file: Path | None = None
    key_file: Path | None = None
    keepalive_s: int = 20
    discovery_prefix: str | None = None
    speaks_5: bool = True

    @property
    def where(self) -> str:
        """The broker as a sentence names it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{host}:{self.port}"

    def tls_context(self) -> ssl.SSLContext | None:
        """What TLS needs, ``None`` without TLS.

        The files are read anew each time, so that a renewed certificate is used without a
        restart. Raises InputError, with the file's name, for one that does not do.
        """
        if not self.uses_tls:
            return None
        context = ssl.create_default_context()
        if self.ca_file is not None:
            # Only who is named may vouch for the broker, not everybody whom a browser trusts.
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
            try:
                context.load_verify_locations(cafile=self.ca_file)
            except OSError as error:
                raise _unusable(self.ca_file, "the authority's certificate", error) from None
        if self.cert_file is not None:
            self._show_ours(context, self.cert_file)
        return context

    def _show_ours(self, context: ssl.SSLContext, cert_file: Path) -> None:
        locked = False

        def ask() -> str:
            nonlocal locked
            locked = True
            return ""

        named = self.key_file or cert_file
        try:
            context.load_cert_chain(cert_file, self.key_file, password=ask)
        except OSError as error:
            if locked:
                raise InputError(
                    "the key is locked with a passphrase, and nobody is there at night to type "
                    "it: give a key without one, readable by spyhole's user alone",
                    where=str(named),
                ) from None
            if isinstance(error, ssl.SSLError) and error.reason == "KEY_VALUES_MISMATCH":
                raise InputError(
                    f"the key does not belong to the certificate in {cert_file}", where=str(named)
                ) from None
            raise _unusable(cert_file, "our certificate, or its key,", error) from None


def _unusable(file: Path, what: str, error: OSError) -> InputError:
    why = error.strerror or str(error)
    if isinstance(error, ssl.SSLError):
        why = "there is no PEM certificate or key in it"
    return InputError(f"{what} can't be used ({why})", where=str(file))
