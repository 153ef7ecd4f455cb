"""Valenciennes ground: plaited sides, joined at the pins.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, p. 489: the sides of
the meshes are plaits of 4, 6 or 8 half stitches by their size, joined CT p CT. So two pairs go
along every side, four meet at a pin, and W columns of pins take twice W + 1 pairs: derived.
"""

from collections import Counter

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.lattices import arc, sheared, stretched
from tests.pieces import diamond, lattice, pricked
from tests.plan.verifier import (
    comings_and_goings,
    holes_left_out,
    holes_remarked_on,
    replay,
    stitches_at,
)

GAUGE = 0.4


@pytest.fixture(scope="module")
def plan():
    return plan_work(pricked(lattice(7, 9), ground="valenciennes"), gauge_mm=GAUGE)


@pytest.fixture(scope="module")
def found(plan):
    return replay(plan)


def sides(plan):
    """Return how many half stitches each plait has, by the stitches in which its pairs end."""
    follows = {leg: k for k, legs in enumerate(plan.taken.tolist()) for leg in legs}
    lengths, begun = [], set(np.flatnonzero(np.array(plan.technique) == "plait").tolist())
    after = {k: [follows.get(leg, -1) for leg in plan.given[k].tolist()] for k in begun}
    inner = {n for k in begun for n in set(after[k]) if after[k][0] == after[k][1] and n in begun}
    for k in begun - inner:
        length = 1
        while after[k][0] == after[k][1] and after[k][0] in begun:
            k, length = after[k][0], length + 1
        lengths.append(length)
    return lengths


def test_two_pairs_go_along_every_side(plan, found):
    assert len(plan.hangings) == max(found.hanging) == 2 * (7 + 1)
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()
    assert plan.remarks == ()


def test_there_is_a_plait_for_every_side_of_every_mesh(plan):
    """24 lattice links right and left of 32 pins, and 4 sides down each edge, counted by hand."""
    columns, rows = 7, 9
    links = (columns - 1) * (rows - 1)
    down_the_edges = 2 * (rows // 2)
    assert len(sides(plan)) == links + down_the_edges


def test_plaits_are_of_half_stitches_and_of_an_even_number(plan):
    plaited = [plan.moves[k] for k, word in enumerate(plan.technique) if word == "plait"]
    assert set(plaited) == {"CT"}
    assert {n % 2 for n in sides(plan)} == {0}


@pytest.mark.parametrize(("pitch", "count"), [(3.4, 4), (4.8, 6), (6.0, 8)])
def test_larger_meshes_have_longer_plaits(pitch, count):
    plan = plan_work(pricked(lattice(5, 5, pitch, pitch), ground="valenciennes"), gauge_mm=GAUGE)
    assert Counter(sides(plan)).most_common(1)[0][0] == count


def test_at_a_pin_the_two_middle_pairs_of_four_are_joined(plan, found):
    """Column c is worked with pairs 2c + 2 and 2c + 3: the inner ones of its two plaits."""
    places = [(c, r) for r in range(9) for c in range(7) if (c + r) % 2 == 0]
    for hole, (column, _) in enumerate(places):
        (stitch,) = stitches_at(plan, hole)
        assert (plan.moves[stitch], int(plan.pin_after[stitch])) == ("CTCT", 2)
        if found.hanging[stitch] == 16:
            assert found.standing[stitch] == 2 * column + 2


BENT = {"arc": arc(90), "steep": stretched(1.5), "slanting": sheared(0.4)}


@pytest.mark.parametrize("name", BENT)
def test_it_goes_round_bends_like_any_ground(name):
    bent = BENT[name]
    plan = plan_work(pricked(bent.holes, ground="valenciennes"))
    replay(plan)
    assert len(plan.hangings) == 2 * (bent.columns + 1)
    assert comings_and_goings(plan) == (0, 0)


@pytest.mark.parametrize("n", [2, 4])
def test_a_figure_in_it_is_worked_and_what_its_pairs_do_is_told(n):
    plan = plan_work(diamond(n, ground="valenciennes"))
    replay(plan)
    assert holes_left_out(plan) - holes_remarked_on(plan) == set()
    assert sum(comings_and_goings(plan)) == 0 or holes_remarked_on(plan)
