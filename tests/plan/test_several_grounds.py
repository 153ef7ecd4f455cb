"""Several grounds in one piece, each in its region, and the twists of their legs.

How often a word twists the pairs it lets go is counted from its letters: Th. de Dillmont,
*Encyclopedia of Needlework*, English edition, 1886, pp. 484-489; point ground: J. Edkins, *Bobbin
lace*, web handbook, 2002-22.
"""

import numpy as np
import pytest
import shapely

from render.plan.work import plan_work
from tests.lattices import arc
from tests.pieces import PITCH, lattice_places, pricked, region, spots
from tests.plan.verifier import comings_and_goings, holes_left_out, replay

COLUMNS, ROWS = 15, 21
# word: movements at a pin, and the twists that are left on each pair that goes on
WORDS = {
    "torchon": ("CTCT", 1),
    "twisted": ("CTCTT", 2),
    "doubled": ("CTCTCTCT", 1),
    "point": ("CTTT", 3),
    "honeycomb": ("CTTCTT", 2),
    "rose": ("CTCT", 1),
    "brussels": ("CTCTCTCTT", 2),
    "CTTpCTTT": ("CTTCTTT", 3),
}


def diamond_outline(column, row, reach):
    tips = [(column, row - reach), (column + reach, row), (column, row + reach)]
    return spots([*tips, (column - reach, row)])


def honeycomb_gap(c, r):
    """Every second row is gapped: the places that a honeycomb filling leaves out."""
    return r % 2 == 1 and (c + r) % 4 == 0


def in_honeycomb(c, r):
    return abs(c - 7) + abs(r - 10) < 5 and honeycomb_gap(c, r)


def two_grounds(outer, inner, left_out=lambda c, r: False):
    places = lattice_places(COLUMNS, ROWS, left_out)
    outline = diamond_outline(7, 10, 5)
    filling = region(outline, "ground", "filling", ground=inner)
    return places, outline, pricked(spots(places), [filling], ground=outer)


PAIRS_OF_GROUNDS = [
    ("torchon", "point"), ("point", "honeycomb"), ("torchon", "honeycomb"), ("torchon", "rose"),
    ("twisted", "brussels"), ("honeycomb", "doubled"), ("torchon", "CTTpCTTT"),
]  # fmt: skip


@pytest.mark.parametrize(("outer", "inner"), PAIRS_OF_GROUNDS)
def test_each_pin_is_worked_in_the_ground_of_its_region(outer, inner):
    _, outline, pricking = two_grounds(outer, inner)
    plan = plan_work(pricking)
    area = shapely.Polygon(outline).buffer(0.1)
    for hole, spot in enumerate(pricking.holes):
        (stitch,) = np.flatnonzero(plan.hole == hole)
        word = inner if area.contains(shapely.Point(spot)) else outer
        assert (plan.technique[stitch], plan.moves[stitch]) == (word, WORDS[word][0])


@pytest.mark.parametrize(("outer", "inner"), PAIRS_OF_GROUNDS)
def test_no_pair_comes_or_goes_between_grounds(outer, inner):
    plan = plan_work(two_grounds(outer, inner)[2])
    assert len(plan.hangings) == max(replay(plan).hanging) == COLUMNS + 1
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("outer", ["torchon", "point"])
def test_a_honeycomb_filling_with_its_gaps_stands_in_another_ground(outer):
    plan = plan_work(two_grounds(outer, "honeycomb", in_honeycomb)[2])
    assert len(plan.hangings) == max(replay(plan).hanging) == COLUMNS + 1
    assert comings_and_goings(plan) == (0, 0)


@pytest.mark.parametrize(("outer", "inner"), PAIRS_OF_GROUNDS)
def test_a_leg_has_the_twists_of_the_pin_it_comes_from(outer, inner):
    """Also where it crosses from one ground into the other."""
    plan = plan_work(two_grounds(outer, inner)[2])
    followed = set(plan.taken.ravel().tolist())
    for stitch, word in enumerate(plan.technique):
        letters = plan.moves[stitch]
        for leg in plan.given[stitch].tolist():
            if leg in followed and plan.hole[stitch] >= 0:
                twists = len(letters) - len(letters.rstrip("T")) + int(plan.twists[leg])
                assert twists == WORDS[word][1]


def test_rose_in_a_region_crosses_pairs_without_pins_inside_it_alone():
    _, outline, pricking = two_grounds("torchon", "rose")
    plan = plan_work(pricking)
    loose = plan.at[plan.hole < 0]
    assert len(loose) > 0
    assert shapely.Polygon(outline).contains(shapely.points(loose)).all()


def test_rose_stands_beside_honeycomb_along_a_straight_line():
    places = lattice_places(COLUMNS, ROWS, lambda c, r: c > 8 and honeycomb_gap(c, r))
    low, high = 0.0, (ROWS - 1) * PITCH
    halves = [
        region([(0, low), (7 * PITCH, low), (7 * PITCH, high), (0, high)], "ground", "left",
               ground="rose"),
        region([(8 * PITCH, low), (14 * PITCH, low), (14 * PITCH, high), (8 * PITCH, high)],
               "ground", "right", ground="honeycomb"),
    ]  # fmt: skip
    plan = plan_work(pricked(spots(places), halves))
    assert len(plan.hangings) == max(replay(plan).hanging) == COLUMNS + 1
    assert comings_and_goings(plan) == (0, 0)
    assert {"rose", "honeycomb"} <= set(plan.technique)


@pytest.mark.parametrize("inner", ["spider", "valenciennes"])
def test_what_takes_more_pairs_is_worked_in_its_region_and_told(inner):
    plan = plan_work(two_grounds("torchon", inner)[2])
    replay(plan)
    assert holes_left_out(plan) == set()
    told = [r for r in plan.remarks if r.kind == "change"]
    assert all(r.place is not None for r in told)
    assert bool(told) == bool(sum(comings_and_goings(plan)))


def test_regions_of_ground_lie_on_bent_lattices_too():
    bent = arc(120, 11, 25)
    low, high = bent.holes[bent.number[(3, 9)]], bent.holes[bent.number[(7, 15)]]
    box = [low, (high[0], low[1]), high, (low[0], high[1])]
    plan = plan_work(pricked(bent.holes, [region(box, "ground", "patch", ground="doubled")]))
    assert comings_and_goings(plan) == (0, 0)
    assert len(plan.hangings) == 11 + 1
    assert 0 < plan.technique.count("doubled") < len(bent.holes) / 2
