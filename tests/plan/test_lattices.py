"""Ground on every lattice: each hole is worked with the pairs of its neighbours.

Which hole is whose neighbour is counted in columns and half rows before the card is bent, see
`tests.lattices`. Pins on W columns take W + 1 pairs: counted from Th. de Dillmont, *Encyclopedia of
Needlework*, English edition, 1886, pp. 484-487, where the pairs at 31 pins are printed.
"""

import numpy as np
import pytest

from render.plan.ground import find_links
from render.plan.work import plan_work
from tests.lattices import arc, doubling_mat, fan, mat, shaken, sheared, stretched, turned
from tests.pieces import line, pricked, region
from tests.plan.verifier import comings_and_goings, holes_left_out, holes_remarked_on, replay

LATTICES = {
    **{f"stretched {ratio}": lambda r=ratio: stretched(r) for ratio in (0.3, 0.5, 1.732, 3.5)},
    **{f"sheared {slant}": lambda s=slant: sheared(s) for slant in (0.2, 0.5, 0.9, -0.7)},
    **{f"turned {angle}": lambda a=angle: turned(a) for angle in (17, 45, 90, 200, 333)},
    **{f"turned {angle} at 60": lambda a=angle: turned(a, 1.732) for angle in (30, 145)},
    **{f"shaken {seed}": lambda s=seed: shaken(0.08, s) for seed in range(4)},
    **{f"arc {angle}": lambda a=angle: arc(a) for angle in (20, 60, 90, 120, 150)},
    **{f"fan {angle}": lambda a=angle: fan(a) for angle in (30, 60, 90, 120, 150)},
    **{f"fan inward {angle}": lambda a=angle: fan(a, inward=True) for angle in (30, 90, 150)},
    "wide fan": lambda: fan(200, columns=31),
}


@pytest.fixture(scope="module", params=LATTICES)
def lattice(request):
    return LATTICES[request.param]()


@pytest.fixture(scope="module")
def pricking(lattice):
    return pricked(lattice.holes, down_degrees=lattice.down_degrees)


def test_every_hole_is_linked_to_its_neighbours_on_the_lattice_and_to_no_others(lattice, pricking):
    links = find_links(pricking, outer_side={})
    found = zip(links.source.tolist(), links.target.tolist(), links.port.tolist(), strict=True)
    assert set(found) == lattice.links()


def test_it_takes_one_pair_more_than_columns_and_none_comes_or_goes(lattice, pricking):
    plan = plan_work(pricking)
    assert len(plan.hangings) == max(replay(plan).hanging) == lattice.columns + 1
    assert comings_and_goings(plan) == (0, 0)
    assert plan.remarks == ()
    assert holes_left_out(plan) == set()


def test_pairs_keep_their_order_round_a_bend(lattice, pricking):
    """The pin in column c is worked with pairs c + 1 and c + 2 from the left."""
    plan = plan_work(pricking)
    found = replay(plan)
    for stitch, hole in enumerate(plan.hole.tolist()):
        column, _ = lattice.places[hole]
        if found.hanging[stitch] == lattice.columns + 1:
            assert found.standing[stitch] == column + 1


def test_the_working_direction_turns_as_an_arc_does():
    """It is everywhere at right angles to the line from the centre, here at 0, 0."""
    bent = arc(150)
    plan = plan_work(pricked(bent.holes))
    away = bent.holes / np.hypot(*bent.holes.T)[:, None]
    assert np.abs((plan.down * away).sum(axis=1)).max() < 0.2


def test_a_missing_hole_leaves_the_rest_of_a_bent_lattice_as_it_was():
    bent = arc(90)
    gone = bent.number[(4, 12)]
    links = find_links(pricked(np.delete(bent.holes, gone, axis=0)), outer_side={})
    numbers = np.delete(np.arange(len(bent.holes)), gone)
    found = set(
        zip(numbers[links.source].tolist(), numbers[links.target].tolist(), links.port.tolist(),
            strict=True)
    )  # fmt: skip
    assert found == {link for link in bent.links() if gone not in link[:2]}


# Round mats ---------------------------------------------------------------------------------------


def ring_links(bent, holes_a_ring):
    """Return neighbours of a closed mat as unordered pairs."""
    around = 2 * holes_a_ring
    return {
        frozenset((bent.number[p], bent.number[((p[0] + aside) % around, p[1] + 1)]))
        for p in bent.places
        for aside in (-1, 1)
        if ((p[0] + aside) % around, p[1] + 1) in bent.number
    }


def linked(pricking):
    links = find_links(pricking, outer_side={})
    pairs = zip(links.source.tolist(), links.target.tolist(), strict=True)
    return {frozenset(pair) for pair in pairs}, {frozenset(k[:2]) for k in links.seam.tolist()}


@pytest.mark.parametrize(("count", "rings"), [(30, 9), (48, 11)])
def test_a_round_mat_is_worked_round_and_joined_where_it_began(count, rings):
    """Rings are its columns; where the last row meets the first it is open, and that is told."""
    bent = mat(count, rings)
    pricking = pricked(bent.holes)
    found, seam = linked(pricking)
    assert found | seam == ring_links(bent, count)
    assert len(seam) == rings - 1
    plan = plan_work(pricking)
    assert len(plan.hangings) == max(replay(plan).hanging) == rings + 1
    assert comings_and_goings(plan) == (0, 0)
    assert [r.kind for r in plan.remarks] == ["note"]
    assert "closes round" in str(plan.remarks[0])


def test_a_direction_drawn_along_a_ray_has_the_mat_worked_outward():
    """Then its rays are the columns, two to each hole of a ring."""
    bent = mat(30, 9)
    rim = np.abs(bent.holes).max() + 1
    ground = region([(-rim, -rim), (rim, -rim), (rim, rim), (-rim, rim)], "ground", "mat")
    ray = line([(0.0, 20.0), (0.0, 60.0)], "direction")
    plan = plan_work(pricked(bent.holes, [ground], [ray]))
    assert comings_and_goings(plan) == (0, 0)
    assert max(replay(plan).hanging) == 2 * 30 + 1
    away = bent.holes / np.hypot(*bent.holes.T)[:, None]
    assert (plan.down * away).sum(axis=1).min() > 0.9


def test_rings_that_double_outward_are_worked_with_pairs_hung_in_and_told():
    plan = plan_work(pricked(doubling_mat()))
    replay(plan)
    assert holes_left_out(plan) == set()
    assert sum(comings_and_goings(plan)) > 0
    assert len(holes_remarked_on(plan)) > 0
    assert {r.kind for r in plan.remarks} <= {"change", "note"}
