"""Plain torchon ground, worked hole by hole as it is printed.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, fig. 787 and the text
of pp. 484-486: every pin's place was read off the engraving as (column, row), column 0 at the
left. Pairs are numbered from the left in the text; the tests also show that the figure read the
other way round would contradict it.
"""

import pytest

from render.plan.work import plan_work
from tests.pieces import lattice, lattice_places, pricked
from tests.plan.verifier import (
    comings_and_goings,
    holes_left_out,
    legs_across,
    pairs_standing,
    replay,
    stitches_at,
)

COLUMNS, ROWS = 9, 13
# Pins 1 to 29 in the order in which the text has them worked.
PRINTED = [
    (1, 1), (0, 2), (3, 1), (2, 2), (1, 3), (0, 4), (5, 1), (4, 2), (3, 3), (2, 4), (1, 5), (0, 6),
    (7, 1), (6, 2), (5, 3), (4, 4), (3, 5), (2, 6), (1, 7), (0, 8), (8, 2), (7, 3), (6, 4), (5, 5),
    (4, 6), (3, 7), (2, 8), (1, 9), (0, 10),
]  # fmt: skip
STATED_PAIRS = {1: {2, 3}, 2: {1, 2}, 3: {4, 5}, 4: {3, 4}, 7: {6, 7}, 13: {8, 9}, 21: {9, 10}}
PLACES = lattice_places(COLUMNS, ROWS)


@pytest.fixture(scope="module")
def plan():
    return plan_work(pricked(lattice(COLUMNS, ROWS)))


@pytest.fixture(scope="module")
def found(plan):
    return replay(plan)


def hole(pin, mirrored=False):
    column, row = PRINTED[pin - 1]
    return PLACES.index((COLUMNS - 1 - column if mirrored else column, row))


def test_it_has_59_holes_each_worked_once(plan):
    assert len(PLACES) == 59
    assert sorted(plan.hole.tolist()) == list(range(59))
    assert holes_left_out(plan) == set()


def test_five_pins_with_two_pairs_each_make_ten(plan, found):
    assert len(plan.hangings) == 10
    assert comings_and_goings(plan) == (0, 0)
    assert found.hanging[:5] == (2, 4, 6, 8, 10), "the starting pins take two pairs each"
    assert set(found.hanging[4:]) == {10}


@pytest.mark.parametrize("row", range(1, ROWS))
def test_every_cut_across_it_meets_ten_pairs(plan, row):
    assert legs_across(plan, 5.0 * (row - 0.5)) == 10


def test_the_printed_order_can_be_followed(plan, found):
    """Whatever a pin waits for is a starting pin or was printed before it."""
    done = sum(1 << k for k, hole in enumerate(plan.hole.tolist()) if PLACES[hole][1] == 0)
    for pin in range(1, 30):
        (stitch,) = stitches_at(plan, hole(pin))
        assert found.needed[stitch] & ~done == 0, f"pin {pin} waits for a later one"
        done |= 1 << stitch


def test_the_order_is_no_freer_than_two_pairs_a_pin_allow(plan, found):
    """Each pin of the printed order but a starting one waits for both of its upper neighbours."""
    for pin, (column, row) in enumerate(PRINTED, 1):
        (stitch,) = stitches_at(plan, hole(pin))
        edge = [(column, row - 2)] if column in (0, COLUMNS - 1) else []
        upper = [(column - 1, row - 1), (column + 1, row - 1), *edge]
        for place in (place for place in upper if place in PLACES):
            (other,) = stitches_at(plan, PLACES.index(place))
            assert found.needed[stitch] >> other & 1


@pytest.mark.parametrize("pin", STATED_PAIRS)
def test_a_pin_is_worked_with_the_pairs_that_are_stated(plan, found, pin):
    assert set(pairs_standing(plan, found, hole(pin))) == STATED_PAIRS[pin]


def test_the_figure_reads_from_the_left(plan, found):
    mirrored = {pin: set(pairs_standing(plan, found, hole(pin, True))) for pin in STATED_PAIRS}
    assert all(mirrored[pin] != STATED_PAIRS[pin] for pin in (1, 2, 3, 4, 7, 13, 21))
