"""What crosses and twists do to the four threads of two pairs.

Sources: the movements are those of Th. de Dillmont, *Encyclopedia of Needlework*, English edition,
1886, p. 481: the cross lays the second thread over the third, the twist lays the right thread of
each pair over the left. Where each stitch leaves its threads was worked out with threads on paper.
"""

from collections import Counter

import pytest

from render.plan.stitches import GROUNDS, STITCHES, TURNING, ground_stitch, order_after
from render.plan.work import plan_work
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.pieces import lattice, pricked

# word: threads a b | c d afterwards, crossings of two threads, what becomes of the pairs
WORDS = {
    "C": ("acbd", 1, "split"),
    "T": ("badc", 2, "kept"),
    "CT": ("cadb", 3, "split"),
    "CTC": ("cdab", 4, "change places"),
    "CTCT": ("dcba", 6, "change places"),
    "CTT": ("acbd", 5, "split"),
    "CTTT": ("cadb", 7, "split"),
    "CTTC": ("abcd", 6, "kept"),
    "CTTCTT": ("abcd", 10, "kept"),
    "CTCTCTCT": ("abcd", 12, "kept"),
    "CTCCTC": ("abcd", 8, "kept"),
}


def swap(threads, k):
    return [*threads[:k], threads[k + 1], threads[k], *threads[k + 2 :]]


def worked_by_hand(word):
    """Return the threads and how often two of them were laid over each other."""
    threads, crossings = list("abcd"), 0
    for letter in word:
        for k in (1,) if letter == "C" else (0, 2):
            threads, crossings = swap(threads, k), crossings + 1
    return "".join(threads), crossings


def pairs_after(threads):
    left = set(threads[:2])
    return {"ab": "kept", "cd": "change places"}.get("".join(sorted(left)), "split")


@pytest.mark.parametrize("word", WORDS)
def test_a_word_leaves_the_threads_where_it_should(word):
    assert "".join("abcd"[k] for k in order_after(word)) == WORDS[word][0]


@pytest.mark.parametrize("word", WORDS)
def test_the_table_agrees_with_working_by_hand(word):
    threads, crossings = worked_by_hand(word)
    assert (threads, crossings, pairs_after(threads)) == WORDS[word]


def test_stitches_are_spelt_as_the_trade_spells_them():
    """Half stitch: Dillmont p. 481; whole stitch and turning stitch: J. Edkins, 2002-22."""
    assert STITCHES == {"half": "CT", "whole": "CTC", "double": "CTCT"}
    assert TURNING == "CTTC"


# Dillmont pp. 484-489; doubled torchon and point ground: J. Edkins, *Bobbin lace*, 2002-22.
PRINTED_GROUNDS = {
    "torchon": ("CT", "CT"),
    "twisted": ("CT", "CTT"),
    "brussels": ("CTCT", "CTCTT"),
    "honeycomb": ("CTT", "CTT"),
    "rose": ("CT", "CT"),
    "valenciennes": ("CT", "CT"),
    "doubled": ("CTCT", "CTCT"),
    "point": ("CTTT", ""),
}


@pytest.mark.parametrize("word", PRINTED_GROUNDS)
def test_a_ground_is_worked_round_its_pin_as_printed(word):
    before, after = PRINTED_GROUNDS[word]
    stitch = ground_stitch(word)
    assert (stitch.moves[: stitch.pin_after], stitch.moves[stitch.pin_after :]) == (before, after)


# Rose ground has crossings without a pin besides, Valenciennes plaits: see test_dillmont_793 and
# test_valenciennes.
@pytest.mark.parametrize("ground", sorted(GROUNDS.keys() - {"rose", "valenciennes"}))
def test_the_threads_of_a_ground_cross_as_often_as_its_word_says(ground):
    holes = lattice(5, 7)
    laid = lay_threads(plan_work(pricked(holes, ground=ground)))
    kinds = Counter(laid.kind.tolist())
    _, crossings = worked_by_hand(GROUNDS[ground].replace("p", ""))
    assert kinds[Kind.CROSSING] == crossings * len(holes)


# Source: J. Edkins: honeycomb and doubled torchon bring pairs back to their own side, torchon
# exchanges them, point ground splits them.
FATES = {
    "honeycomb": "kept",
    "doubled": "kept",
    "torchon": "change places",
    "point": "split",
}


@pytest.mark.parametrize("ground", FATES)
def test_a_ground_keeps_exchanges_or_splits_its_pairs_as_the_trade_says(ground):
    assert pairs_after(worked_by_hand(GROUNDS[ground].replace("p", ""))[0]) == FATES[ground]
