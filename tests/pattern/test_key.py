"""The colour key."""

import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import ImageColor
from skimage.color import deltaE_ciede2000, rgb2lab

from render.colour.deficiency import SEEN_WITHOUT, seen_without
from render.colour.srgb import parse_colour
from render.errors import SettingError
from render.pattern.key import FARTHEST, LINE_SHADES, STITCH_SHADES, ColourKey, read_colour_key
from render.pattern.words import LINES, STITCHES

TABLES = {"stitch": STITCH_SHADES, "line": LINE_SHADES}
GREYS = rgb2lab(np.linspace(0, 1, 21)[:, None] * np.ones(3))


def lab(shade):
    """Return CIELAB as scikit-image finds it."""
    return rgb2lab(np.array(ImageColor.getrgb(shade)) / 255)


def test_every_word_has_a_shade():
    assert list(STITCH_SHADES) == list(STITCHES)
    assert list(LINE_SHADES) == list(LINES)


@pytest.mark.parametrize("shades", TABLES.values(), ids=TABLES)
def test_no_colour_is_near_two_words(shades):
    """So far apart that the reaches of two shades never meet."""
    for first, second in combinations(shades.values(), 2):
        assert deltaE_ciede2000(lab(first), lab(second)) > 2 * FARTHEST


@pytest.mark.parametrize("shades", TABLES.values(), ids=TABLES)
def test_no_black_grey_or_white_is_taken_for_a_word(shades):
    for shade in shades.values():
        assert deltaE_ciede2000(lab(shade), GREYS).min() > FARTHEST


@pytest.mark.parametrize(
    ("shades", "blues"),
    [(STITCH_SHADES, ["#729fcf", "#5b9bd5"]), (LINE_SHADES, ["#3465a4", "#4472c4"])],
    ids=TABLES,
)
def test_the_blues_of_new_shapes_in_office_programs_mean_nothing(shades, blues):
    """Fills for stitches, strokes for lines; common practice, no source."""
    for shade in shades.values():
        for blue in blues:
            assert deltaE_ciede2000(lab(shade), lab(blue)) > FARTHEST


@pytest.mark.parametrize("shades", TABLES.values(), ids=TABLES)
@pytest.mark.parametrize("cone", SEEN_WITHOUT)
def test_dichromats_tell_the_shades_apart(shades, cone):
    """10 is many times what is just seen."""
    seen = [rgb2lab(seen_without(cone, parse_colour(shade))) for shade in shades.values()]
    for first, second in combinations(seen, 2):
        assert deltaE_ciede2000(first, second) > 10


def test_the_stitch_shades_are_restful():
    """Neither vivid nor dark, so that thread shows up on them (common practice, no source)."""
    for shade in STITCH_SHADES.values():
        lightness, a, b = lab(shade)
        assert lightness > 60
        assert np.hypot(a, b) < 40


def test_the_nearest_shade_answers_with_its_distance():
    match = ColourKey().stitch_of(parse_colour("#a1924e"))
    expected = deltaE_ciede2000(lab("#a1924e"), lab(STITCH_SHADES["whole"]))
    assert (match.word, match.close) == ("whole", True)
    assert match.away == pytest.approx(expected, abs=0.01)


def test_a_key_file_changes_adds_and_takes_away(tmp_path):
    path = tmp_path / "key.toml"
    path.write_text('[stitch]\nwhole = "#123456"\nopen = ""\n[line]\ngimp = "navy"\n')
    key = read_colour_key(path)
    assert key.stitches["whole"] == "#123456"
    assert key.stitches["half"] == STITCH_SHADES["half"]
    assert "open" not in key.stitches
    assert key.lines["gimp"] == "navy"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[stich]\nwhole = "red"', 'unknown table "stich"; did you mean "stitch"?'),
        ('[stitch]\nwhle = "red"', 'unknown stitch "whle"; did you mean "whole"?'),
        ('[line]\ngmp = "red"', 'unknown line "gmp"; did you mean "gimp"?'),
        ('[stitch]\nwhole = "rde"', '"rde" is not a colour; did you mean "red"?'),
        (
            '[stitch]\nwhole = "red"\nhalf = "#f00"',
            '"whole" and "half" both have the shade #ff0000; give them different ones',
        ),
        (
            "[stitch]\nwhole = 3",
            'the table "stitch" must hold lines of the form word = "colour"',
        ),
        (
            "stitch = 3",
            'the table "stitch" must hold lines of the form word = "colour"',
        ),
    ],
)
def test_a_key_file_at_fault_is_refused_in_one_sentence(tmp_path, text, message):
    path = tmp_path / "key.toml"
    path.write_text(text)
    with pytest.raises(SettingError) as caught:
        read_colour_key(path)
    assert str(caught.value) == f"{path}: {message}"


@pytest.mark.parametrize("data", [b"[stitch", b"\xff\xfe\x00", None])
def test_a_key_file_that_cannot_be_read_says_so(tmp_path, data):
    path = tmp_path / "key.toml"
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(SettingError) as caught:
        read_colour_key(path)
    assert str(caught.value).startswith(f"{path}: the colour key cannot be read: ")


def test_the_readme_names_the_colours_of_the_key():
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    listed = dict(re.findall(r"\| `(#[0-9a-f]{6})` \| ([a-z-]+) (?=\|)", readme))
    assert listed == {shade: word for word, shade in (STITCH_SHADES | LINE_SHADES).items()}
