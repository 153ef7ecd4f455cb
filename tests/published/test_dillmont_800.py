"""The ground of a border: its word, and the pairs its first row takes.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, fig. 800 and the
text of pp. 492-494: of 40 pairs 30 are divided into twos over the first row of ground, which has 15
holes in the engraving; the pairs are twisted, then CTC, pin, CTC. Mesh lines lie at 49° (measured,
± 1°).
"""

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import lattice_places, pricked, spots
from tests.plan.verifier import comings_and_goings, replay

HOLES_IN_ROW, WORD = 15, "TTCTCpCTC"
COLUMNS, ROWS = 2 * HOLES_IN_ROW - 1, 8
PLACES = lattice_places(COLUMNS, ROWS)
DOWN = 2.0 * np.tan(np.deg2rad(49))


@pytest.fixture(scope="module")
def plan():
    return plan_work(pricked(spots(PLACES, 2.0, DOWN), ground=WORD))


def test_the_first_row_of_fifteen_holes_takes_thirty_pairs(plan):
    assert sum(row == 0 for _, row in PLACES) == HOLES_IN_ROW
    assert len(plan.hangings) == max(replay(plan).hanging) == 30
    assert comings_and_goings(plan) == (0, 0)


def test_the_first_row_divides_them_into_twos(plan):
    found = replay(plan)
    first_row = [k for k, hole in enumerate(plan.hole.tolist()) if PLACES[hole][1] == 0]
    assert sorted(found.standing[k] for k in first_row) == list(range(1, 30, 2))


def test_every_pin_is_worked_as_it_is_spelt(plan):
    assert set(plan.moves) == {"TTCTCCTC"}
    assert set(plan.pin_after.tolist()) == {5}
    assert len(plan.moves) == len(PLACES)
