"""Crossings found, against shapely."""

import numpy as np
import shapely

from render.settle.phantoms import find_meetings


def test_all_crossings_of_random_walks_are_found():
    random = np.random.default_rng(5)
    walks = [np.cumsum(random.normal(0, 1, (60, 2)), axis=0) for _ in range(6)]
    starts = np.arange(7) * 60
    found = find_meetings(np.concatenate(walks), starts)
    pieces = [shapely.LineString(w[k : k + 2]) for w in walks for k in range(59)]
    name = [60 * w + k for w in range(6) for k in range(59)]
    a, b = shapely.STRtree(pieces).query(pieces, predicate="intersects")
    want = {(name[i], name[j]) for i, j in zip(a, b, strict=True) if name[j] > name[i] + 1}
    assert set(zip(found.first.tolist(), found.second.tolist(), strict=True)) == want


def test_long_pieces_among_short_ones_are_not_missed():
    comb = np.array([(0.1 * k, 0.05 * (-1) ** k) for k in range(200)])
    bar = np.array([(-1.0, 0.01), (21.0, 0.01)])
    found = find_meetings(np.concatenate([comb, bar]), np.array([0, 200, 202]))
    assert len(found.first) == 199


def test_pieces_that_meet_in_a_point_they_share_do_not_cross():
    points = np.array([(0, 0), (1, 1), (2, 0), (0, 2), (1, 1), (2, 2)], float)
    name = np.array([0, 1, 2, 3, 1, 4])
    assert len(find_meetings(points, np.array([0, 3, 6]), name).first) == 0
