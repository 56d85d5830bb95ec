"""Which plan the next log begins with: the one chosen on the page, else the configuration's.

A choice is kept in a file of its own beside the record, with the plan's whole text: what was
chosen is fired, whatever becomes of the file that it came from. It counts for one log. That it is
spent is read from the record alone, from a firing with readings that names it, so that no moment
at which the power goes loses a choice or lets it count twice.
"""

from __future__ import annotations

import json
import secrets
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from supervisor.core.errors import InputError, PeerError
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Mode
from supervisor.service.setup import PLAN_CHOICE, Setup
from supervisor.service.terminal import warn
from supervisor.whole_file import settle, whole_file

FILE_NAME = "next-plan.json"


@dataclass(frozen=True, slots=True)
class Choice:
    """A plan that was chosen: its id in the list, its text, and a token of this choice."""

    plan_id: str
    text: str
    token: str
    schedule: Schedule


class NextPlan:
    """The choice that is in force. ``path`` is where it is kept; None: for this run alone."""

    def __init__(self, path: Path | None, choice: Choice | None = None) -> None:
        self._path = path
        self._choice = choice
        self._is_spent = False

    @staticmethod
    def open(setup: Setup, record: RecordReader) -> NextPlan:
        """What was chosen before this start and is not spent yet.

        A simulation neither finds nor leaves a choice. A plan named when spyhole was started
        takes the place of a choice.
        """
        if setup.mode is not Mode.LIVE:
            return NextPlan(None)
        path = setup.data_dir / FILE_NAME
        choice = _read(path)
        if choice is not None and (setup.plan_is_named or _is_spent(choice, record)):
            _remove(path)
            choice = None
        return NextPlan(path, choice)

    @property
    def choice(self) -> Choice | None:
        """What was chosen for the next log."""
        return self._choice

    def on(self, setup: Setup) -> Setup:
        """``setup`` with the plan that the next log begins with."""
        choice = self._choice
        if choice is None:
            return setup
        return replace(
            setup,
            schedule=choice.schedule,
            schedule_toml=choice.text,
            plan_choice=choice.token,
        )

    def choose(self, plan_id: str, text: str) -> None:
        """Let the next log begin with this plan; on disk when this returns.

        Raises InputError for a text that is no plan, PeerError when the disk refuses.
        """
        choice = Choice(plan_id, text, secrets.token_hex(8), parse_schedule(text, plan_id))
        if self._path is not None:
            with whole_file(self._path) as file:
                json.dump({"id": plan_id, "token": choice.token, "text": text}, file)
            try:
                settle(self._path.parent)
            except OSError as error:
                raise PeerError(f"{self._path}: it can't be kept ({error.strerror})") from None
        self._choice, self._is_spent = choice, False

    def forget(self) -> None:
        """Let the next log begin with the configuration's plan. Raises PeerError."""
        if self._path is not None:
            try:
                self._path.unlink(missing_ok=True)
                settle(self._path.parent)
            except OSError as error:
                raise PeerError(
                    f"{self._path}: the choice can't be taken back ({error.strerror})"
                ) from None
        self._choice = None

    def spend(self) -> None:
        """A log has begun with it; the record tells a later start so."""
        self._is_spent = self._choice is not None
        self._choice = None

    def tidy(self) -> None:
        """The log that it was spent on is over and long on disk: its file tells nothing more."""
        if self._is_spent and self._path is not None:
            _remove(self._path)
        self._is_spent = False


def _read(path: Path) -> Choice | None:
    """The choice kept in ``path``; one that can't be read is told of and left out."""
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        plan_id, token, text = (str(kept[key]) for key in ("id", "token", "text"))
        return Choice(plan_id, text, token, parse_schedule(text, plan_id))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError) as error:
        why = str(error) if isinstance(error, InputError) else "it can't be read"
        warn(
            f"{path}: the plan that was chosen for the next log is not used ({why}); choose it "
            "again on the page"
        )
        return None


def _is_spent(choice: Choice, record: RecordReader) -> bool:
    return any(
        firing.settings.get(PLAN_CHOICE) == choice.token and record.extent(firing.id) is not None
        for firing in record.firings()
    )


def _remove(path: Path) -> None:
    with suppress(OSError):
        path.unlink(missing_ok=True)
