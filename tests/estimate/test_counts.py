"""What is counted, against plain grounds anybody can count."""

import numpy as np
import pytest

from render.estimate.counts import count_work
from render.pattern.model import Pattern
from render.plan.work import plan_work
from render.pricking.sort import sort_holes


def ground(columns: int, rows: int, word: str = "torchon") -> Pattern:
    spots = [(c, r) for r in range(rows) for c in range(columns) if (c + r) % 2 == 0]
    nothing = (None,) * len(spots)
    return Pattern("ground", np.array(spots, float) * 2.5, nothing, nothing, ground=word)


@pytest.mark.parametrize(("columns", "rows"), [(5, 9), (9, 14), (13, 30)])
def test_pins_on_w_columns_take_one_pair_more(columns, rows):
    """Derived from the 31 pair numbers that Dillmont prints, Encyclopedia (1886), pp. 484-488."""
    counts = count_work(plan_work(sort_holes(ground(columns, rows))))
    assert counts.pairs.total == columns + 1
    assert counts.pairs.most == columns + 1
    assert (counts.pairs.hung_in, counts.pairs.thrown_out) == (0, 0)


def test_dillmonts_first_ground_takes_her_ten_pairs():
    """Th. de Dillmont, Encyclopedia of Needlework (1886), fig. 787: 59 holes, 10 pairs."""
    counts = count_work(plan_work(sort_holes(ground(9, 13))))
    assert counts.holes == 59
    assert counts.pairs.start == 10


@pytest.mark.parametrize("word", ["torchon", "point", "CTCpCT"])
def test_ground_counts_one_stitch_a_hole(word):
    counts = count_work(plan_work(sort_holes(ground(7, 11, word))))
    assert sum(counts.stitches.values()) == counts.holes


def test_size_is_from_hole_to_hole():
    assert count_work(plan_work(sort_holes(ground(5, 9)))).size_mm == (10, 20)
