"""Colours that stand for nothing."""

import pytest
from PIL import ImageColor
from skimage.color import deltaE_ciede2000, rgb2lab

from render.pattern.key import LINE_SHADES, STITCH_SHADES, ColourKey

SQUARE = '<path id="s" d="M9 9H19V19H9Z" {}/>'
LINE = '<path id="s" d="M10 10H18" {}/>'


def away(colour, shade):
    """Return the distance as scikit-image finds it."""
    first, second = (rgb2lab([c / 255 for c in ImageColor.getrgb(t)]) for t in (colour, shade))
    return float(deltaE_ciede2000(first, second))


RED = away("#ff0000", STITCH_SHADES["open"])
LIME = away("lime", STITCH_SHADES["ground"])
BLACK = away("black", LINE_SHADES["square-leaf"])
STITCHES, LINES = (
    ", ".join(f"{word} {shade}" for word, shade in shades.items())
    for shades in (STITCH_SHADES, LINE_SHADES)
)
TAN = away("#a1924e", STITCH_SHADES["whole"])


@pytest.mark.parametrize(
    ("mark", "message"),
    [
        (
            'fill="#ff0000"',
            'its fill #ff0000 is like no stitch of the colour key (the nearest, "open", is '
            f"{RED:.0f} away, 12 at most); use a colour of the key ({STITCHES}) or add data-stitch",
        ),
        (
            'fill="none" stroke="lime"',
            'its stroke lime is like no stitch of the colour key (the nearest, "ground", is '
            f"{LIME:.0f} away, 12 at most); use a colour of the key ({STITCHES}) or add "
            "data-stitch",
        ),
        (
            'fill="url(#g)"',
            'its fill "url(#g)" is no plain colour; '
            f"use a colour of the key ({STITCHES}) or add data-stitch",
        ),
        (
            'fill="greeen"',
            'its fill "greeen" is no plain colour; '
            f"use a colour of the key ({STITCHES}) or add data-stitch",
        ),
    ],
)
def test_a_region_without_a_word_says_what_its_colour_lacks(faults_of, grid, mark, message):
    assert faults_of(grid + SQUARE.format(mark)) == [f'region "s" at 14.0, 14.0 mm: {message}']


@pytest.mark.parametrize(
    ("mark", "message"),
    [
        (
            'stroke="black"',
            'its stroke black is like no line of the colour key (the nearest, "square-leaf", is '
            f"{BLACK:.0f} away, 12 at most); use a colour of the key ({LINES}) or add data-line",
        ),
        (
            'fill="red"',
            "it is open and filled without a stroke; close the shape if it is a region, or give it "
            "a stroke of the key's colours if it is a line",
        ),
    ],
)
def test_a_line_without_a_word_says_what_its_colour_lacks(faults_of, grid, mark, message):
    assert faults_of(grid + LINE.format(mark)) == [f'line "s" at 10.0, 10.0 mm: {message}']


def test_a_key_without_shades_asks_for_words(faults_of, grid):
    body = grid + SQUARE.format('fill="red"')
    assert faults_of(body, key=ColourKey(stitches={})) == [
        'region "s" at 14.0, 14.0 mm: the colour key has no shade for any stitch; add data-stitch'
    ]


def test_a_circle_that_may_be_meant_for_a_hole_is_told_to_be_too_large(faults_of, grid):
    assert faults_of(grid + '<circle cx="14" cy="14" r="1.5"/>')[0].endswith(
        " or add data-stitch; for a hole it is too large, 3.0 mm across and 2 at most"
    )


def test_a_word_makes_the_colour_irrelevant(read_drawing, grid):
    body = SQUARE.format('fill="url(#g)" data-stitch="half"')
    assert read_drawing(grid + body).regions[0].stitch == "half"


def test_a_colour_near_the_keys_is_taken_and_counted(remarks_of, grid):
    body = SQUARE.format('fill="#a1924e"') + SQUARE.format('fill="#a1924e"')
    assert remarks_of(grid + body) == [
        f'2 elements were taken for "whole" by the colour #a1924e, {TAN:.1f} away from its shade'
    ]


def test_a_shape_that_shows_nothing_is_left_out_with_a_remark(remarks_of, grid):
    body = SQUARE.format('fill="none"') + LINE.format('fill="none"')
    assert remarks_of(grid + body) == ["2 shapes have neither fill nor stroke and were left out"]


def test_a_transparent_fill_is_no_fill(remarks_of, grid):
    body = SQUARE.format('fill="rgba(0,0,0,0)"') + SQUARE.format('fill-opacity="0"')
    assert remarks_of(grid + body) == ["2 shapes have neither fill nor stroke and were left out"]
