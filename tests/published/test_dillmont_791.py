"""Honeycomb ground begun on a slant, worked hole by hole as it is printed.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, fig. 791 and the text
of pp. 486-487 (where the ground has another name). Every pin's place was read off the engraving as
(column, half row), column 0 at the left; its lines lie at 60° to the edge (measured, ± 1°). Nine
starting pins take two pairs on the first and one on each other: ten pairs.
"""

import re

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import PITCH, pricked, spots
from tests.plan.verifier import comes_before, holes_left_out, pairs_standing, replay, stitches_at

# Pins in the order in which the text has them worked: name(column,half row).
PRINTED = """
a(0,1) b(1,2) c(2,3) 1(1,4) 2(0,5) 3(1,6) d(3,4) e(4,5) 4(3,6) 5(2,7) 6(1,8) 7(0,9) 8(3,8) 9(1,10)
f(5,6) g(6,7) 10(5,8) 11(4,9) 12(3,10) 13(2,11) 14(1,12) 15(0,13) 16(5,10) 17(3,12) 18(1,14)
h(7,8) i(8,9) 19(7,10) 20(6,11) 21(5,12) 22(4,13) 23(3,14) 24(2,15) 25(1,16) 26(0,17) 27(7,12)
28(5,14) 29(3,16) 30(1,18)
"""
STATED_PAIRS = {
    "a": (1, 2), "b": (2, 3), "c": (3, 4), "1": (2, 3), "2": (1, 2), "d": (4, 5), "e": (5, 6),
    "f": (6, 7), "g": (7, 8), "h": (8, 9), "i": (9, 10), "27": (8, 9), "28": (6, 7), "29": (4, 5),
    "30": (2, 3),
}  # fmt: skip
PINS = re.findall(r"(\w+)\((\d+),(\d+)\)", PRINTED)
HOLE = {name: number for number, (name, _, _) in enumerate(PINS)}
ACROSS = PITCH * np.tan(np.deg2rad(60))


@pytest.fixture(scope="module")
def plan():
    places = [(int(column), int(row)) for _, column, row in PINS]
    return plan_work(pricked(spots(places, ACROSS, PITCH), ground="honeycomb"))


@pytest.fixture(scope="module")
def found(plan):
    return replay(plan)


def test_nine_starting_pins_take_ten_pairs(plan, found):
    assert len(plan.hangings) == max(found.hanging) == 10
    assert all(hung.start for hung in plan.hangings)


def test_every_pin_is_worked_once_in_honeycomb(plan):
    assert sorted(plan.hole.tolist()) == list(range(39))
    assert set(plan.moves) == {"CTTCTT"}
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("pin", STATED_PAIRS)
def test_a_pin_is_worked_with_the_pairs_that_are_stated(plan, found, pin):
    assert pairs_standing(plan, found, HOLE[pin]) == STATED_PAIRS[pin]


@pytest.mark.parametrize("pin", HOLE)
def test_a_pin_is_worked_with_the_pairs_of_its_column(plan, found, pin):
    column = int(PINS[HOLE[pin]][1])
    assert pairs_standing(plan, found, HOLE[pin]) == (column + 1, column + 2)


def test_the_printed_order_can_be_followed(plan, found):
    stitch = [stitches_at(plan, hole)[0] for hole in range(39)]
    for later in range(39):
        assert not any(comes_before(found, stitch[later], stitch[k]) for k in range(later))


def test_full_lines_alternate_with_gapped_ones():
    """Nine columns of the figure carried on: a hole every two half rows, then every four."""
    full = [(c, r) for r in range(25) for c in range(1, 9, 2) if r % 2 == 0]
    gapped = [(c, r) for r in range(25) for c in range(0, 9, 2) if r % 4 == 1 + c % 4]
    plan = plan_work(pricked(spots(full + gapped, ACROSS, PITCH), ground="honeycomb"))
    assert max(replay(plan).hanging) == 10
    assert len(plan.hangings) == 10
    assert plan.remarks == ()
