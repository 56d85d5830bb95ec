"""An authority of a studio's own that signs certificates, as Debian's openssl makes them."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.messaging.brokers import program

_KEY = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1")


@dataclass(frozen=True)
class Signed:
    """A certificate and its key."""

    certificate: Path
    key: Path


class Authority:
    """Signs in ``folder``; its own certificate is in ``certificate``."""

    def __init__(self, folder: Path, name: str = "Studio") -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._folder = folder
        self.certificate = folder / "ca.pem"
        self._key = folder / "ca-key.pem"
        _openssl(
            *("req", "-x509", *_KEY, "-nodes", "-days", "2", "-subj", f"/CN={name}"),
            *("-keyout", self._key, "-out", self.certificate),
        )

    def sign(
        self, name: str, *, may_be: str | None = None, passphrase: str | None = None
    ) -> Signed:
        """A certificate for ``name``; ``may_be`` lists what it may be called as a server."""
        request, rules = self._folder / f"{name}.csr", self._folder / f"{name}.ext"
        signed = Signed(self._folder / f"{name}.pem", self._folder / f"{name}-key.pem")
        lock = ("-nodes",) if passphrase is None else ("-passout", f"pass:{passphrase}")
        _openssl(
            *("req", *_KEY, *lock, "-subj", f"/CN={name}"),
            *("-keyout", signed.key, "-out", request),
        )
        rules.write_text("" if may_be is None else f"subjectAltName={may_be}\n")
        _openssl(
            *("x509", "-req", "-in", request, "-days", "2", "-CAcreateserial"),
            *("-CA", self.certificate, "-CAkey", self._key),
            *("-extfile", rules, "-out", signed.certificate),
        )
        return signed


def _openssl(*words: str | Path) -> None:
    subprocess.run([program("openssl"), *map(str, words)], check=True, capture_output=True)
