"""Reading colours and turning them into light."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from render.colour.srgb import (
    hex_colour,
    linear_from_srgb,
    parse_colour,
    parse_rgba,
    srgb_from_linear,
)
from render.errors import SettingError

LINEN = np.array([250, 240, 230]) / 255  # CSS Color 4, section 6.1


@pytest.mark.parametrize(
    "text",
    [
        "linen", "Linen", " #faf0e6 ", "#FAF0E6", "#faf0e6ff", "rgb(250,240,230)",
        "rgb(250 240 230)", "rgb(250 240 230 / 100%)", "rgba(250, 240, 230, 1)",
        "rgb(98.0392%,94.1176%,90.1961%)", "rgb(250.0, 240.0, 230.0)",
    ],
)  # fmt: skip
def test_every_way_css_writes_a_colour_gives_the_same(text):
    assert parse_colour(text) == pytest.approx(LINEN, abs=1e-6)


def test_short_hex_doubles_its_digits():
    assert hex_colour(parse_colour("#f80")) == "#ff8800"


def test_opacity_is_read_beside_the_colour():
    assert parse_rgba("rgb(0 0 0 / 50%)")[3] == 0.5
    assert parse_rgba("transparent")[3] == 0
    assert parse_rgba("#00000080")[3] == pytest.approx(128 / 255)


def test_channels_out_of_range_are_clamped_as_css_does():
    assert parse_colour("rgb(300,-5,0)").tolist() == [1, 0, 0]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("lnen", '"lnen" is not a colour; did you mean "linen"?'),
        ("", '"" is not a colour; write a name such as linen, or #rrggbb'),
        ("#12345", '"#12345" is not a colour; write a name such as linen, or #rrggbb'),
        ("hsv(1,2%,3%)", '"hsv(1,2%,3%)" is not a colour; write a name such as linen, or #rrggbb'),
        ("zzzzzzzz", '"zzzzzzzz" is not a colour; write a name such as linen, or #rrggbb'),
    ],
)
def test_what_is_no_colour_is_refused_in_one_sentence(text, message):
    with pytest.raises(SettingError) as caught:
        parse_colour(text)
    assert str(caught.value) == message


@pytest.mark.parametrize("text", ["transparent", "#fff8", "rgb(0 0 0 / 50%)"])
def test_what_is_seen_through_is_no_colour_of_thread_or_card(text):
    with pytest.raises(SettingError, match="is seen through"):
        parse_colour(text)


def test_a_colour_read_twice_cannot_be_changed_in_between():
    with pytest.raises(ValueError, match="read-only"):
        parse_colour("linen")[0] = 0


@given(st.lists(st.integers(0, 255), min_size=3, max_size=3))
def test_eight_bits_survive_light_and_hex(channels):
    srgb = np.array(channels) / 255
    assert srgb_from_linear(linear_from_srgb(srgb)) == pytest.approx(srgb, abs=1e-6)
    assert parse_colour(hex_colour(srgb)) == pytest.approx(srgb, abs=1e-12)


def test_half_way_up_the_scale_is_a_fifth_of_the_light():
    """IEC 61966-2-1, 5.2, worked by hand: ((0.5 + 0.055) / 1.055) ** 2.4."""
    assert linear_from_srgb(0.5) == pytest.approx(0.214041, abs=5e-7)


def test_the_two_pieces_of_the_curve_meet():
    below, above = linear_from_srgb([0.04045, np.nextafter(0.04045, 1)])
    assert above == pytest.approx(below, abs=1e-7)
