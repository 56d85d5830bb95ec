"""Why the broker is away, as one sentence that says what to do about it.

Knows the errors of aiomqtt, paho, TLS and the network; changes nothing.
"""

from __future__ import annotations

import re
import ssl
from typing import TypeVar

import aiomqtt
from aiomqtt.exceptions import MqttConnectError

from supervisor.core.errors import SpyholeError
from supervisor.messaging.client import (
    SESSION_TAKEN_OVER,
    Client,
    ClosedEarlyError,
    RefusedMessageError,
)
from supervisor.messaging.settings import BrokerSettings

_ERROR_NUMBER = re.compile(r"^\[Errno -?\d+\] ")

BAD_USER_OR_PASSWORD = 0x86
NOT_AUTHORIZED = 0x87
"""Reason codes of MQTT 5, section 2.4; paho gives the old ones of 3.1.1 as these."""

_NOT_YET_VALID, _EXPIRED, _OTHER_HOST, _OTHER_ADDRESS = 9, 10, 62, 64
"""Results of OpenSSL's verification (x509_vfy.h: X509_V_ERR_…)."""


def is_refusal(error: BaseException) -> bool:
    """True if the broker knows us and wants nothing of us: asking often does not help."""
    return isinstance(error, MqttConnectError) and _code(error) in (
        BAD_USER_OR_PASSWORD,
        NOT_AUTHORIZED,
    )


def is_absence(error: BaseException, client: Client | None) -> bool:
    """True if nothing more is known than that the broker is not there."""
    speaks = (SpyholeError, RefusedMessageError, MqttConnectError)
    if isinstance(error, speaks) or (client is not None and client.end is not None):
        return False
    return _cause(error, ssl.SSLError) is None and _what_tls_said(error) is None


def in_words(error: BaseException, settings: BrokerSettings, client: Client | None) -> str:
    """One sentence without its full stop; ``client`` is a connection that stood."""
    where = f"the broker at {settings.where}"
    if isinstance(error, SpyholeError):
        return str(error)
    if isinstance(error, RefusedMessageError):
        return f"{where} {error}"
    if isinstance(error, MqttConnectError):
        return f"{where} refuses: {_why_refused(error, settings)}"
    verified = _cause(error, ssl.SSLCertVerificationError)
    if verified is not None:
        return f"{where} is not trusted: {_why_not_trusted(verified, settings)}"
    if settings.uses_tls and client is None and _hung_up(error):
        return f"{where} hangs up before TLS is agreed on; does it speak TLS on this port?"
    spoken = _what_tls_said(error)
    if spoken is not None:
        return f"{where} {spoken}"
    if client is not None:
        if client.end is not None and client.end.value == SESSION_TAKEN_OVER:
            return f"{where} has given the connection to another client of the same name"
        if client.end is not None:
            return f"{where} has ended the connection: {client.end}"
        return f"{where} answers no more"
    if isinstance(error, ClosedEarlyError):
        hint = "" if settings.uses_tls else "; if it wants TLS, set `tls = true` under [mqtt]"
        return f"{where} hangs up in place of an answer{hint}"
    return f"{where} does not answer: {_ERROR_NUMBER.sub('', str(error))}"


def _code(error: MqttConnectError) -> int:
    return error.rc if isinstance(error.rc, int) else getattr(error.rc, "value", -1)


def _why_refused(error: MqttConnectError, settings: BrokerSettings) -> str:
    if _code(error) == BAD_USER_OR_PASSWORD:
        return "the user or the password is wrong; see `user` and `password` under [mqtt]"
    if _code(error) == NOT_AUTHORIZED:
        if settings.user is None:
            return "it wants a user and a password; set `user` and `password_file` under [mqtt]"
        return (
            f'it does not let "{settings.user}" in; see `user` and the password under [mqtt], or '
            "the broker's own list"
        )
    return str(error.rc) if not isinstance(error.rc, int) else str(error)


def _why_not_trusted(error: ssl.SSLCertVerificationError, settings: BrokerSettings) -> str:
    code = error.verify_code
    if code in (_OTHER_HOST, _OTHER_ADDRESS):
        return (
            f"its certificate is not for “{settings.host}”; name it under [mqtt] as the "
            "certificate does"
        )
    if code == _NOT_YET_VALID:
        return "its certificate is not valid yet; is this machine's clock right?"
    if code == _EXPIRED:
        return "its certificate has run out; is this machine's clock right?"
    if settings.ca_file is not None:
        return (
            f"its certificate is not signed by the authority in {settings.ca_file} "
            f"({error.verify_message})"
        )
    return (
        "its certificate is signed by nobody whom this machine knows; name the authority's own "
        f"certificate as `ca_file` under [mqtt] ({error.verify_message})"
    )


def _what_tls_said(error: BaseException) -> str | None:
    """What the other side said in TLS; None where TLS has nothing to do with it."""
    failed = _cause(error, ssl.SSLError)
    said = f"{error} {failed or ''}".upper()
    if "CERTIFICATE_REQUIRED" in said or "HANDSHAKE_FAILURE" in said:
        return (
            "wants a certificate of ours: name one as `cert_file`, with its `key_file`, under "
            "[mqtt]"
        )
    if re.search(r"ALERT_(UNKNOWN_CA|BAD_CERTIFICATE|CERTIFICATE_\w+|DECRYPT_ERROR)", said):
        return "does not trust our certificate: `cert_file` under [mqtt] needs one it knows"
    if "WRONG_VERSION_NUMBER" in said or "RECORD_LAYER_FAILURE" in said:
        return "does not speak TLS on this port; see `port` and `tls` under [mqtt]"
    if failed is not None:
        return f"can't be agreed with on TLS: {failed.reason or failed}"
    return None


def _hung_up(error: BaseException) -> bool:
    return (
        _cause(error, ConnectionResetError) is not None
        or _cause(error, ssl.SSLEOFError) is not None
    )


_Kind = TypeVar("_Kind", bound=BaseException)


def _cause(error: BaseException | None, kind: type[_Kind]) -> _Kind | None:
    """The error of this kind that lies behind; aiomqtt hides it, but keeps it."""
    seen = 0
    while error is not None and seen < 8:
        if isinstance(error, kind):
            return error
        error, seen = error.__cause__ or error.__context__, seen + 1
    return None


def first_of(group: BaseException) -> BaseException:
    """The first error of a group, or the error itself."""
    while isinstance(group, BaseExceptionGroup):
        group = group.exceptions[0]
    return group


Errors = (aiomqtt.MqttError, OSError)
"""What a connection may end by without anything being wrong with this program."""
