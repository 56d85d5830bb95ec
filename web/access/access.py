"""Who may do what: the one place that decides it.

Knows the PIN's hash, who is signed in, and how long a stranger waits. Knows a request as the
address that it comes from and the token that it brings, nothing more of HTTP.

Whoever sits at the machine itself may read and write as long as no PIN is set: they could as well
set one. Once one is set, it is asked of everybody.
"""

from __future__ import annotations

import asyncio
import math
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from web.access.attempts import Attempts
from web.access.interface import Deed, Keys, NoKeys, NoTrail, Trail, UnreadablePinError
from web.access.pin import PinHash
from web.access.sessions import LIFE_S, Session, Sessions
from web.writing import Writings

MOST_WAITING = 4
"""Tries that wait for the one that is being looked at: each needs scrypt's memory and time."""
BUSY_WAIT_S = 2.0


class Reading(StrEnum):
    """Who may read."""

    OPEN = "open"
    PIN = "pin"


class PinState(StrEnum):
    """Whether there is a PIN."""

    SET = "set"
    NONE = "none"
    UNREADABLE = "unreadable"


class Refusal(StrEnum):
    """Why somebody may not."""

    SIGN_IN = "sign_in"
    NO_PIN = "no_pin"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who asks: from where, whether from this very machine, and with which session."""

    address: str
    is_here: bool = False
    token: str | None = None
    session: Session | None = None

    @property
    def name(self) -> str | None:
        """The name that they gave when they signed in."""
        return None if self.session is None else self.session.name


class WrongPinError(Exception):
    """That is not the PIN."""


class TooSoonError(Exception):
    """Too many wrong PINs: ``wait_s`` more seconds until another one is looked at."""

    def __init__(self, wait_s: float) -> None:
        super().__init__(wait_s)
        self.wait_s = wait_s


class NoPinError(Exception):
    """There is no PIN to sign in with."""


class Access:
    """Decides, signs in and out. Called from the event loop that serves the page."""

    def __init__(
        self,
        keys: Keys | None = None,
        trail: Trail | None = None,
        *,
        reading: Reading = Reading.OPEN,
        clock: Callable[[], float] = time.monotonic,
        wall: Callable[[], float] = time.time,
        warn: Callable[[str], None] = lambda text: print(text, file=sys.stderr),
    ) -> None:
        """``clock`` gives seconds that never jump; ``wall`` is asked only what a restart hides."""
        self._keys: Keys = keys or NoKeys()
        self._trail: Trail = trail or NoTrail()
        self.reading = reading
        self._clock = clock
        self._wall = wall
        self._warn = warn
        self._attempts = Attempts()
        self._sessions: Sessions | None = None
        self._looking = asyncio.Lock()
        self._waiting = 0
        self._writings = Writings()
        self._saving = asyncio.Lock()
        self._noting: set[asyncio.Task[None]] = set()

    # What there is

    def _pin(self) -> tuple[PinState, PinHash | None]:
        try:
            pin = self._keys.pin()
        except UnreadablePinError:
            return PinState.UNREADABLE, None
        return (PinState.NONE if pin is None else PinState.SET), pin

    @property
    def pin_state(self) -> PinState:
        """Whether there is a PIN now."""
        return self._pin()[0]

    @property
    def pin_is_digits(self) -> bool:
        """Whether a keypad of digits is enough to type it."""
        pin = self._pin()[1]
        return pin is not None and pin.is_digits

    def how_to_set(self) -> str:
        """The command that sets a PIN."""
        return self._keys.how_to_set()

    def _sessions_under(self, pin: PinHash) -> Sessions:
        """Those under this PIN; with another one than before nobody is signed in any more."""
        sessions = self._sessions
        if sessions is not None and sessions.pin_mark == pin.mark:
            return sessions
        if sessions is None:
            text = self._keys.load_sessions()
            try:
                sessions = (
                    Sessions(pin.mark)
                    if text is None
                    else Sessions.from_json(text, pin.mark, self._clock(), self._wall())
                )
            except ValueError as error:
                self._warn(f"who was signed in on the page can't be read back: {error}")
                sessions = Sessions(pin.mark)
        else:
            sessions = Sessions(pin.mark)
            self._attempts.forget_all()
        self._sessions = sessions
        return sessions

    # Who asks, and what they may

    def visitor(self, address: str, *, is_here: bool, token: str | None) -> Visitor:
        """Who asks from ``address`` with that token; ``is_here``: surely from this machine."""
        session = None
        if token is not None:
            pin = self._pin()[1]
            if pin is not None:
                session = self._sessions_under(pin).find(token, self._clock())
        return Visitor(address, is_here, token, session)

    def refuses_writing(self, visitor: Visitor) -> Refusal | None:
        """Why this visitor may not write; None: they may."""
        state, pin = self._pin()
        if state is PinState.UNREADABLE:
            return Refusal.UNREADABLE
        if pin is None:
            return None if visitor.is_here else Refusal.NO_PIN
        return None if self._is_in(visitor, pin) else Refusal.SIGN_IN

    def refuses_reading(self, visitor: Visitor) -> Refusal | None:
        """Why this visitor may not read; None: they may."""
        return None if self.reading is Reading.OPEN else self.refuses_writing(visitor)

    def _is_in(self, visitor: Visitor, pin: PinHash) -> bool:
        """Whether their session goes on, now."""
        if visitor.token is None:
            return False
        return self._sessions_under(pin).find(visitor.token, self._clock()) is not None

    def left_s(self, visitor: Visitor) -> float | None:
        """Seconds until the visitor's session ends; None without one."""
        if visitor.session is None:
            return None
        return max(0.0, visitor.session.began_s + LIFE_S - self._clock())

    # Signing in and out

    async def sign_in(self, visitor: Visitor, text: str, name: str) -> str:
        """The token of a new session. Raises NoPinError, TooSoonError, WrongPinError."""
        state, pin = self._pin()
        if pin is None:
            raise NoPinError(state)
        sessions = self._sessions_under(pin)
        is_known = visitor.is_here or sessions.is_known(visitor.address)
        wait_s = self._attempts.wait_s(visitor.address, self._clock(), is_known=is_known)
        if wait_s > 0.0:
            raise TooSoonError(math.ceil(wait_s))
        if self._waiting >= MOST_WAITING:
            raise TooSoonError(BUSY_WAIT_S)
        self._attempts.begin(visitor.address, self._clock(), is_known=is_known)
        self._waiting += 1
        try:
            async with self._looking:
                # In a thread, for it takes a small machine seconds, in which the kiln is watched.
                is_right = await asyncio.to_thread(pin.fits, text)
        finally:
            self._waiting -= 1
        if not is_right:
            await self.note(Deed("wrong_pin", name, visitor.address))
            raise WrongPinError
        now = self._pin()[1]
        if now is None or now.mark != pin.mark:
            raise WrongPinError  # it was changed while this one was looked at
        self._attempts.was_right(visitor.address, was_known=is_known)
        if visitor.token is not None:
            sessions.end(visitor.token)
        token = sessions.begin(name, visitor.address, self._clock())
        await self.note(Deed("sign_in", name, visitor.address))
        await self._save()
        return token

    async def sign_out(self, visitor: Visitor, *, everywhere: bool) -> None:
        """End the visitor's session, or with ``everywhere`` all. Once more changes nothing."""
        pin = self._pin()[1]
        if pin is None or not self._is_in(visitor, pin):
            return
        sessions = self._sessions_under(pin)
        if everywhere:
            sessions.end_all()
        elif visitor.token is not None:
            sessions.end(visitor.token)
        what = "sign_out_everywhere" if everywhere else "sign_out"
        await self.note(Deed(what, visitor.name, visitor.address))
        await self._save()

    async def _save(self) -> None:
        """Keep who is signed in; a disk that does not take it costs them a sign-in, no more."""
        sessions = self._sessions
        if sessions is None:
            return

        async def save() -> None:
            async with self._saving:
                # As it is when its turn comes: nothing older ever replaces something newer.
                text = sessions.to_json(self._clock(), self._wall())
                try:
                    await asyncio.to_thread(self._keys.save_sessions, text)
                except OSError as error:
                    self._warn(
                        f"who is signed in on the page could not be kept ({error.strerror}): "
                        "after a restart they sign in again"
                    )

        await self._writings.in_time(save())

    # The trail

    async def note(self, deed: Deed) -> None:
        """Keep who did what; waits for the disk three seconds at most, and is loud if it fails."""

        async def add() -> None:
            try:
                await self._trail.add(deed)
            except OSError as error:
                self._warn(
                    f"what {deed.who or 'somebody'} did on the page ({deed.what}) could not be "
                    f"written into the record's trail: {error}"
                )

        await self._writings.in_time(add())

    def note_later(self, deed: Deed) -> None:
        """The same, for who has waited long enough already."""
        task = asyncio.ensure_future(self.note(deed))
        self._noting.add(task)
        task.add_done_callback(self._noting.discard)

    @property
    def trail(self) -> Trail:
        """Who wrote what."""
        return self._trail
