"""Plaits and leaves between trails: whose pairs they are, where they meet, what is told.

Common practice in guipure, no source, where none is named.
"""

import numpy as np
import pytest

from render.plan.model import ROLES
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.joined_pieces import (
    crossing_plaits,
    net_of_plaits,
    three_plaits,
    touching_plaits,
    trail,
    two_trails,
)
from tests.pieces import line
from tests.plan.verifier import comings_and_goings, replay, stitches_at


def worked(lines, **piece):
    plan = plan_work(sort_holes(two_trails(lines, **piece)))
    replay(plan)
    return plan


def to_and_fro(left, right):
    """Lead a plait from the left trail to the right one, and four pins further on one back."""
    return [line([left[5], right[8]], "plait"), line([right[12], left[13]], "plait")]


def test_a_trail_lends_its_outermost_pairs_to_a_plait_and_takes_in_those_that_come():
    plan = worked(to_and_fro)
    assert comings_and_goings(plan) == (0, 0)
    assert len(plan.hangings) == 2 * 7
    assert not plan.remarks


def test_a_trail_with_too_few_pairs_has_them_hung_in_and_says_so():
    plan = worked(to_and_fro, pairs=3)
    told = [r for r in plan.remarks if "lacks pairs: two pairs are hung in" in r.message]
    # The right trail has the pairs of the first plait to spare for the second.
    assert [r.place.item for r in told] == ["hole 6"]
    plait = [h for h in plan.hangings if ROLES[h.role] == "plait"]
    assert [(h.hole, h.run) for h in plait] == [(5, 0), (5, 0)]


def test_it_does_not_matter_from_which_end_a_line_was_drawn():
    def turned(left, right):
        return [line(run.points[::-1], run.word) for run in to_and_fro(left, right)]

    assert worked(to_and_fro).taken.tolist() == worked(turned).taken.tolist()


def test_finer_thread_takes_more_half_stitches():
    counts = [worked(to_and_fro, gauge_mm=g).technique.count("plait") for g in (0.2, 0.3, 0.4)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > 1.8 * counts[2]


def test_the_pairs_of_three_plaits_pass_each_other_once_and_come_out_mirrored():
    plan = plan_work(sort_holes(three_plaits()))
    crossing = [k for k, moves in enumerate(plan.moves) if moves in ("L", "R")]
    assert len(crossing) == 6 * 5 // 2
    name, places, met = {}, [], []
    for k in crossing:
        left, right = plan.taken[k].tolist()
        places += [leg for leg in (left, right) if leg not in name]
        name |= {leg: leg for leg in (left, right) if leg not in name}
        met.append(frozenset((name[left], name[right])))
        one, other = plan.given[k].tolist()
        name[one], name[other] = name[right], name[left]
    assert len(places) == 6
    assert len(set(met)) == 15, "some pair passes another twice"


def test_plaits_that_only_touch_go_back_to_their_own_sides():
    plan = plan_work(sort_holes(touching_plaits()))
    (stitch,) = stitches_at(plan, 62)
    assert (plan.moves[stitch], int(plan.pin_after[stitch])) == ("CTCCTC", 3)
    assert comings_and_goings(plan) == (0, 0)


@pytest.mark.parametrize("columns", [4, 6, 8])
def test_plaits_that_begin_side_by_side_make_a_net(columns):
    """Each crosses every other it meets, a pair for a thread; no pair is hung in or thrown out."""
    rows = 6
    plan = plan_work(sort_holes(net_of_plaits(columns, rows)))
    # On even rows every second of the columns between the trails, on odd ones the others.
    met = sum((c + r) % 2 for r in range(1, rows + 1) for c in range(1, columns))
    assert sum(move in ("L", "R") for move in plan.moves) == 4 * met
    assert comings_and_goings(plan) == (0, 0)


def test_a_plait_that_ends_on_another_joins_it_and_is_told():
    middle = (6.0, 11.0)

    def lines(left, right):
        return [line([left[5], middle, right[10]], "plait"), line([right[4], middle], "plait")]

    plan = worked(lines, between=[middle])
    told = [r.message for r in plan.remarks if r.place.item == "hole 63"]
    assert told == ["2 pairs that come to this meeting of lines end here: thrown out"]


def test_a_line_across_another_without_a_hole_is_left_out_and_told():
    def lines(left, right):
        return [line([left[5], right[14]], "plait"), line([right[6], left[13]], "leaf")]

    plan = worked(lines)
    assert "leaf" not in plan.technique
    assert any("no hole is pricked for them to meet" in r.message for r in plan.remarks)


@pytest.mark.parametrize("word", ["plait", "leaf", "square-leaf"])
def test_two_trails_a_pin_apart_are_bridged_by_a_short_line(word):
    plan = worked(lambda left, right: [line([left[5], right[6]], word)], gap=5.2)
    assert word in plan.technique


def test_a_line_along_a_trail_is_left_out_and_told():
    plan = worked(lambda left, right: [line([left[5], left[13]], "plait")])
    assert "plait" not in plan.technique
    assert any("runs along the edge of left" in r.message for r in plan.remarks)


def test_a_line_through_a_trail_is_left_out_and_told():
    plan = worked(lambda left, right: [line([left[4], right[11]], "plait")])
    assert "plait" not in plan.technique
    assert [r.message for r in plan.remarks] == [
        "between holes 5 and 43 this plait runs through left: it is left out there"
    ]


@pytest.mark.parametrize(("asked", "side"), [("left", -1), ("right", 1)])
def test_a_pair_is_twisted_three_times_before_and_after_the_pin_of_a_picot(asked, side):
    """J. Edkins, *Bobbin lace*, web handbook: three to five times, then two to four."""
    left, right = (np.array(trail(x, 31)) for x in (0.0, 12.0))
    middle, run = (
        (left[5] + right[14]) / 2,
        (right[14] - left[5]) / np.hypot(*(right[14] - left[5])),
    )
    hole = middle + 1.4 * side * np.array([run[1], -run[0]])
    plan = worked(
        lambda a, b: [line([a[5], b[14]], "plait", picots=asked)], between=[hole.tolist()]
    )
    (leg,) = np.flatnonzero(plan.turn == 62)
    assert (int(plan.twists[leg]), int(plan.turn_side[leg])) == (6, side)


def test_along_a_headside_the_worker_makes_its_turns_picots():
    plan = worked(lambda left, right: [line([left[0], left[30]], "headside", picots="left")])
    turns = {int(plan.turn[leg]): int(plan.twists[leg]) for leg in np.flatnonzero(plan.turn >= 0)}
    assert {turns[k] for k in range(2, 29, 2)} == {6}
    assert {turns[k] for k in range(1, 29, 2)} == {1}


def test_a_leaf_may_be_asked_to_be_broader():
    def broadest(**options):
        plan = worked(lambda left, right: [line([left[5], right[10]], "leaf", **options)])
        return plan.breadth.max()

    usual, asked = broadest(), broadest(**{"width-mm": "4.2"})
    assert usual < asked <= 4.2


def test_leaves_cross_like_plaits():
    plan = plan_work(sort_holes(crossing_plaits("leaf")))
    assert "".join(m for m in plan.moves if m in ("L", "R")) == "LRRL"
    assert not plan.remarks
