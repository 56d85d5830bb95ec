"""Questions to a person at a terminal, each with an answer that an empty line takes.

Knows how to ask again; what an answer means is the asker's business. Without a person (a file of
answers, ``--defaults``) it works alike.
"""

from __future__ import annotations

import getpass
import sys
from collections.abc import Callable
from typing import TypeVar

from supervisor.core.errors import InputError

T = TypeVar("T")

_ENDED = (
    "the answers have ended before the questions: nothing is written; give the answers as "
    "options, or let --defaults answer"
)
_YES, _NO = ("y", "yes"), ("n", "no")


class Asking:
    """Asks on stdout and reads answers from stdin; with ``takes_defaults`` it asks nobody."""

    def __init__(self, *, takes_defaults: bool = False) -> None:
        self._takes_defaults = takes_defaults

    def tell(self, text: str) -> None:
        """Something to know before the next question; nothing where nobody is asked."""
        if not self._takes_defaults:
            print(text)

    def ask(self, question: str, default: str, take: Callable[[str], T]) -> T:
        """The answer as ``take`` understands it; asked again while ``take`` raises InputError.

        An empty answer is ``default``. Raises InputError where the answers end, or where the
        default itself is not to be taken.
        """
        if self._takes_defaults:
            return take(default)
        while True:
            try:
                text = input(f"{question} [{default}]: ").strip()
            except EOFError:
                print()
                raise InputError(_ENDED) from None
            except UnicodeDecodeError:
                print("  That is not text in UTF-8.", file=sys.stderr)
                continue
            try:
                return take(text or default)
            except InputError as error:
                print(f"  {error}", file=sys.stderr)

    def ask_yes(self, question: str, *, default: bool) -> bool:
        """Whether the answer is yes."""
        return self.ask(question, "yes" if default else "no", yes_or_no)

    def ask_secret(self, question: str, take: Callable[[str], T]) -> T:
        """The same for what nobody is to see; an empty answer goes to ``take`` as it is."""
        if self._takes_defaults:
            return take("")
        while True:
            try:
                text = read_secret(f"{question}: ")
                found = take(text)
                if text and sys.stdin.isatty() and read_secret("Once more: ") != text:
                    raise InputError("the two are not the same: try again")
            except EOFError:
                print()
                raise InputError(_ENDED) from None
            except InputError as error:
                print(f"  {error}", file=sys.stderr)
            else:
                return found


def read_secret(prompt: str) -> str:
    """A line from the terminal that isn't shown, or from stdin.

    Raises EOFError where there is none, InputError for what is no text.
    """
    try:
        if sys.stdin.isatty():
            return getpass.getpass(prompt).strip()
        text = input(prompt).strip()
    except UnicodeDecodeError:
        raise InputError("that is not text in UTF-8") from None
    return text


def yes_or_no(text: str) -> bool:
    """What "yes", "y", "no" and "n" mean; raises InputError for another word."""
    word = text.strip().lower()
    if word not in _YES + _NO:
        raise InputError(f'"{text[:40]}" is neither yes nor no')
    return word in _YES
