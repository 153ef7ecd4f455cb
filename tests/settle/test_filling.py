"""However a net is filled and drawn flat, nothing in it is drawn too small to be told apart.

With one point in each face, lengths along a plait between two large faces would shrink by a fixed
share from each crossing to the next, as potentials do along a ladder of resistors with leaks
(P. G. Doyle and J. L. Snell, "Random walks and electric networks", 1984; from memory).
"""

import numpy as np
import pytest
import shapely

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.faces import find_faces
from render.settle.filling import fill
from render.settle.flat import draw_flat
from render.settle.pulls import find_pieces
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.joined_pieces import two_trails, with_lines_by_lot
from tests.pieces import diamond, line

# Distances in a piece 100 mm wide are told apart to about 1e-12 mm.
LEAST_MM = 1e-7


def long_plaits():
    def lines(left, right):
        return [line([left[3], right[28]], "plait"), line([left[5], right[30]], "plait")]

    return sort_holes(two_trails(lines, gap=40.0))


PIECES = {
    "diamond": lambda: diamond(4),
    "long plaits": long_plaits,
    **{f"lines {n}": lambda n=n: sort_holes(with_lines_by_lot(n)) for n in (8, 17, 25)},
}


def drawn(name):
    laid = lay_threads(plan_work(PIECES[name]()))
    pieces = find_pieces(laid)
    faces = find_faces(laid, pieces)
    every = np.ones(len(laid.kind), bool)
    return laid, pieces, faces, draw_flat(laid.at, faces, np.eye(2), every, 1e-3, even=True)


@pytest.mark.parametrize("name", PIECES)
def test_no_piece_of_thread_is_drawn_too_short_to_be_seen(name):
    laid, pieces, _, at = drawn(name)
    kept = (laid.kind[pieces.nodes] != Kind.END).all(axis=1)
    ends = pieces.nodes[kept]
    assert np.hypot(*(at[ends[:, 0]] - at[ends[:, 1]]).T).min() > LEAST_MM


@pytest.mark.parametrize("name", PIECES)
def test_no_two_pieces_of_thread_touch_but_where_they_meet(name):
    laid, pieces, _, at = drawn(name)
    kept = (laid.kind[pieces.nodes] != Kind.END).all(axis=1)
    ends = np.unique(np.sort(pieces.nodes[kept], axis=1), axis=0)
    lines = shapely.linestrings(at[ends])
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    other = first < second
    shared = (ends[first[other]][:, :, None] == ends[second[other]][:, None]).any(axis=(1, 2))
    assert shared.all()


@pytest.mark.parametrize("name", PIECES)
def test_every_corner_of_a_face_meets_a_point_and_links_go_both_ways(name):
    laid, _, faces, at = drawn(name)
    filling = fill(at, faces)
    corners = np.flatnonzero((faces.corner >= 0) & ~faces.from_end)
    assert sorted(filling.half.tolist()) == corners.tolist()
    links = set(zip(filling.one.tolist(), filling.other.tolist(), strict=True))
    nodes = len(laid.kind)
    assert all((b, a) in links for a, b in links if b >= nodes)
    assert min(filling.one) >= nodes
    for half, before, after in zip(
        filling.half.tolist(), filling.before.tolist(), filling.after.tolist(), strict=True
    ):
        node = int(faces.node[half])
        assert {(before, node), (after, node)} <= links
