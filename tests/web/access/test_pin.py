"""The PIN: what is too easy, what is kept in its place, and that nothing else is believed."""

from __future__ import annotations

import doctest
import hashlib
import json

import pytest

from supervisor.core.errors import InputError
from tests.web.access.doors import CHEAP, PIN
from web.access import attempts, pin
from web.access.pin import COST, Cost, from_json, hashed, must_be_strong, why_weak


@pytest.mark.parametrize("module", [pin, attempts])
def test_the_examples_are_true(module: object) -> None:
    found = doctest.testmod(module)  # type: ignore[arg-type]
    assert found.attempted > 0
    assert found.failed == 0


WEAK = [
    *("", "1", "12345", " 1234 ", "x" * 65),
    *("111111", "121212", "112211", "aaaaaa"),
    *("123456", "654321", "234567", "345678901"[:6], "567890", "098765", "abcdef", "fedcba"),
    *("123123", "581581", "abcabc", "58105810"),
    *("password", "PassWort", "Stoneware", "159753"),
    *("5810\x0093", "5810\n93"),
]


@pytest.mark.parametrize("text", WEAK)
def test_an_easy_pin_is_refused_in_one_sentence(text: str) -> None:
    why = why_weak(text)
    assert why is not None
    assert "\n" not in why
    if len(text) > 3:
        assert text not in why, "a PIN is never repeated"
    with pytest.raises(InputError):
        must_be_strong(text)
    with pytest.raises(InputError):
        hashed(text, CHEAP)


@pytest.mark.parametrize("text", [PIN, "270416", "900151", "schürhaken am ofen", "ab" * 31 + "xy"])
def test_a_fair_pin_will_do(text: str) -> None:
    assert why_weak(text) is None
    assert must_be_strong(f" {text} ") == text


def test_only_the_same_pin_fits_however_it_was_typed() -> None:
    kept = hashed("Scherben für alle", CHEAP)
    assert kept.fits("Scherben für alle")
    assert kept.fits(" Scherben fu\u0308r alle "), "a keyboard may compose its letters (NFD)"
    for other in ("scherben für alle", "Scherben fur alle", "", "x" * 100_000, "\ud800"):
        assert not kept.fits(other)


def test_what_is_kept_is_scrypt_with_a_salt_of_its_own() -> None:
    one, two = hashed(PIN, CHEAP), hashed(PIN, CHEAP)
    assert one.salt != two.salt
    assert one.digest != two.digest
    assert one.mark != two.mark
    kept = json.loads(one.to_json())
    assert PIN not in one.to_json()
    assert (kept["scheme"], kept["n"], kept["r"], kept["p"]) == ("scrypt", 2, 1, 1)
    assert one.digest == hashlib.scrypt(PIN.encode(), salt=one.salt, n=2, r=1, p=1, dklen=32)
    assert from_json(one.to_json()) == one
    assert one.is_digits
    assert not hashed("58109x", CHEAP).is_digits


def test_the_hash_is_the_one_of_rfc_7914() -> None:
    """RFC 7914, 12: the third test vector, beginning, here with our length of 32 bytes."""
    made = pin._scrypt("pleaseletmein", b"SodiumChloride", Cost(16384, 8, 1))
    assert made.hex().startswith("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2")


def test_the_cost_is_a_row_of_owasps_table_that_a_small_pi_can_bear() -> None:
    """OWASP, Password Storage Cheat Sheet: N=2^14 (16 MiB), r=8, p=5."""
    assert (COST.n, COST.r, COST.p) == (2**14, 8, 5)
    assert COST.memory_bytes < 17 * 1024 * 1024
    assert hashed(PIN).cost == COST


GOOD = json.loads(hashed(PIN, CHEAP).to_json())


@pytest.mark.parametrize(
    "damage",
    [
        {"version": 2},
        {"scheme": "none"},
        {"n": 2**30},
        {"n": 3},
        {"n": 0},
        {"r": 0},
        {"p": 0},
        {"p": 10_000},
        {"n": "many"},
        {"salt": ""},
        {"salt": "!"},
        {"hash": ""},
        {"hash": GOOD["hash"][:-8]},
        {"hash": None},
    ],
)
def test_a_damaged_file_is_no_pin(damage: dict[str, object]) -> None:
    assert from_json(json.dumps(GOOD)).fits(PIN)
    with pytest.raises(ValueError, match=r"."):
        from_json(json.dumps(GOOD | damage))


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", "[" * 100_000, "\ud800"])
def test_another_file_is_no_pin(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        from_json(text)
