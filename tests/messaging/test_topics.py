"""A kiln's name makes topics that MQTT can't misread."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.errors import InputError
from supervisor.messaging.topics import LONGEST_SLUG, Topics, slug, topics_of


def test_the_topics_are_those_of_the_design() -> None:
    assert topics_of("Kiln 1") == Topics(
        availability="spyhole/kiln-1/availability",
        status="spyhole/kiln-1/status",
        readings="spyhole/kiln-1/readings",
        alerts="spyhole/kiln-1/alerts",
    )


@pytest.mark.parametrize(
    ("kiln", "expected"),
    [
        ("Großer Ofen", "grosser-ofen"),
        ("  Kiln   No 1 ", "kiln-no-1"),
        ("窯", "窯"),
        ("가마", "가마"),
    ],
)
def test_a_name_of_letters_digits_and_spaces_is_its_own_topic(kiln: str, expected: str) -> None:
    assert slug(kiln) == expected


@pytest.mark.parametrize(
    ("kiln", "expected"),
    [
        ("Großer Ofen (Öl)", "grosser-ofen-ol"),
        ("$SYS/broker", "sys-broker"),
        ("kiln_1", "kiln-1"),
        ("+/#", None),
        ("a" * 60, "a" * 41),
    ],
)
def test_where_more_is_lost_a_mark_tells_it_from_its_likes(kiln: str, expected: str | None) -> None:
    if expected is None:
        with pytest.raises(InputError, match="at least one letter or digit"):
            slug(kiln)
    else:
        assert re.fullmatch(rf"{expected}-[0-9a-f]{{6}}", slug(kiln))


def test_names_that_look_alike_without_their_marks_do_not_share_topics() -> None:
    names = ["Ofen 1/2", "Ofen 1-2", "Ofen 1+2", "Ofen 1#2", "Öfen 1 2", "Ofen 1, 2", "Ofen 12"]
    assert len({slug(name) for name in names}) == len(names)
    assert slug("Ofen 1 2") == slug("OFEN  1 2") == slug("Ofen 1-2"), "people would not tell them"


_LIKE = st.text(alphabet="aoÖ /-_+.", max_size=6)


@given(_LIKE, _LIKE)
def test_only_names_that_people_would_not_tell_apart_share_topics(one: str, other: str) -> None:
    try:
        share = slug(one) == slug(other)
    except InputError:
        return
    alike = {" ".join(kiln.casefold().replace("-", " ").split()) for kiln in (one, other)}
    assert len(alike) == 1 or not share


@given(st.text())
def test_no_name_escapes_its_place(kiln: str) -> None:
    try:
        made = slug(kiln)
    except InputError:
        assert not any(letter.isascii() and letter.isalnum() for letter in kiln)
        return
    assert 0 < len(made) <= LONGEST_SLUG
    assert not set(made) & set("/+#$\0 \n")
    assert slug(made) == made
