"""An hour of readings as one small piece of bytes, and back to the very same readings.

Each column is written by itself: its values as whole numbers of one small step where every value
is exactly that (a converter's 1/128 °C, a log's hundredths), else as the bits of the numbers
themselves; then what each differs from the one before; then the bytes of these differences sorted
by their place, which lets zlib see that most of them are nought. Nothing is rounded: a value that
comes back is the one that went in, to the last bit. Knows numbers and bytes; knows no table.
"""

from __future__ import annotations

import json
import math
import sys
import zlib
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Any

from supervisor.core.errors import RecordError

_VERSION = 1
_LEVEL = 6
"""zlib's usual effort: the highest one takes four times as long for one part in a hundred."""
_STEPS = (1, 10, 100, 128, 1000, 10_000, 100_000, 1_000_000)
"""Steps to one second or degree that are tried. 128: a MAX31856 gives 1/128 °C (its datasheet,
linearized thermocouple temperature)."""
_WIDTHS = (("b", 1), ("h", 2), ("i", 4), ("q", 8))
_WRAP = 1 << 64
_HALF = 1 << 63
_LARGEST_WHOLE = 1 << 53

Column = list[float | None]


@dataclass(frozen=True, slots=True)
class Block:
    """Some readings one after the other: a column of values for each channel, and the faults.

    ``faults`` has, for each reading, the text that a row of the record has there, or None.
    """

    elapsed_s: Sequence[float]
    temps_c: Sequence[Sequence[float | None]]
    faults: Sequence[str | None]


def packed(block: Block) -> bytes:
    """The bytes that ``unpacked`` takes back."""
    heads = []
    parts = []
    for column in (block.elapsed_s, *block.temps_c):
        about, part = _pack_column(column)
        heads.append(about)
        parts.append(part)
    head = json.dumps(
        {"n": len(block.elapsed_s), "columns": heads, "faults": _runs(block.faults)},
        ensure_ascii=False,
        separators=(",", ":"),
    ).encode()
    whole = b"".join((len(head).to_bytes(4, "little"), head, *parts))
    return bytes((_VERSION,)) + zlib.compress(whole, _LEVEL)


def unpacked(data: bytes) -> Block:
    """What ``packed`` was given. Raises RecordError for bytes that it did not make."""
    try:
        if data[0] != _VERSION:
            raise ValueError(f"its form is {data[0]}")
        whole = zlib.decompress(data[1:])
        length = int.from_bytes(whole[:4], "little")
        head = json.loads(whole[4 : 4 + length])
        count, place = head["n"], 4 + length
        columns: list[Any] = []
        for one in head["columns"]:
            column, place = _unpack_column(one, whole, place, count)
            columns.append(column)
        if place != len(whole):
            raise ValueError("there is more than there should be")
        return Block(columns[0], columns[1:], _spread(head["faults"], count))
    except (zlib.error, ValueError, KeyError, IndexError, TypeError, OverflowError) as error:
        raise RecordError(f"a block of readings can't be read ({error})") from None


def _pack_column(column: Sequence[float | None]) -> tuple[dict[str, int], bytes]:
    present = [value for value in column if value is not None]
    mask = b""
    if len(present) < len(column):
        mask = bytes(value is not None for value in column)
    steps, whole = _as_whole(present)
    base = whole[0] if whole else 0
    differences = [0, *(_wrapped(b - a) for a, b in pairwise(whole))] if whole else []
    code, width = _width_of(differences)
    head = {"step": steps, "base": base, "width": width, "missing": len(column) - len(present)}
    return head, mask + _by_place(array(code, differences), width)


def _unpack_column(
    head: dict[str, int], whole: bytes, place: int, count: int
) -> tuple[Column, int]:
    width, missing = head["width"], head["missing"]
    mask = None
    if missing:
        mask = whole[place : place + count]
        place += count
    present = count - missing
    end = place + present * width
    if end > len(whole) or present < 0:
        raise ValueError("it is cut short")
    differences = _from_places(whole[place:end], width, present)
    values: list[float] = []
    if present:
        differences[0] = head["base"] if head["step"] else 0
        if head["step"] == 0:
            bits = [_wrapped(head["base"] + by) for by in accumulate(differences)]
            values = array("d", array("q", bits).tobytes()).tolist()
        else:
            steps = head["step"]
            values = [whole_number / steps for whole_number in accumulate(differences)]
    if mask is None:
        return list(values), end
    if sum(mask) != present:
        raise ValueError("its gaps don't fit")
    following = iter(values)
    return [next(following) if is_there else None for is_there in mask], end


def _as_whole(values: Sequence[float]) -> tuple[int, list[int]]:
    """How many steps make one, and each value in such steps; 0 steps: the bits of the numbers."""
    if all(value or math.copysign(1.0, value) > 0.0 for value in values):
        for steps in _STEPS:
            if all(
                abs(value) * steps < _LARGEST_WHOLE and round(value * steps) / steps == value
                for value in values
            ):
                return steps, [round(value * steps) for value in values]
    return 0, array("q", array("d", values).tobytes()).tolist()


def _wrapped(number: int) -> int:
    return (number + _HALF) % _WRAP - _HALF


def _width_of(differences: Sequence[int]) -> tuple[str, int]:
    largest = max((by if by >= 0 else ~by for by in differences), default=0)
    return next((code, width) for code, width in _WIDTHS if largest < 1 << (8 * width - 1))


def _by_place(numbers: array[int], width: int) -> bytes:
    if sys.byteorder == "big":
        numbers.byteswap()
    data = numbers.tobytes()
    return b"".join(data[place::width] for place in range(width))


def _from_places(data: bytes, width: int, count: int) -> list[int]:
    mixed = bytearray(len(data))
    for place in range(width):
        mixed[place::width] = data[place * count : (place + 1) * count]
    numbers = array(next(code for code, wide in _WIDTHS if wide == width), bytes(mixed))
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers.tolist()


def _runs(faults: Sequence[str | None]) -> list[list[Any]]:
    """The faults as [first reading, how many, text]."""
    found: list[list[Any]] = []
    for place, text in enumerate(faults):
        if text is None:
            continue
        if found and found[-1][2] == text and found[-1][0] + found[-1][1] == place:
            found[-1][1] += 1
        else:
            found.append([place, 1, text])
    return found


def _spread(runs: Sequence[Sequence[Any]], count: int) -> list[str | None]:
    faults: list[str | None] = [None] * count
    for first, length, text in runs:
        if not 0 <= first <= first + length <= count:
            raise ValueError("its faults don't fit")
        faults[first : first + length] = [text] * length
    return faults
