"""Every error that spyhole raises on purpose, by what the reader can do about it.

::

    SpyholeError
    ├── InputError     mend the file or the command line         exit 1
    ├── RigError       look at the thermocouples and the wiring  exit 3
    ├── PeerError      a broker, a port or a disk is away        exit 3
    └── RecordError    the record can't be read or written       exit 3

Bad *readings* are data, not errors: they become ``sensor_fault`` and ``no_readings`` events.
Each message is one sentence that says what is wrong, where, and what is allowed.
"""

from __future__ import annotations

from typing import Self

from supervisor.core.events import Value
from supervisor.core.reasons import Reason, Why


class SpyholeError(Exception):
    """Root of the tree; ``str(error)`` is one sentence for a person."""

    exit_code = 3
    why: Why | None = None
    """The same for whoever says it in another language; None where nobody has to."""

    def because(self, reason: Reason, **figures: Value) -> Self:
        """This error, with its reason by name."""
        self.why = Why(reason, figures)
        return self

    def like(self, other: SpyholeError) -> Self:
        """This error, with the reason of another one that says the same."""
        self.why = other.why
        return self


class InputError(SpyholeError, ValueError):
    """A file, an option or a value from outside does not fit.

    ``where`` names the file and, where known, line or field ("glaze.toml, line 7").
    """

    exit_code = 1

    def __init__(self, what: str, *, where: str | None = None) -> None:
        self.what = what
        self.where = where
        super().__init__(f"{where}: {what}" if where else what)


class RigError(SpyholeError, OSError):
    """The thermocouple hardware does not answer as it should."""


class PeerError(SpyholeError, OSError):
    """Something that spyhole talks to is away or refuses."""


class RecordError(SpyholeError, OSError):
    """The record on disk can't be opened, read or written."""
