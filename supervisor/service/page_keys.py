"""The page's PIN and sessions as files in the data folder, which nobody but their owner reads.

They lie beside the record and not in it, nor in ``spyhole.toml``: people share those.
"""

from __future__ import annotations

import os
import shlex
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.whole_file import whole_file
from web.access.interface import UnreadablePinError
from web.access.pin import PinHash, from_json

PIN_FILE = "page-pin.json"
SESSIONS_FILE = "page-sessions.json"
LOOK_EVERY_S = 1.0
"""How often it is looked whether `spyhole pin` has changed the PIN."""
_LARGEST = 100_000


class PageKeys:
    """Implements ``web.access.interface.Keys`` over the files in ``folder``."""

    def __init__(
        self,
        folder: Path,
        warn: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._folder = folder
        self._warn = warn
        self._clock = clock
        self._looked_s: float | None = None
        self._seen: tuple[int, ...] | None = None
        self._pin: PinHash | None = None
        self._why_unreadable: str | None = None

    def pin(self) -> PinHash | None:
        """The PIN's hash, at most a second old; None without one. Raises UnreadablePinError."""
        now_s = self._clock()
        if self._looked_s is None or now_s - self._looked_s >= LOOK_EVERY_S:
            self._looked_s = now_s
            self._look()
        if self._why_unreadable is not None:
            raise UnreadablePinError(self._why_unreadable)
        return self._pin

    def _look(self) -> None:
        path = self._folder / PIN_FILE
        why: str | None = None
        try:
            found = path.stat()
            seen = (found.st_ino, found.st_mtime_ns, found.st_size, found.st_mode)
            if seen == self._seen:
                return
            self._seen = seen
            self._pin = from_json(_text(path))
        except (FileNotFoundError, NotADirectoryError):
            self._seen = self._pin = None
        except (OSError, ValueError) as error:
            # Not None: whoever damages the file must not open the door by that.
            self._seen = self._pin = None
            why = (error.strerror if isinstance(error, OSError) else None) or str(error)
        if why is not None and why != self._why_unreadable:
            self._warn(
                f"the page's PIN in {path} can't be read ({why}), so nobody may write on the "
                f"page: set it anew with `{self.how_to_set()}`"
            )
        self._why_unreadable = why

    def how_to_set(self) -> str:
        return f"spyhole pin --data {shlex.quote(str(self._folder.absolute()))}"

    def load_sessions(self) -> str | None:
        try:
            return _text(self._folder / SESSIONS_FILE)
        except FileNotFoundError:
            return None
        except (OSError, ValueError) as error:
            self._warn(f"who was signed in on the page can't be read back: {error}")
            return None

    def save_sessions(self, text: str) -> None:
        try:
            with whole_file(self._folder / SESSIONS_FILE, is_private=True) as file:
                file.write(text)
        except InputError as error:
            raise PeerError(str(error)) from None


def write_pin(folder: Path, pin: PinHash) -> Path:
    """Keep the PIN in the data folder, made if there is none; the file.

    Written by root for a service of another user, it is that user's, who has to read it. Raises
    RecordError where the folder can't be made, InputError or PeerError as ``whole_file``.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        owner = folder.stat()
    except OSError as error:
        raise RecordError(
            f"the data folder {folder} can't be made ({error.strerror}): "
            "name a folder that can be written"
        ) from None
    path = folder / PIN_FILE
    with whole_file(path, is_private=True) as file:
        if os.geteuid() == 0:
            with suppress(PermissionError):  # a memory stick's file system may know no owners
                os.fchown(file.fileno(), owner.st_uid, owner.st_gid)
        file.write(pin.to_json() + "\n")
    return path


def remove_pin(folder: Path) -> bool:
    """Let there be no PIN; whether there was one. Raises PeerError when the disk refuses."""
    try:
        (folder / PIN_FILE).unlink()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise PeerError(f"{folder / PIN_FILE}: it can't be removed ({error.strerror})") from None
    return True


def _text(path: Path) -> str:
    with path.open("rb") as file:
        return file.read(_LARGEST).decode("utf-8")
