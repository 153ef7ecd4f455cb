"""Parts of a net that no thread joins are tied to what lies beside them; the map stays flat."""

import networkx
import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.faces import find_faces
from render.settle.pulls import find_pieces
from render.threads.replay import lay_threads
from tests.joined_pieces import around, trail, with_lines_by_lot
from tests.pieces import pricked, region

SEEDS = [0, 2, 5, 8, 13, 17, 21]


def map_of(pricking, *, as_hung=False):
    laid = lay_threads(plan_work(pricking))
    return laid, find_faces(laid, find_pieces(laid), None if as_hung else laid.at)


def trails(*corners):
    """Return trails that nothing joins, from their upper left corners."""
    holes, areas = [], []
    for x, y in corners:
        laid = trail(x, 11, top=y)
        areas.append(region(around(laid), "whole", f"{x} {y}", pairs="5"))
        holes += laid
    return pricked(holes, areas)


def parts_of(faces, nodes, *, ties):
    graph = networkx.Graph()
    graph.add_nodes_from(range(nodes))
    kept = ties | ~faces.is_tie
    graph.add_edges_from(zip(faces.node[kept].tolist(), faces.other[kept].tolist(), strict=True))
    return list(networkx.connected_components(graph))


@pytest.mark.parametrize("as_hung", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_map_is_in_one_piece_and_lies_flat(seed, as_hung):
    """Euler's formula; faces between twins and the outer one included."""
    laid, faces = map_of(sort_holes(with_lines_by_lot(seed)), as_hung=as_hung)
    nodes = len(laid.kind)
    assert len(parts_of(faces, nodes, ties=True)) == 1
    every_face = faces.count + np.count_nonzero(faces.corner == -2) / 2 + 1
    assert nodes - len(faces.node) / 2 + every_face == 2


@pytest.mark.parametrize("seed", SEEDS)
def test_there_is_a_tie_for_each_part_but_one(seed):
    laid, faces = map_of(sort_holes(with_lines_by_lot(seed)))
    parts = parts_of(faces, len(laid.kind), ties=False)
    assert np.count_nonzero(faces.is_tie) == 2 * (len(parts) - 1)


def test_a_trail_is_tied_to_the_one_on_its_left():
    laid, faces = map_of(trails((0, 0), (40, 0), (20, 0)))
    tied = {
        tuple(sorted((round(laid.at[a, 0] / 20), round(laid.at[b, 0] / 20))))
        for a, b in zip(faces.node[faces.is_tie], faces.other[faces.is_tie], strict=True)
    }
    assert tied == {(0, 1), (1, 2)}


def test_a_trail_with_nothing_on_its_left_is_tied_outside_the_first():
    laid, faces = map_of(trails((0, 0), (1, 40)))
    (a, b) = faces.node[faces.is_tie].tolist()
    assert {laid.at[a, 1] > 30, laid.at[b, 1] > 30} == {True, False}
    assert {a, b} <= set(faces.node[faces.rim].tolist())
