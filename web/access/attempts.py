"""How long a person waits before another try at the PIN, by address and over all of them.

Pure: knows addresses and seconds that its caller tells. Waits grow with each wrong PIN up to an
end, and what was wrong is forgotten in time, so that nobody is locked out for ever. Whoever has
signed in from an address before does not wait for what strangers tried, so that strangers can't
lock the owner out either. What is remembered is bounded, however many addresses try.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address

FREE = 3
"""Wrong PINs from one address that cost nothing: everybody mistypes."""
FIRST_S = 5.0
LONGEST_S = 900.0
"""The wait doubles from the one to the other, seconds."""
FORGOTTEN_AFTER_S = 3600.0
"""An hour without a wrong PIN takes one off an address's count."""
STRANGERS_FREE = 20
STRANGERS_FIRST_S = 1.0
STRANGERS_LONGEST_S = 60.0
"""The same for all addresses together that nobody has signed in from: at the end one try a
minute, 1,440 a day, which takes a year on average for six digits."""
STRANGERS_FORGOTTEN_AFTER_S = 300.0
MOST_ADDRESSES = 512
"""Addresses that are remembered; of more, those longest without a wrong PIN are forgotten."""


def place_of(address: str) -> str:
    """The address as it is counted: of IPv6 the network, of which one machine has all addresses.

    >>> place_of("192.168.1.7"), place_of("fd00::1:2:3:4"), place_of("::ffff:10.0.0.1")
    ('192.168.1.7', 'fd00::', '10.0.0.1')
    """
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:64]
    if isinstance(found, IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        if not found.is_loopback:
            return str(IPv6Address(int(found) >> 64 << 64))
    return str(found)


@dataclass(slots=True)
class _Count:
    """Wrong PINs, and when the last of them was."""

    free: int
    first_s: float
    longest_s: float
    forgotten_after_s: float
    wrong: int = 0
    last_s: float = -math.inf

    def wait_s(self, now_s: float) -> float:
        """Seconds until the next try."""
        self._forget(now_s)
        over = self.wrong - self.free
        if over < 0:
            return 0.0
        wait_s = min(self.longest_s, self.first_s * 2.0 ** min(over, 60))
        return max(0.0, self.last_s + wait_s - now_s)

    def add(self, now_s: float) -> None:
        self._forget(now_s)
        self.wrong += 1
        self.last_s = now_s

    def take_off(self) -> None:
        self.wrong = max(0, self.wrong - 1)

    def _forget(self, now_s: float) -> None:
        if self.wrong and now_s > self.last_s:
            times = int((now_s - self.last_s) // self.forgotten_after_s)
            if times:
                self.wrong = max(0, self.wrong - times)
                self.last_s += times * self.forgotten_after_s


class Attempts:
    """What was tried lately. Times are seconds on a clock that never jumps."""

    def __init__(self) -> None:
        self._by_place: OrderedDict[str, _Count] = OrderedDict()
        self._strangers = self._of_strangers()

    @staticmethod
    def _of_strangers() -> _Count:
        return _Count(
            STRANGERS_FREE, STRANGERS_FIRST_S, STRANGERS_LONGEST_S, STRANGERS_FORGOTTEN_AFTER_S
        )

    def __len__(self) -> int:
        """How many addresses are remembered."""
        return len(self._by_place)

    def wait_s(self, address: str, now_s: float, *, is_known: bool) -> float:
        """Seconds until a try from ``address`` is heard; 0: now.

        ``is_known``: somebody has signed in from there before.
        """
        count = self._by_place.get(place_of(address))
        own_s = 0.0 if count is None else count.wait_s(now_s)
        return own_s if is_known else max(own_s, self._strangers.wait_s(now_s))

    def begin(self, address: str, now_s: float, *, is_known: bool) -> None:
        """A try begins: it counts as wrong until it is found right, so that many at the same
        time are no way around the wait."""
        place = place_of(address)
        count = self._by_place.pop(place, None)
        if count is None:
            count = _Count(FREE, FIRST_S, LONGEST_S, FORGOTTEN_AFTER_S)
            while len(self._by_place) >= MOST_ADDRESSES:
                self._by_place.popitem(last=False)
        count.add(now_s)
        self._by_place[place] = count
        if not is_known:
            self._strangers.add(now_s)

    def was_right(self, address: str, *, was_known: bool) -> None:
        """The try that ``begin`` counted was right."""
        self._by_place.pop(place_of(address), None)
        if not was_known:
            self._strangers.take_off()

    def forget_all(self) -> None:
        """There is another PIN: what was tried says nothing any more."""
        self._by_place.clear()
        self._strangers = self._of_strangers()
