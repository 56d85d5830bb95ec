"""A file appears whole or not at all, and nothing but a plain file is ever replaced."""

from __future__ import annotations

import os
import socket
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, PeerError
from supervisor.whole_file import whole_file


def written(path: Path, text: str = "new\n") -> None:
    with whole_file(path) as file:
        file.write(text)


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with nothing else in it."""
    made = tmp_path / "folder"
    made.mkdir()
    return made


def a_socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(str(path))


@pytest.mark.parametrize("make", [os.mkfifo, a_socket])
@pytest.mark.parametrize("by_link", [False, True])
def test_what_is_no_plain_file_is_never_replaced(
    folder: Path, make: Callable[[Path], None], by_link: bool
) -> None:
    place = folder / "place"
    make(place)
    before = place.stat()
    named = place
    if by_link:
        named = folder / "link"
        named.symlink_to(place)
    with pytest.raises(InputError, match="a device, a pipe or the like") as caught:
        written(named)
    assert str(caught.value).startswith(f"{named}: ")
    assert os.path.samestat(place.stat(), before)
    assert named.is_symlink() is by_link
    assert {path.name for path in folder.iterdir()} == {place.name, named.name}


@pytest.mark.parametrize("descriptor", [1, 2])
@pytest.mark.parametrize("into", ["pipe", "file"])
def test_the_programs_own_output_is_not_replaced(folder: Path, descriptor: int, into: str) -> None:
    link = folder / "link"
    link.symlink_to(f"/proc/self/fd/{descriptor}")
    program = (
        "import sys\n"
        "from pathlib import Path\n"
        "from supervisor.core.errors import InputError\n"
        "from supervisor.whole_file import whole_file\n"
        "try:\n"
        "    with whole_file(Path(sys.argv[1])) as file:\n"
        "        file.write('lost')\n"
        "except InputError as error:\n"
        f"    print('refused', file=sys.{'stdout' if descriptor == 1 else 'stderr'})\n"
    )
    words = [sys.executable, "-c", program, str(link)]
    streams = {1: "stdout", 2: "stderr"}
    out = folder / "out.txt"
    if into == "pipe":
        done = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
        told = done.stdout if descriptor == 1 else done.stderr
    else:
        with out.open("w") as file:
            subprocess.run(words, check=True, timeout=60, **{streams[descriptor]: file})  # type: ignore[call-overload]
        told = out.read_text()
    assert told == "refused\n"
    assert link.is_symlink()
    assert {path.name for path in folder.iterdir()} <= {"link", "out.txt"}


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_a_file_that_is_replaced_keeps_its_permissions(folder: Path, mode: int) -> None:
    path = folder / "log.csv"
    path.write_text("old\n")
    path.chmod(mode)
    written(path)
    assert (path.read_text(), mode_of(path)) == ("new\n", mode)
    assert list(folder.iterdir()) == [path]


@pytest.mark.parametrize("before", [None, 0o644, 0o600])
def test_a_private_file_is_its_owners_alone_from_its_first_byte(
    folder: Path, before: int | None
) -> None:
    place = folder / "place"
    if before is not None:
        place.write_text("old")
        place.chmod(before)
    umask = os.umask(0)
    try:
        with whole_file(place, is_private=True) as file:
            file.write("secret")
            assert [mode_of(path) for path in folder.glob(".spyhole-*")] == [0o600]
    finally:
        os.umask(umask)
    assert mode_of(place) == 0o600


@pytest.mark.parametrize(("umask", "mode"), [(0o077, 0o600), (0o027, 0o640), (0o002, 0o664)])
def test_a_new_file_has_the_permissions_that_the_umask_leaves(
    folder: Path, umask: int, mode: int
) -> None:
    before = os.umask(umask)
    try:
        written(folder / "log.csv")
    finally:
        os.umask(before)
    assert mode_of(folder / "log.csv") == mode


def test_a_link_stays_a_link_and_its_file_is_replaced(folder: Path) -> None:
    place, link = folder / "place.csv", folder / "link.csv"
    place.write_text("old\n")
    link.symlink_to("place.csv")
    written(link)
    assert link.is_symlink()
    assert place.read_text() == "new\n"
    dangling = folder / "dangling.csv"
    dangling.symlink_to("born.csv")
    written(dangling)
    assert dangling.is_symlink()
    assert (folder / "born.csv").read_text() == "new\n"


def test_a_file_that_breaks_off_leaves_the_old_one(folder: Path) -> None:
    path = folder / "log.csv"
    path.write_text("old\n")

    def broken() -> None:
        with whole_file(path) as file:
            file.write("half")
            raise RuntimeError("the simulation broke")

    with pytest.raises(RuntimeError):
        broken()
    assert list(folder.iterdir()) == [path]
    assert path.read_text() == "old\n"


@pytest.mark.parametrize("name", ["a\0b.csv", "x" * 300, "loop.csv", "", "no/log.csv", "file/x"])
def test_a_name_that_no_file_can_have_is_bad_input(folder: Path, name: str) -> None:
    (folder / "loop.csv").symlink_to("loop.csv")
    (folder / "file").write_text("a file\n")
    with pytest.raises(InputError) as caught:
        written(folder / name)
    assert "\n" not in str(caught.value)
    assert {path.name for path in folder.iterdir()} == {"loop.csv", "file"}


def test_the_longest_name_can_be_written(folder: Path) -> None:
    path = folder / f"{'x' * 251}.csv"
    written(path)
    assert path.read_text() == "new\n"


def test_a_disk_that_refuses_is_said_in_one_sentence(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PeerError, match=r"can't be written \(No space left on device\)"):
        written(folder / "log.csv")
    assert list(folder.iterdir()) == []


def test_a_stick_that_knows_no_permissions_can_be_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(_descriptor: int, _mode: int) -> None:
        raise PermissionError(1, "Operation not permitted")

    path = folder / "log.csv"
    path.write_text("old\n")
    monkeypatch.setattr(os, "fchmod", refused)
    written(path)
    assert path.read_text() == "new\n"


@pytest.mark.parametrize("knows_links", [True, False])
def test_one_that_may_replace_nothing_takes_a_free_name_and_no_other(
    folder: Path, monkeypatch: pytest.MonkeyPatch, knows_links: bool
) -> None:
    if not knows_links:

        def refuse(_from: Path, to: Path) -> None:
            raise PermissionError(1, "Operation not permitted", str(to))

        monkeypatch.setattr(os, "link", refuse)
    place = folder / "place"
    with whole_file(place, may_replace=False) as file:
        file.write("first\n")
    with pytest.raises(FileExistsError), whole_file(place, may_replace=False) as file:
        file.write("second\n")
    assert place.read_text() == "first\n"
    assert [path.name for path in folder.iterdir()] == ["place"]
