"""Waits grow, end, and are forgotten; strangers lock nobody out and fill no memory."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from web.access.attempts import (
    FIRST_S,
    FORGOTTEN_AFTER_S,
    FREE,
    LONGEST_S,
    MOST_ADDRESSES,
    STRANGERS_LONGEST_S,
    Attempts,
    place_of,
)

HERE = "192.168.1.20"


def wrong(attempts: Attempts, now_s: float, address: str = HERE, *, is_known: bool = False) -> bool:
    """One wrong PIN, if it is heard at all."""
    if attempts.wait_s(address, now_s, is_known=is_known) > 0.0:
        return False
    attempts.begin(address, now_s, is_known=is_known)
    return True


def test_a_few_mistakes_cost_nothing_and_then_the_wait_doubles_up_to_its_end() -> None:
    attempts, now_s = Attempts(), 0.0
    waits = []
    for _ in range(15):
        assert wrong(attempts, now_s)
        wait_s = attempts.wait_s(HERE, now_s, is_known=False)
        waits.append(wait_s)
        now_s += wait_s
    assert waits[: FREE - 1] == [0.0] * (FREE - 1)
    assert waits[FREE - 1 : FREE + 3] == [FIRST_S * 2**n for n in range(4)]
    assert waits[-1] == LONGEST_S
    assert waits == sorted(waits)


def test_a_wait_runs_down_and_a_try_that_is_not_heard_does_not_lengthen_it() -> None:
    attempts = Attempts()
    for _ in range(FREE):
        assert wrong(attempts, 0.0)
    assert attempts.wait_s(HERE, 1.0, is_known=False) == FIRST_S - 1.0
    assert not wrong(attempts, 1.0)
    assert attempts.wait_s(HERE, FIRST_S, is_known=False) == 0.0


def test_the_right_pin_ends_the_count() -> None:
    attempts = Attempts()
    for _ in range(FREE - 1):
        assert wrong(attempts, 0.0)
    attempts.begin(HERE, 0.0, is_known=False)
    attempts.was_right(HERE, was_known=False)
    assert attempts.wait_s(HERE, 0.0, is_known=False) == 0.0
    assert len(attempts) == 0


def test_many_tries_at_the_same_time_are_no_way_around() -> None:
    attempts = Attempts()
    heard = sum(wrong(attempts, 0.0) for _ in range(100))
    assert heard == FREE


def test_mistakes_are_forgotten_one_an_hour() -> None:
    attempts, now_s = Attempts(), 0.0
    for _ in range(8):
        now_s += attempts.wait_s(HERE, now_s, is_known=False)
        assert wrong(attempts, now_s)
    far_s = now_s + 8 * FORGOTTEN_AFTER_S
    assert sum(wrong(attempts, far_s) for _ in range(20)) == FREE


def test_strangers_from_everywhere_get_one_try_a_minute_and_a_known_phone_waits_for_none() -> None:
    attempts, now_s, heard = Attempts(), 0.0, 0
    addresses = (f"10.{n >> 16}.{n >> 8 & 255}.{n & 255}" for n in itertools.count())
    while now_s < 24 * 3600.0:
        heard += wrong(attempts, now_s, next(addresses))
        now_s += 1.0
        assert len(attempts) <= MOST_ADDRESSES
        assert attempts.wait_s("192.168.1.2", now_s, is_known=True) == 0.0
    # 20 for nothing, those of the first minutes, then one a minute.
    assert heard < 24 * 3600.0 / STRANGERS_LONGEST_S + 40
    assert attempts.wait_s("192.168.1.2", now_s, is_known=False) <= STRANGERS_LONGEST_S


def test_one_stranger_alone_makes_no_other_stranger_wait() -> None:
    attempts, now_s = Attempts(), 0.0
    while now_s < 24 * 3600.0:
        wrong(attempts, now_s)
        assert attempts.wait_s("192.168.1.77", now_s, is_known=False) == 0.0
        now_s += 30.0


def test_another_pin_forgets_all_of_it() -> None:
    attempts = Attempts()
    for n in range(60):
        wrong(attempts, 0.0, f"10.0.0.{n}")
    assert attempts.wait_s("10.0.0.200", 0.0, is_known=False) > 0.0
    attempts.forget_all()
    assert len(attempts) == 0
    assert attempts.wait_s("10.0.0.200", 0.0, is_known=False) == 0.0


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("fd00:1:2:3::1", "fd00:1:2:3:ffff::2", True),
        ("fd00:1:2:3::1", "fd00:1:2:4::1", False),
        ("fe80::1%eth0", "fe80::2%wlan0", True),
        ("::ffff:192.168.1.7", "192.168.1.7", True),
        ("192.168.1.7", "192.168.1.8", False),
        ("::1", "::2", False),
    ],
)
def test_one_machine_has_one_place(one: str, other: str, is_same: bool) -> None:
    assert (place_of(one) == place_of(other)) == is_same


@given(
    steps=st.lists(
        st.tuples(st.floats(0, 5000), st.sampled_from([HERE, "::1", "x"]), st.booleans()),
        max_size=60,
    )
)
def test_nobody_ever_waits_longer_than_the_longest_wait(
    steps: list[tuple[float, str, bool]],
) -> None:
    attempts, now_s = Attempts(), 0.0
    for later_s, address, is_known in steps:
        now_s += later_s
        wait_s = attempts.wait_s(address, now_s, is_known=is_known)
        assert 0.0 <= wait_s <= LONGEST_S
        if wait_s == 0.0:
            attempts.begin(address, now_s, is_known=is_known)
