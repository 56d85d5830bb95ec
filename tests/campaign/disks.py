"""Small disks that can be filled, refuse to be written, or go read-only by themselves.

Knows mounts, which only root may make, and leaves none behind.
"""

from __future__ import annotations

import os
import subprocess
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.campaign.shed import MissingError, program

_BALLAST = "ballast"


def _run(*words: str | Path) -> None:
    done = subprocess.run(
        [str(word) for word in words], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        raise MissingError(f"{words[0]} does not work here: {done.stderr.strip()}")


class Disk:
    """A mounted file system of a few megabytes at ``folder``."""

    def __init__(self, folder: Path) -> None:
        if os.geteuid() != 0:
            raise MissingError("only root may mount a small disk of its own")
        self.folder = folder
        folder.mkdir(parents=True)
        self._mount()

    def _mount(self) -> None:
        raise NotImplementedError

    def unmount(self) -> None:
        """Take it away."""
        _run("umount", self.folder)

    def fill(self) -> None:
        """Leave no room for a single further block."""
        with (self.folder / _BALLAST).open("ab", buffering=0) as file:
            for size in (65_536, 4_096, 1_024, 1):
                with suppress(OSError):
                    while True:
                        if file.write(b"\0" * size) < size:
                            break

    def make_room(self) -> None:
        """Remove what it was filled with."""
        (self.folder / _BALLAST).unlink()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with suppress(MissingError):
            self.unmount()


class MemoryDisk(Disk):
    """A tmpfs of 6 MB."""

    def _mount(self) -> None:
        _run("mount", "-t", "tmpfs", "-o", "size=6m", "tmpfs", self.folder)


class CardImage(Disk):
    """An ext4 of 16 MB in a file, as on a card; an error of the card makes it read-only."""

    def __init__(self, folder: Path) -> None:
        self._image = folder.with_suffix(".img")
        with self._image.open("wb") as file:
            file.truncate(16 * 1024 * 1024)
        _run(program("mkfs.ext4", "e2fsprogs"), "-q", "-F", "-m", "0", self._image)
        super().__init__(folder)

    def _mount(self) -> None:
        _run("mount", "-o", "loop,errors=remount-ro", self._image, self.folder)

    def fail(self) -> None:
        """Let the kernel find an error: it makes the disk read-only under everybody's hands."""
        device = subprocess.run(
            ["findmnt", "-no", "SOURCE", str(self.folder)],
            capture_output=True, text=True, check=True,
        ).stdout.strip()  # fmt: skip
        trigger = Path("/sys/fs/ext4") / Path(device).name / "trigger_fs_error"
        try:
            trigger.write_text("campaign")
        except OSError as error:
            raise MissingError(f"the kernel can't be told of an error: {error}") from None

    def mount_again(self) -> None:
        """What a reboot does: check the disk, and mount it to be written again."""
        self.unmount()
        subprocess.run(
            [program("e2fsck", "e2fsprogs"), "-fy", str(self._image)],
            capture_output=True,
            check=False,
        )
        self._mount()

    def freeze(self) -> None:
        """Let every write wait, as a worn card does that is busy with itself."""
        _run(program("fsfreeze", "util-linux"), "-f", self.folder)

    def thaw(self) -> None:
        """Let the writes go on."""
        _run(program("fsfreeze", "util-linux"), "-u", self.folder)

    def unmount(self) -> None:
        """Take it away, frozen or not."""
        with suppress(MissingError):
            self.thaw()
        super().unmount()

    def refuse(self) -> None:
        """Let every write to the files that lie on it fail, while reading goes on."""
        self._mark("+i")

    def allow(self) -> None:
        """Let them be written again."""
        self._mark("-i")

    def _mark(self, how: str) -> None:
        # The -shm is memory that is shared, not a file that is written to; a real disk that
        # goes read-only leaves it alone too.
        files = [path for path in self.folder.rglob("*.sqlite3*") if path.suffix != ".sqlite3-shm"]
        _run(program("chattr", "e2fsprogs"), how, *files)
