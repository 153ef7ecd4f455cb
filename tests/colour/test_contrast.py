"""WCAG contrast."""

import pytest

from render.colour.contrast import contrast_ratio
from render.colour.srgb import parse_colour


def test_black_on_white_is_21_and_a_colour_on_itself_1():
    """WCAG 2.2, "contrast ratio": ratios range from 1 to 21."""
    black, white = parse_colour("black"), parse_colour("white")
    assert contrast_ratio(black, white) == contrast_ratio(white, black) == pytest.approx(21)
    assert contrast_ratio(white, white) == 1


def test_red_on_white_follows_the_definition():
    """WCAG 2.2, "relative luminance": red counts 0.2126."""
    red, white = parse_colour("red"), parse_colour("white")
    assert contrast_ratio(red, white) == pytest.approx(1.05 / (0.2126 + 0.05))
