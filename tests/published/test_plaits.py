"""Plaits, where they cross, and leaves, as the handbooks have them.

Sources: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886: the plait is half
stitch without a pin (p. 481), in a leaf one thread is woven over and under the other three
(p. 495); J. Edkins, *Bobbin lace*, web handbook, 2002-22: two plaits cross as cross, twist, cross
with a pair in the place of each thread. Threads are moved about here on plain lists.
"""

import numpy as np
import pytest

from render.plan.stitches import order_after
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.joined_pieces import crossing_plaits, two_trails
from tests.pieces import line


def joined_by(word, **options):
    def lines(left, right):
        return [line([left[5], right[10]], word, **options)]

    return plan_work(sort_holes(two_trails(lines)))


def test_a_plait_is_half_stitch_without_a_pin():
    plan = joined_by("plait")
    plait = [k for k, word in enumerate(plan.technique) if word == "plait"]
    assert len(plait) > 5
    assert {plan.moves[k] for k in plait} == {"CT"}
    assert {int(plan.hole[k]) for k in plait} == {-1}


@pytest.mark.parametrize("word", ["leaf", "square-leaf"])
def test_in_a_leaf_one_and_the_same_thread_weaves_through_three(word):
    laid = lay_threads(joined_by(word))
    in_leaf = [t == word for t in laid.plan.technique]
    node = np.flatnonzero((laid.stitch >= 0) & np.array(in_leaf)[laid.stitch])
    count = np.bincount(np.concatenate([laid.left[node], laid.right[node]]))
    weaver, *others = np.argsort(-count)[:4].tolist()
    assert count[weaver] == len(node) == count[others].sum()
    # Along the weaver over and under take turns in every row, and it turns about the last thread.
    rows = (laid.over[node] == weaver).reshape(-1, 3).tolist()
    assert rows[0::2] == [[True, False, True]] * len(rows[0::2])
    assert rows[1::2] == [[False, True, False]] * len(rows[1::2])


def test_two_plaits_cross_like_the_threads_of_a_whole_stitch():
    plan = plan_work(sort_holes(crossing_plaits()))
    crossing = [k for k, moves in enumerate(plan.moves) if moves in ("L", "R")]
    assert "".join(plan.moves[k] for k in crossing) == "LRRL"
    last = crossing[-1]
    assert plan.hole[last] == len(plan.pricking.holes) - 1
    # Cross; pin in the middle after cross and twist; cross.
    assert [int(plan.pin_after[k]) for k in crossing] == [-1, -1, -1, 0]


def test_the_pairs_of_two_plaits_change_places_as_two_and_two():
    """A B | C D come out as C D | A B, like the threads of a whole stitch (Dillmont, p. 481)."""
    plan = plan_work(sort_holes(crossing_plaits()))
    first, left, right, last = [k for k, m in enumerate(plan.moves) if m in ("L", "R")]
    b, c = plan.taken[first].tolist()
    a, d = int(plan.taken[left][0]), int(plan.taken[right][1])
    name = {a: "A", b: "B", c: "C", d: "D"}
    for k in (first, left, right, last):
        x, y = plan.taken[k].tolist()
        name |= dict(zip(plan.given[k].tolist(), (name[y], name[x]), strict=True))
    out = [plan.given[left][0], *plan.given[last], plan.given[right][1]]
    assert "".join(name[int(leg)] for leg in out) == "CDAB"


@pytest.mark.parametrize("letter", ["L", "R"])
def test_a_pair_passes_a_pair_as_one(letter):
    laid = lay_threads(plan_work(sort_holes(crossing_plaits())))
    assert order_after(letter) == (2, 3, 0, 1)
    stitch = laid.plan.moves.index(letter)
    nodes = np.flatnonzero((laid.stitch == stitch) & (laid.kind == Kind.CROSSING))
    assert len(nodes) == 4
    assert (laid.left_over[nodes] == (letter == "L")).all()
