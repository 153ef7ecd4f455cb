"""Texts of a pattern on its picture: where they are asked for, and nowhere else."""

import numpy as np
import pytest
from PIL import Image

from render import Flat, Wishes, preview
from render.lettering import room_for, text_width
from render.pattern.model import Label
from tests.pieces import net_text

DPI = 200
WORD = '<text x="4" y="18" font-size="3" text-anchor="middle">SEA</text>'


@pytest.fixture
def drawn(tmp_path):
    (tmp_path / "net.svg").write_text(net_text(WORD), "utf-8")

    def drawn(**wished):
        target = tmp_path / "net.png"
        wishes = Wishes(dpi=DPI, background=Flat((1.0, 1.0, 1.0)), **wished)
        made = preview(tmp_path / "net.svg", target, wishes)
        return made, np.asarray(Image.open(target).convert("L"), int)

    return drawn


def test_a_picture_has_room_for_its_texts(drawn):
    without, _ = drawn()
    with_them, _ = drawn(notes=True)
    assert with_them.size_mm[1] > without.size_mm[1] + 1


def test_letters_stand_on_their_line_in_their_size(drawn):
    _, picture = drawn(notes=True)
    scale = DPI / 25.4
    # The lace ends above the word: the lowest dark rows are its letters.
    dark = (picture < 100).any(axis=1)
    rows = np.flatnonzero(dark)
    letters = rows[rows > rows[-1] - 3 * scale]
    tall = (letters[-1] - letters[0] + 1) / scale
    # Capitals are about 0.7 as high as their size (ISO 3098 has 10 to 7 in width of lines alone;
    # common practice of typefaces, no source).
    assert 0.6 * 3 < tall < 0.85 * 3
    columns = np.flatnonzero((picture[letters] < 100).any(axis=0))
    assert (columns[-1] - columns[0]) == pytest.approx(text_width("SEA", round(3 * scale)), abs=5)


def test_nothing_is_written_unasked(drawn):
    _, plain = drawn()
    _, told = drawn(notes=True)
    rows = min(len(plain), len(told)) // 2
    assert np.array_equal(plain[:rows], told[:rows, : plain.shape[1]])


@pytest.mark.parametrize(("anchor", "share"), [("start", 0.0), ("middle", 0.5), ("end", 1.0)])
def test_room_lies_as_the_text_is_held(anchor, share):
    low, high = room_for(Label("cockle", (10.0, 20.0), 3.0, anchor), 10.0)
    assert (10.0 - low[0]) / (high[0] - low[0]) == pytest.approx(share)
    assert low[1] < 20.0 < high[1]
