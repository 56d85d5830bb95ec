"""The folder of the user's own plans. Reads what is there, adds new files, never rewrites one.

Knows files and their names, not what a plan says. What is asked for by name is looked for among
the folder's own entries, so no name leads out of it.
"""

from __future__ import annotations

import os
import re
import unicodedata
from hashlib import sha256
from pathlib import Path

from supervisor.core.errors import InputError, PeerError
from supervisor.core.reasons import Reason
from supervisor.core.schedule import starter_names
from supervisor.whole_file import settle, whole_file
from web.plans import UnknownPlanError

SUFFIX = ".toml"
LARGEST_BYTES = 1_000_000
MOST_FILES = 500
_STEM_CHARS = 60
_NO_LETTERS = re.compile(r"[^a-z0-9]+")


class PlanIsThereError(InputError):
    """A plan of the same name is there already."""


class PlanFiles:
    """The schedule files in ``folder``, which is made when the first one is kept."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def names(self) -> list[str]:
        """Names of the files that may be plans, in alphabetical order, at most ``MOST_FILES``.

        Raises PeerError when the folder can't be read.
        """
        try:
            with os.scandir(self.folder) as entries:
                found = [
                    entry.name
                    for entry in entries
                    if entry.name.endswith(SUFFIX)
                    and not entry.name.startswith(".")
                    and _is_text(entry.name)
                    and entry.is_file()
                ]
        except FileNotFoundError:
            return []
        except OSError as error:
            raise PeerError(f"{self.folder}: the plans can't be read ({error.strerror})").because(
                Reason.PLANS_UNREADABLE, folder=str(self.folder)
            ) from None
        return sorted(found)[:MOST_FILES]

    def read(self, name: str) -> str:
        """The text of the file ``name``.

        Raises UnknownPlanError if there is none, InputError for what can't be a schedule file.
        """
        if name not in self.names():
            raise UnknownPlanError(f"There is no plan “{name[:80]}”.").because(
                Reason.NO_PLAN, plan=name[:80]
            )
        try:
            with (self.folder / name).open("rb") as file:
                data = file.read(LARGEST_BYTES + 1)
        except OSError as error:
            raise InputError(f"this file can't be read ({error.strerror})", where=name).because(
                Reason.FILE_UNREADABLE
            ) from None
        if len(data) > LARGEST_BYTES:
            raise InputError(
                "this file is too large to be a plan (1 MB at most)", where=name
            ).because(Reason.FILE_TOO_LARGE)
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            raise InputError("this is not UTF-8 text", where=name).because(Reason.NO_TEXT) from None

    def add(self, title: str, text: str) -> str:
        """Keep ``text`` as a new file that is named after ``title``; the file's name.

        On disk, and read back, when this returns. Raises PlanIsThereError if there is a file, or
        a starter, of that name, PeerError when the disk refuses.
        """
        stem = stem_of(title)
        name = f"{stem}{SUFFIX}"
        path = self.folder / name
        if stem in starter_names():
            raise PlanIsThereError(
                f"The starter “{stem}” has this name; give your plan another one."
            ).because(Reason.STARTER_HAS_NAME, name=stem)
        taken = PlanIsThereError(
            f"There is a plan in {name} already, and none is ever replaced; give this one another "
            f"name."
        ).because(Reason.PLAN_IS_THERE, file=name)
        if os.path.lexists(path):
            raise taken
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise PeerError(f"{self.folder}: no plan can be kept here ({error.strerror})").because(
                Reason.PLAN_NOT_KEPT, file=str(self.folder)
            ) from None
        try:
            with whole_file(path, may_replace=False) as file:
                file.write(text)
            settle(self.folder)
            kept = path.read_bytes().decode("utf-8")
        except FileExistsError:
            raise taken from None
        except PeerError:
            raise
        except (OSError, UnicodeDecodeError) as error:
            why = error.strerror if isinstance(error, OSError) else "it came back otherwise"
            raise PeerError(f"{path}: the plan can't be kept ({why})").because(
                Reason.PLAN_NOT_KEPT, file=str(path)
            ) from None
        if kept != text:
            path.unlink(missing_ok=True)
            raise PeerError(f"{path}: the disk gave back another text than was written").because(
                Reason.PLAN_NOT_KEPT, file=str(path)
            )
        return name


def stem_of(title: str) -> str:
    """What a plan's file is called, without its ending: letters, digits and hyphens alone.

    >>> stem_of("Größe 6: Steinzeug / ½ langsam"), stem_of("../../etc/passwd")
    ('grosse-6-steinzeug-1-2-langsam', 'etc-passwd')
    >>> stem_of("釉").startswith("plan-")
    True
    """
    plain = unicodedata.normalize("NFKD", title.casefold()).replace("\u2044", "-")
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    stem = _NO_LETTERS.sub("-", letters).strip("-")[:_STEM_CHARS].strip("-")
    # A name of none of our letters gets one of its own all the same.
    return stem or f"plan-{sha256(title.encode()).hexdigest()[:8]}"


def _is_text(name: str) -> bool:
    """Whether a file's name can be shown and asked for at all."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return name.isprintable()
