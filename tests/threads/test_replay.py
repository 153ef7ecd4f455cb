"""Replayed plans, judged by moving names about on a plain list."""

from itertools import pairwise

import numpy as np
import pytest

from render.threads.network import Kind
from render.threads.replay import lay_threads

# Derived by hand from "C: 2 over 3, T: 2 over 1 and 4 over 3", the threads numbered anew after each
# movement: Th. de Dillmont, Encyclopedia of Needlework, English edition (1886), p. 481; the same in
# J. Edkins, Bobbin lace, web handbook (2002-2022), and the beginners' page of the Australian Lace
# Guild.
ORDER_AFTER = {
    "C": ("acbd", 1),
    "T": ("badc", 2),
    "CT": ("cadb", 3),
    "CTC": ("cdab", 4),
    "CTCT": ("dcba", 6),
    "CTT": ("acbd", 5),
    "CTTT": ("cadb", 7),
    "CTTC": ("abcd", 6),
    "CTTCTT": ("abcd", 10),
    "CTCTCTCT": ("abcd", 12),
    "CTCCTC": ("abcd", 8),
}


@pytest.mark.parametrize("word", ORDER_AFTER)
def test_threads_stand_after_a_stitch_as_the_handbooks_say(word, work_two_pairs):
    laid = lay_threads(work_two_pairs((word,)))
    ends = np.flatnonzero(laid.kind == Kind.END)
    standing = "".join("abcd"[laid.left[node]] for node in ends)
    crossings = np.count_nonzero(laid.kind == Kind.CROSSING)
    assert (standing, crossings) == ORDER_AFTER[word]


def test_a_cross_lays_left_over_right_and_a_twist_right_over_left(work_two_pairs):
    """Threads 0 1 2 3: C lays 1 over 2; T then lays 2 over 0 and 3 over 1."""
    laid = lay_threads(work_two_pairs(("CT",)))
    crossing = laid.kind == Kind.CROSSING
    pairs = set(zip(laid.over[crossing].tolist(), laid.under[crossing].tolist(), strict=True))
    assert pairs == {(1, 2), (2, 0), (3, 1)}


def test_every_crossing_is_passed_by_its_two_threads_and_no_other(work_two_pairs):
    laid = lay_threads(work_two_pairs(("CTCT", "CTTC", "CT")))
    for node in np.flatnonzero(laid.kind == Kind.CROSSING):
        passing = laid.thread[laid.visits == node]
        assert sorted(passing) == sorted((laid.left[node], laid.right[node]))


def test_threads_alternate_over_and_under_in_cloth(work_two_pairs):
    """Whole stitch is plain weave."""
    laid = lay_threads(work_two_pairs(("CTC",)))
    for thread in range(4):
        nodes = laid.visits[laid.starts[thread] : laid.starts[thread + 1]]
        on_top = [laid.over[n] == thread for n in nodes if laid.kind[n] == Kind.CROSSING]
        assert all(a != b for a, b in pairwise(on_top))


def test_each_pair_has_two_threads_that_begin_at_one_spot(work_two_pairs):
    laid = lay_threads(work_two_pairs(("CT",)))
    assert laid.pair.tolist() == [0, 0, 1, 1]
    first = laid.visits[laid.starts[:-1]]
    assert first[0] == first[1] != first[2] == first[3]


def test_the_twists_at_the_end_of_a_stitch_lie_on_the_legs(work_two_pairs):
    laid = lay_threads(work_two_pairs(("CTTT", "CTTT")))
    twists = (laid.kind == Kind.CROSSING) & (laid.leg >= 0)
    assert np.count_nonzero(twists) == 12
    assert np.all(laid.at[twists, 1] > 0)


def test_a_plan_without_a_stitch_is_refused(work_two_pairs):
    with pytest.raises(ValueError, match="without a stitch"):
        lay_threads(work_two_pairs(()))
