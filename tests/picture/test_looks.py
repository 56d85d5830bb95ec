"""What is shown can be seen, by day, by night and in black and white."""

from __future__ import annotations

import pytest

from supervisor.picture.scene import (
    CELADON,
    CLAY,
    COBALT,
    COPPER,
    GRID,
    INK,
    MUTED,
    PAPER,
    STYLES,
    Role,
    Tone,
)

TEXT_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3."""
SHAPE_CONTRAST = 3.0
"""WCAG 2.1, success criterion 1.4.11."""


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.1, glossary)."""
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    dark, light = sorted((luminance(one), luminance(two)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # The lightest grey that passes on white (from memory, checked by the formula).
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("night", [False, True])
@pytest.mark.parametrize("text", [INK, MUTED])
@pytest.mark.parametrize("ground", [PAPER, CLAY, CELADON, GRID])
def test_every_text_can_be_read_on_all_that_may_lie_behind_it(
    text: Tone, ground: Tone, night: bool
) -> None:
    pair = (text.dark, ground.dark) if night else (text.light, ground.light)
    assert contrast(*pair) >= TEXT_CONTRAST


@pytest.mark.parametrize("night", [False, True])
@pytest.mark.parametrize("shape", [COBALT, COPPER, MUTED, INK])
@pytest.mark.parametrize("ground", [PAPER, CLAY])
def test_line_and_marks_stand_out(shape: Tone, ground: Tone, night: bool) -> None:
    pair = (shape.dark, ground.dark) if night else (shape.light, ground.light)
    assert contrast(*pair) >= SHAPE_CONTRAST


def test_every_role_has_a_look_and_the_target_differs_by_more_than_its_hue() -> None:
    assert set(STYLES) == set(Role)
    target, cone = STYLES[Role.TARGET].fill, STYLES[Role.CONE].fill
    assert target is not None
    assert cone is not None
    assert contrast(target.light, cone.light) >= SHAPE_CONTRAST
    assert contrast(target.dark, cone.dark) >= SHAPE_CONTRAST
