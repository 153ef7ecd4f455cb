"""A net drawn flat has no crossing but its own, whatever it is drawn from.

References
----------
.. W. T. Tutte, "How to draw a graph", Proc. London Mathematical Society 13 (1963) 743-767
"""

import numpy as np
import pytest
import shapely

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.anchors import find_anchors
from render.settle.faces import find_faces
from render.settle.flat import draw_flat
from render.settle.pulls import find_pieces
from render.settle.tension import rest
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.pieces import diamond, random_pattern

SEEDS = [0, 9, 14, 18, 52, 64, 84, 115, 204, 218]


def drawn_by_lot(seed):
    return sort_holes(random_pattern(seed, columns=(3, 8), rows=(4, 10)))


def map_of(pricking):
    laid = lay_threads(plan_work(pricking))
    pieces = find_pieces(laid)
    return laid, pieces, find_faces(laid, pieces)


@pytest.mark.parametrize("seed", SEEDS)
def test_nodes_less_edges_plus_faces_are_two(seed):
    """Euler's formula for a map in one piece; faces between twins and the outer one included."""
    laid, _, faces = map_of(drawn_by_lot(seed))
    between_twins = np.count_nonzero(faces.corner == -2) / 2
    every_face = faces.count + between_twins + 1
    assert len(laid.kind) - len(faces.node) / 2 + every_face == 2


def straight_pieces(at, pieces):
    ends = np.unique(np.sort(pieces.nodes, axis=1), axis=0)
    return ends, shapely.linestrings(at[ends])


@pytest.mark.parametrize("seed", SEEDS)
def test_pieces_of_a_net_thrown_together_anyhow_do_not_cross_once_drawn_flat(seed):
    laid, pieces, faces = map_of(drawn_by_lot(seed))
    anyhow = np.random.default_rng(seed).uniform(0, 40, (len(laid.kind), 2))
    every = np.ones(len(anyhow), bool)
    at = draw_flat(anyhow, faces, np.eye(2), every, 1e-3, even=True)
    inner = ~(laid.kind == Kind.END)
    ends, lines = straight_pieces(at, pieces)
    kept = inner[ends].all(axis=1)
    first, second = shapely.STRtree(lines[kept]).query(lines[kept], predicate="crosses")
    assert len(first) == len(second) == 0


def test_cloth_in_order_stays_where_it_is():
    laid, pieces, faces = map_of(diamond(4))
    anchors = find_anchors(laid, 0.25, 0.4, "pillow")
    at = rest(anchors.target, pieces.nodes, pieces.pull, anchors.hold, anchors.target)
    middle = laid.plan.pricking.holes.mean(axis=0)
    free = (laid.stitch >= 0) & (np.abs(at - middle).sum(axis=1) < 10.0)
    drawn = draw_flat(at, faces, np.eye(2), free, 0.2)
    assert np.count_nonzero(free) > 40
    assert np.hypot(*(drawn - at).T).max() < 1e-9
