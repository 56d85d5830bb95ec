"""A stranger's text is made harmless, and what fits by estimate fits in a real font."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from supervisor.picture.lettering import broken, cut, harmless, width_of

LINES = st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=200)


@given(st.text(max_size=200))
def test_harmless_text_has_no_control_and_is_harmless_already(text: str) -> None:
    once = harmless(text)
    assert all(char.isprintable() or not char.isascii() for char in once)
    assert not set(once) & set("\u202e\u2066\ufffe\uffff\u2028")
    assert harmless(once) == once


def test_what_people_write_stays_as_it_is() -> None:
    said = "Tenmoku <½> “Ж” שלום 👩‍🏭 日本"
    assert harmless(said) == said


@given(LINES, st.floats(20.0, 900.0))
def test_a_cut_text_fits_and_is_cut_only_if_it_must_be(text: str, width: float) -> None:
    short = cut(text, 13.0, width)
    assert width_of(short, 13.0) <= width
    assert (short == text) == (width_of(text, 13.0) <= width)


@given(LINES, st.integers(1, 4))
def test_broken_lines_fit_and_lose_nothing_unless_cut(text: str, most: int) -> None:
    lines = broken(text, 13.0, 200.0, most)
    assert 1 <= len(lines) <= most
    assert all(width_of(line, 13.0) <= 200.0 for line in lines)
    if not any("…" in line for line in lines):
        assert " ".join(lines) == text


@pytest.mark.parametrize("size", [12.0, 21.0])
def test_the_estimate_is_no_narrower_than_a_real_font(size: float) -> None:
    """Pillow's own font; DejaVu Sans, the widest of the usual ones, where it is installed."""
    fonts = [ImageFont.load_default(size)]
    with suppress(OSError):
        fonts.append(ImageFont.truetype("DejaVuSans.ttf", size))
    for said in (
        "cone 5.5 down after 10 h 14 min",
        "cristobalite turns back, 280 to 200 °C",
        "peak 1,205 °C, hold 30 min",
        "160 °C/h",
        "Cones are calculated from this plan; the witness cones decide.",
    ):
        for font in fonts:
            assert font.getlength(said) <= width_of(said, size) <= font.getlength(said) * 1.35
