"""The page by HTTPS: a certificate and its key from two files, or one sentence why not."""

from __future__ import annotations

import ssl
from pathlib import Path

from supervisor.core.errors import InputError


def server_tls(certificate: Path, key: Path) -> ssl.SSLContext:
    """What a server needs to speak TLS 1.2 or newer with that certificate.

    Raises InputError for files that can't be read, that hold something else, or of which one
    does not belong to the other.
    """
    for path, what in ((certificate, "the certificate"), (key, "the key")):
        try:
            with path.open("rb") as file:
                file.read(1)
        except OSError as error:
            raise InputError(
                f"{what} for the page can't be read ({error.strerror})", where=str(path)
            ) from None
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        # A key with a passphrase would stop a service that nobody sits at: refuse to be asked.
        context.load_cert_chain(certificate, key, password=lambda: "")
    except ssl.SSLError as error:
        why = "they don't belong together" if "MISMATCH" in str(error) else "PEM files are wanted"
        raise InputError(
            f"the page can't speak HTTPS with this certificate and the key {key}: {why}, the key "
            "without a passphrase",
            where=str(certificate),
        ) from None
    return context
