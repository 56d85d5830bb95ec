"""Sessions: known by their hashes, ended in time, kept through a restart, never too many."""

from __future__ import annotations

import json

import pytest

from web.access.sessions import LIFE_S, MOST_PLACES, MOST_SESSIONS, Sessions

WALL_S = 1_700_000_000.0


def again(
    sessions: Sessions, *, pin: str = "p", off_s: float = 0.0, now_s: float = 0.0
) -> Sessions:
    """After a restart that took ``off_s`` by the wall clock."""
    text = sessions.to_json(500.0, WALL_S)
    return Sessions.from_json(text, pin, now_s, WALL_S + off_s)


def test_a_token_is_long_random_and_kept_nowhere() -> None:
    sessions = Sessions("p")
    tokens = {sessions.begin("Ana", "10.0.0.1", 0.0) for _ in range(40)}
    assert len(tokens) == 40
    kept = sessions.to_json(0.0, WALL_S)
    for token in tokens:
        assert len(token) >= 43, "256 bits in base64"
        assert token not in kept
        assert sessions.find(token, 0.0) is not None
    for other in ("", "x", "\ud800", kept):
        assert sessions.find(other, 0.0) is None


def test_a_session_ends_in_time_and_not_before() -> None:
    sessions = Sessions("p")
    token = sessions.begin("Ana", "10.0.0.1", 100.0)
    found = sessions.find(token, 100.0 + LIFE_S - 1.0)
    assert found is not None
    assert found.name == "Ana"
    assert sessions.find(token, 100.0 + LIFE_S) is None
    assert len(sessions) == 0


def test_one_signs_out_or_all_do_and_the_address_stays_known() -> None:
    sessions = Sessions("p")
    one, two, three = (sessions.begin(name, "10.0.0.1", 0.0) for name in "ABC")
    sessions.end(one)
    sessions.end(one)
    assert [sessions.find(token, 0.0) is None for token in (one, two, three)] == [
        True,
        False,
        False,
    ]
    sessions.end_all()
    assert sessions.find(three, 0.0) is None
    assert sessions.is_known("10.0.0.1")
    assert not sessions.is_known("10.0.0.2")


def test_there_are_never_too_many_and_the_oldest_goes() -> None:
    sessions = Sessions("p")
    tokens = [sessions.begin("A", f"10.0.0.{n}", 0.0) for n in range(MOST_SESSIONS + 5)]
    assert len(sessions) == MOST_SESSIONS
    assert [sessions.find(token, 0.0) is None for token in tokens[:6]] == [True] * 5 + [False]
    assert not sessions.is_known("10.0.0.0")
    assert len(json.loads(sessions.to_json(0.0, WALL_S))["places"]) == MOST_PLACES


@pytest.mark.parametrize(
    ("off_s", "goes_on"),
    [(0.0, True), (3600.0, True), (-1e9, True), (LIFE_S, False), (LIFE_S - 501.0, True)],
)
def test_a_restart_ends_no_session_but_its_time_runs_on(off_s: float, goes_on: bool) -> None:
    sessions = Sessions("p")
    token = sessions.begin("Ana", "10.0.0.1", 0.0)
    later = again(sessions, off_s=off_s, now_s=7.0)
    found = later.find(token, 7.0)
    assert (found is not None) == goes_on
    if found is not None:
        assert found.name == "Ana"
        assert later.find(token, 7.0 + LIFE_S) is None
    assert later.is_known("10.0.0.1")


def test_under_another_pin_nobody_is_signed_in_or_known() -> None:
    sessions = Sessions("p")
    token = sessions.begin("Ana", "10.0.0.1", 0.0)
    later = again(sessions, pin="q")
    assert later.find(token, 0.0) is None
    assert not later.is_known("10.0.0.1")
    assert later.pin_mark == "q"


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"version": 1, "pin": "p"}', "[" * 100_000])
def test_a_damaged_list_is_said_so(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        Sessions.from_json(text, "p", 0.0, WALL_S)
