"""How grounds are read from letters, and what is refused."""

import pytest

from render.errors import PlanError
from render.plan.stitches import GROUNDS, ground_stitch, trailing_twists


@pytest.mark.parametrize("word", ["pCT", "", "p", "CTx", "CppT", "ct", "torchón"])
def test_only_letters_with_at_most_one_pin_make_a_ground(word):
    with pytest.raises(PlanError, match="letters C, T and p"):
        ground_stitch(word)


def test_a_ground_may_be_named_or_spelt():
    assert ground_stitch("CTpCT") == ground_stitch("torchon")


def test_without_a_pin_in_the_word_the_pin_comes_last():
    assert ground_stitch("CTTT").pin_after == 4
    assert ground_stitch("CTTT") == ground_stitch("point")


@pytest.mark.parametrize("word", GROUNDS)
def test_a_ground_reads_back_as_it_is_spelt(word):
    assert str(ground_stitch(word)).replace(" ", "") == GROUNDS[word]


@pytest.mark.parametrize(("moves", "count"), [("CTC", 0), ("CT", 1), ("CTTT", 3), ("TT", 2)])
def test_twists_at_the_end_lie_on_the_pairs_that_leave(moves, count):
    assert trailing_twists(moves) == count
