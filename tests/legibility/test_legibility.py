"""Colours of a marked copy: how they are rated, and what is proposed instead."""

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2lab

from render.colour.srgb import parse_colour
from render.errors import SettingError
from render.image.background import BUFF
from render.legibility.judge import judge_colours, nearest_two
from render.legibility.propose import CHROMA, LIGHTNESS, propose_colours, restful_colours
from render.legibility.rating import SIGHTS, rate_marking, rate_thread
from render.legibility.swatches import draw_swatch, write_swatches
from render.legibility.wording import legibility_as_table, legibility_in_words

WHITE, NAVY, TEAL = ((1.0, 1.0, 1.0), (0.0, 0.0, 0.5), (0.37, 0.54, 0.54))
CARDS = {"buff": BUFF, "white": (1.0, 1.0, 1.0), "blue": (0.55, 0.65, 0.85)}


def luminance(colour):
    """Relative luminance as WCAG 2.2 prints it, written out anew."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(a, b):
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_has_the_largest_contrast_to_all_eyes():
    """WCAG 2.2: contrast ratios range from 1 to 21."""
    rating = rate_thread((0, 0, 0), (1, 1, 1))
    assert rating.contrast == pytest.approx([21] * len(SIGHTS))
    assert rating.difference == pytest.approx([100] * len(SIGHTS), abs=0.1)
    assert rating.verdict == "clear"


def test_a_colour_on_itself_is_lost():
    assert rate_thread(BUFF, BUFF).verdict == rate_marking(BUFF, BUFF).verdict == "lost"


def test_red_on_green_is_judged_by_the_eyes_that_mix_them_up():
    """The pair of shades that deutan eyes confuse, from tests/colour/test_deficiency.py."""
    rating = rate_marking(parse_colour("#b5805c"), parse_colour("#7f8c5a"))
    assert rating.difference[0] > 20
    assert rating.least_difference < 12
    assert rating.verdict != "clear"


def test_restful_colours_are_neither_vivid_nor_dark():
    """Lightness and chroma as scikit-image has them."""
    lab = rgb2lab(restful_colours())
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    assert len(lab) > 1000
    assert LIGHTNESS[0] - 0.1 <= lab[:, 0].min() <= lab[:, 0].max() <= LIGHTNESS[1] + 0.1
    assert CHROMA[0] - 0.1 <= chroma.min() <= chroma.max() <= CHROMA[1] + 0.1


@pytest.mark.parametrize("card", CARDS)
@pytest.mark.parametrize("thread", [WHITE, NAVY], ids=["white", "navy"])
def test_a_light_or_dark_thread_is_clear_on_every_proposal(thread, card):
    for colour in propose_colours(thread, CARDS[card], np.full((3, 3), 0.6)):
        assert contrast(thread, colour) >= 3
        assert rate_thread(thread, colour).verdict == "clear"
        assert rate_marking(colour, CARDS[card]).verdict == "clear"


def test_proposals_remind_of_what_they_replace():
    shades = np.array([[0.6, 0.6, 0.9], [0.8, 0.7, 0.4]])
    first = propose_colours(NAVY, BUFF, shades)
    assert (propose_colours(NAVY, BUFF, shades[::-1]) == first[::-1]).all()


def test_where_nothing_is_clear_it_is_said(net):
    grey = (0.62, 0.62, 0.62)
    found = judge_colours(net, thread=grey, card=BUFF)
    assert any(one.under_thread.verdict != "clear" for one in found.proposals)
    assert "no restful colour sets this thread off" in legibility_in_words(found)


def test_a_pattern_is_judged_by_the_stitches_it_marks(marked_net):
    found = judge_colours(marked_net, thread=NAVY, card=BUFF)
    assert [one.word for one in found.markings] == ["half"]
    assert nearest_two(found.markings) is None


def test_a_pen_of_ones_own_takes_the_place_of_the_key(marked_net):
    found = judge_colours(marked_net, thread=NAVY, card=BUFF, pens={"half": BUFF})
    assert found.markings[0].colour == pytest.approx(BUFF)
    assert found.markings[0].on_card.verdict == "lost"
    with pytest.raises(SettingError, match="half"):
        judge_colours(marked_net, thread=NAVY, card=BUFF, pens={"halv": BUFF})


def drawn(path, *areas):
    """Put areas (attributes each) into a small net."""
    shapes = "".join(f'<path d="M2 2 L6 2 L6 10 L2 10 Z" {words}/>' for words in areas)
    path.write_text(path.read_text("utf-8").replace("</svg>", f"{shapes}</svg>"), "utf-8")
    return path


def test_areas_count_in_the_colour_they_are_drawn_in(net):
    """SVG 1.1, section 14.2: a fill of opacity a hides that share of what lies under it."""
    words = ('data-stitch="whole" fill="#b02050"', 'data-stitch="half" fill="#804020"')
    found = judge_colours(drawn(net, *(f'{w} fill-opacity="0.5"' for w in words)), thread=NAVY,
                          card=WHITE)  # fmt: skip
    whole, half = found.markings
    assert np.array(whole.colour) * 255 == pytest.approx([215.5, 143.5, 167.5])
    assert np.array(half.colour) * 255 == pytest.approx([191.5, 159.5, 143.5])
    assert {one.source for one in found.markings} == {"drawn"}


def test_an_area_of_its_own_thread_is_rated_with_that(net):
    marked = drawn(net, 'data-stitch="half" fill="#000080" data-colour="navy"',
                   'data-stitch="half" fill="#000080"')  # fmt: skip
    found = judge_colours(marked, thread=WHITE, card=BUFF)
    assert [one.under_thread.verdict for one in found.markings] == ["lost", "clear"]
    assert [one.thread for one in found.proposals] == [pytest.approx(NAVY, abs=0.01), WHITE]
    assert len({one.colour for one in found.proposals}) == 1
    assert nearest_two(found.markings) is None


def test_tagged_holes_bring_the_colour_of_their_fill(net):
    text = net.read_text("utf-8").replace('r="0.3"', 'r="0.3" fill="#54aec1"')
    net.write_text(text, "utf-8")
    (only,) = judge_colours(net, thread=NAVY, card=BUFF).markings
    assert (only.word, only.source) == ("half", "drawn")
    assert np.rint(np.array(only.colour) * 255).tolist() == [0x54, 0xAE, 0xC1]


def test_the_table_says_what_the_words_say(marked_net):
    found = judge_colours(marked_net, thread=NAVY, card=BUFF)
    table = legibility_as_table(found)
    usual = table["markings"][0]["thread_on_it"]["contrast"]["usual"]
    assert usual == pytest.approx(contrast(NAVY, found.markings[0].colour), abs=0.01)
    assert f"{usual:.1f}" in legibility_in_words(found)


@pytest.mark.parametrize(
    ("colour", "tires"),
    [("red", "vivid"), ("lime", "vivid"), ("navy", "dark"), ("black", "dark"), ("#7fb3d5", None)],
)
def test_pens_that_tire_the_eyes_are_named(net, colour, tires):
    """Common practice, no source: one works for hours over pale and quiet colours."""
    pens = {"whole": tuple(parse_colour(colour).tolist())}
    found = judge_colours(net, thread=WHITE, card=BUFF, pens=pens)
    assert legibility_as_table(found)["markings"][0]["tires"] == tires
    assert ("tires the eyes" in legibility_in_words(found)) == (tires is not None)


def test_no_proposal_tires_the_eyes(net):
    for thread in (WHITE, NAVY, BUFF):
        found = judge_colours(net, thread=thread, card=BUFF)
        table = legibility_as_table(found)
        assert [one["tires"] for one in table["proposals"]] == [None] * 5


def test_a_swatch_is_card_then_marking_with_the_thread_over_both():
    rows = draw_swatch(NAVY, BUFF, TEAL, 0.3) / 255
    left, right = np.array_split(rows, 2, axis=1)
    for part, under in ((left[:, :50], BUFF), (right, TEAL)):
        away = np.abs(part - under).max(axis=2)
        assert (away < 0.12).any()
        assert (part[..., 2] > part[..., 0] + 0.2).mean() > 0.1


def test_a_sheet_of_swatches_is_the_same_each_time(marked_net, tmp_path):
    found = judge_colours(marked_net, thread=NAVY, card=BUFF)
    sizes = [write_swatches(found, marked_net, tmp_path / name) for name in ("a.png", "b.png")]
    with Image.open(tmp_path / "a.png") as image:
        assert sizes == [image.size] * 2
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
