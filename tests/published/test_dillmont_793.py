"""Rose ground: squares of four pins, and crossings without a pin between them.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, fig. 793 and the text
of pp. 487-488 (where the ground has another name). The pins, read off the engraving as (column,
half row), fill a 45° grid like those of torchon ground; the squares repeat every four columns and
four half rows, eight pins a repeat; between two squares two pairs cross, CT, without a pin. The
eleven columns take twelve pairs.
"""

import pytest

from render.plan.work import plan_work
from tests.pieces import PITCH, pricked, spots
from tests.plan.verifier import comings_and_goings, holes_left_out, pairs_standing, replay

COLUMNS, ROWS = 11, 13
# Squares as they are numbered: top, left, right and bottom pin; and single pins of squares that
# the edge cuts off.
SQUARES = {
    "b 1 2 3": [(1, 0), (0, 1), (2, 1), (1, 2)],
    "d 5 6 7": [(5, 0), (4, 1), (6, 1), (5, 2)],
    "f 17 18 19": [(9, 0), (8, 1), (10, 1), (9, 2)],
    "8 9 10 11": [(3, 2), (2, 3), (4, 3), (3, 4)],
}
AT_THE_EDGE = [(0, 3), (0, 7)]
PLACES = [(c, r) for r in range(ROWS) for c in range(COLUMNS) if (c + r) % 2 == 1]
HOLE = {place: number for number, place in enumerate(PLACES)}
MIDDLES = [(c, r) for r in range(2, ROWS - 1, 2) for c in range(2, COLUMNS - 1, 2)]


@pytest.fixture(scope="module")
def plan():
    return plan_work(pricked(spots(PLACES), ground="rose"))


@pytest.fixture(scope="module")
def found(plan):
    return replay(plan)


def stitch_of(plan, place):
    (stitch,) = [k for k, hole in enumerate(plan.hole.tolist()) if hole == HOLE[place]]
    return stitch


def crossing_at(plan, place):
    """Return the stitches without a pin in the middle of a cell."""
    target = spots([place])[0]
    near = abs(plan.at - target).max(axis=1) < 0.3 * PITCH
    return [k for k in near.nonzero()[0].tolist() if plan.hole[k] < 0]


def test_the_numbered_pins_stand_on_the_grid_eight_to_a_repeat():
    printed = {place for square in SQUARES.values() for place in square} | set(AT_THE_EDGE)
    assert printed <= set(PLACES)
    assert sum(4 <= c < 8 and 4 <= r < 8 for c, r in PLACES) == 8


def test_eleven_columns_take_twelve_pairs(plan, found):
    assert len(plan.hangings) == max(found.hanging) == 12
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


def test_a_pin_is_worked_with_the_pairs_of_its_column(plan, found):
    hung = {place: hole for place, hole in HOLE.items() if place[1] > 1}  # all pairs hang by then
    for place, hole in hung.items():
        assert pairs_standing(plan, found, hole) == (place[0] + 1, place[0] + 2)


def test_every_pin_has_half_stitch_before_and_after_it(plan):
    pinned = [k for k, hole in enumerate(plan.hole.tolist()) if hole >= 0]
    assert {(plan.moves[k], int(plan.pin_after[k])) for k in pinned} == {("CTCT", 2)}


def test_two_pairs_cross_between_squares_and_nowhere_else(plan):
    crossings = [k for place in MIDDLES for k in crossing_at(plan, place)]
    assert sorted(crossings) == [k for k, hole in enumerate(plan.hole.tolist()) if hole < 0]
    assert len(crossings) == len(MIDDLES)
    assert {plan.moves[k] for k in crossings} == {"CT"}


def test_a_crossing_joins_two_squares_above_to_two_below(plan, found):
    """It waits for the pins above it, and the pins below wait for it."""
    for c, r in MIDDLES:
        (crossing,) = crossing_at(plan, (c, r))
        assert found.standing[crossing] == c + 1
        falls = (c + r) % 4 == 0
        above = [(c, r - 1), (c - 1 if falls else c + 1, r)]
        below = [(c, r + 1), (c + 1 if falls else c - 1, r)]
        assert all(found.needed[crossing] >> stitch_of(plan, p) & 1 for p in above)
        assert all(found.needed[stitch_of(plan, p)] >> crossing & 1 for p in below)


def test_a_square_closes_within_itself(plan, found):
    """Its lower pin is worked with the pairs that its left and right pins let go."""
    for top, left, right, bottom in SQUARES.values():
        first, last = plan.taken[stitch_of(plan, bottom)].tolist()
        assert first == plan.given[stitch_of(plan, left), 1]
        assert last == plan.given[stitch_of(plan, right), 0]
        assert found.needed[stitch_of(plan, bottom)] >> stitch_of(plan, top) & 1
