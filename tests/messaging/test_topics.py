"""A kiln's name makes topics that MQTT can't misread."""

from __future__ import annotations

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
        ("Großer Ofen (Öl)", "grosser-ofen-ol"),
        ("../../#/+", None),
        ("  ", None),
        ("$SYS/broker", "sys-broker"),
        ("窯", "窯"),
    ],
)
def test_a_name_keeps_its_letters_and_nothing_else(kiln: str, expected: str | None) -> None:
    if expected is None:
        with pytest.raises(InputError, match="at least one letter or digit"):
            slug(kiln)
    else:
        assert slug(kiln) == expected


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
