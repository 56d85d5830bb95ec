"""An hour of readings in a block comes back to the last bit, and takes a tenth of the room."""

from __future__ import annotations

import math
import random
import struct
import zlib
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.core.errors import RecordError
from supervisor.record.blocks import Block, packed, unpacked
from supervisor.record.rows import to_json

STEPS = st.one_of(
    st.integers(-40_000, 250_000).map(lambda n: n / 128.0),
    st.integers(-10_000, 200_000).map(lambda n: n / 100.0),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from([-0.0, 0.0, 1e300, -1e300, 5e-324]),
)


def bits(column: Sequence[float | None]) -> list[bytes | None]:
    return [None if value is None else struct.pack("<d", value) for value in column]


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.floats(0.0, 1e6),
            st.none() | STEPS,
            st.none() | STEPS,
            st.none() | st.sampled_from(['{"top":"open"}', '{"low":"bus"}']),
        ),
        max_size=40,
    )
)
def test_every_value_comes_back_to_the_last_bit(
    rows: list[tuple[float, float | None, float | None, str | None]],
) -> None:
    elapsed_s, faults = [row[0] for row in rows], [row[3] for row in rows]
    top, low = [row[1] for row in rows], [row[2] for row in rows]
    block = Block(elapsed_s, [top, low], faults)
    again = unpacked(packed(block))
    assert bits(again.elapsed_s) == bits(elapsed_s)
    assert [bits(column) for column in again.temps_c] == [bits(top), bits(low)]
    assert list(again.faults) == faults


def an_hour(offset_c: float = 0.0) -> Block:
    """Three noisy channels of a climbing kiln in a converter's steps, at about one a second."""
    draw = random.Random(7)
    elapsed_s = [round(n + 0.02 + draw.gauss(0.0, 0.004), 3) for n in range(3600)]
    temps_c: list[list[float | None]] = [
        [
            round((600.0 + at_s * 0.04 + draw.gauss(0.0, 0.15)) * 128.0) / 128.0 + offset_c
            for at_s in elapsed_s
        ]
        for _ in range(3)
    ]
    return Block(elapsed_s, temps_c, [None] * 3600)


@pytest.mark.parametrize(("offset_c", "share"), [(0.0, 0.14), (1.3, 0.20)])
def test_a_block_takes_a_fraction_of_its_rows(offset_c: float, share: float) -> None:
    block = an_hour(offset_c)
    rows = sum(
        # SQLite's own: a row number of 6 bytes, an elapsed time of 8, a header of 4 (its file
        # format, "record format").
        len(to_json(list(values))) + 18
        for values in zip(*block.temps_c, strict=True)
    )
    assert len(packed(block)) < share * rows


def test_what_is_spoilt_is_told_and_never_read_as_something_else() -> None:
    data = packed(an_hour())
    draw = random.Random(3)
    spoilt = [b"", data[:1], data[:40], data[:-3], bytes((9,)) + data[1:]]
    for _ in range(100):
        place = draw.randrange(1, len(data))
        spoilt.append(
            data[:place] + bytes((data[place] ^ (1 << draw.randrange(8)),)) + data[place + 1 :]
        )
    told = 0
    for one in spoilt:
        try:
            again = unpacked(one)
        except RecordError:
            told += 1
        else:
            # A bit that zlib itself does not need: the readings are the same.
            assert again == unpacked(data)
    assert told > 95


@pytest.mark.parametrize(
    "whole",
    [
        b"",
        b"\x02\0\0\0{}",
        struct.pack("<I", 999) + b"{}",
        b"\x1b\0\0\0" + b'{"n":2,"columns":[],"f":[]}',
    ],
)
def test_well_packed_nonsense_is_told_too(whole: bytes) -> None:
    with pytest.raises(RecordError, match="block of readings"):
        unpacked(b"\x01" + zlib.compress(whole))


def test_an_empty_block_is_one() -> None:
    assert unpacked(packed(Block([], [[], []], []))) == Block([], [[], []], [])


def test_a_column_without_a_value_costs_hardly_anything() -> None:
    hour = an_hour()
    silent = Block(hour.elapsed_s, [[None] * 3600], hour.faults)
    assert len(packed(silent)) < len(packed(Block(hour.elapsed_s, [], hour.faults))) + 80
    assert all(math.isfinite(at_s) for at_s in unpacked(packed(silent)).elapsed_s)
