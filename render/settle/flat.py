"""A drawing of the net without a single wrong crossing, as near as may be to a given one.

Every node is put at a convex combination of those round it, in a convex frame: then no two pieces
cross, whatever the weights. Mean value weights of the given drawing keep nodes where they are
wherever the threads round them run as they were worked.

References
----------
.. W. T. Tutte, "How to draw a graph", Proc. London Mathematical Society 13 (1963) 743-767
.. M. S. Floater, "Mean value coordinates", Computer Aided Geometric Design 20 (2003) 19-27
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

from render.geometry.maps import next_in_group
from render.settle.faces import Faces
from render.settle.filling import Filling, fill

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Share of the size of the piece that the frame lies outside it.
MARGIN = 0.1
# How far its sides are bent outwards: on a straight side neighbours would fall in one line.
BEND = 0.05
# How far points of the frame are moved to stand evenly.
EVENNESS = 0.1
# How hard the frame draws nodes whose neighbours are in disorder, threads drawing by 1.
TOWARDS_FRAME = 0.02
# Angles closer than this to 0 or to half a turn count as gone.
FLATTEST = 1e-3


@dataclass(frozen=True, eq=False)
class _Stars:
    """The neighbours of nodes, clockwise: entries of one centre after another."""

    centre: Indices
    goal: Indices


def draw_flat(
    at: Points,
    faces: Faces,
    turn: Points,
    free: NDArray[np.bool_],
    stub_mm: float,
    *,
    even: bool = False,
) -> Points:
    """Return a drawing in which threads cross at their crossings only.

    Parameters
    ----------
    at
        (N, 2) where nodes would be, in mm.
    faces
        Their map.
    turn
        (2, 2) unit vectors to the maker's right and along the work, the sides of the frame.
    free
        (N,) nodes that may move. Where all may, the drawing is sound; where some stay it is so if
        these leave a convex room.
    stub_mm
        Greatest length of threads that end.
    even
        Whether all weights are one, so that nothing of `at` is kept.

    Returns
    -------
    (N, 2) positions in mm: those of `at` where the threads round a node run in their order.
    """
    filling = fill(at, faces)
    every = len(filling.spots)
    spots = np.concatenate([filling.spots, _frame(at, faces, turn)])
    threads, all_round = _stars(faces, filling, every)
    weight, sound = _mean_values(spots, threads, len(at))
    second, fair = _mean_values(spots, all_round, len(at))
    sound, fair = sound & (not even), fair & (not even)
    own = (sound & free)[threads.centre]
    others = (~sound & free)[all_round.centre]
    usual = np.where(all_round.goal < every, 1.0, 1.0 if even else TOWARDS_FRAME)
    second = np.where(fair[all_round.centre], second, usual)
    rows = np.concatenate([threads.centre[own], all_round.centre[others], filling.one])
    columns = np.concatenate([threads.goal[own], all_round.goal[others], filling.other])
    values = np.concatenate([weight[own], second[others], np.ones(len(filling.one))])
    drawn = _solve(rows, columns, values, spots, every)[: len(at)]
    lay_ends(drawn, faces, free, stub_mm)
    return drawn


def lay_ends(at: Points, faces: Faces, which: NDArray[np.bool_], stub_mm: float) -> None:
    """Put ends beside the nodes they hang from, evenly in the room between other threads.

    Parameters
    ----------
    at
        (N, 2) positions in mm, changed in place.
    faces
        The map of the nodes.
    which
        (N,) the ends to be put anew; other nodes are left alone.
    stub_mm
        Greatest length of threads that end.
    """
    lead = faces.leads_to_end & which[faces.other]
    for node in np.unique(faces.node[lead]).tolist():
        low, high = np.searchsorted(faces.node, [node, node + 1]).tolist()
        halves = np.arange(low, high)
        firm = np.flatnonzero(~faces.leads_to_end[low:high])
        halves = np.roll(halves, -int(firm[0]))
        run = at[faces.other[halves]] - at[node]
        bearing = np.arctan2(run[:, 1], run[:, 0])
        firm = np.append(np.flatnonzero(~faces.leads_to_end[halves]), len(halves))
        for k, (first, last) in enumerate(pairwise(firm.tolist())):
            room = (bearing[firm[k + 1] % len(halves)] - bearing[first]) % (2 * np.pi)
            parts = np.arange(1, last - first) / (last - first)
            angle = bearing[first] + parts * (room if room > FLATTEST else 2 * np.pi)
            way = np.stack([np.cos(angle), np.sin(angle)], axis=1)
            size = min(stub_mm, 0.4 * float(np.hypot(*run[firm[:-1]].T).min()))
            at[faces.other[halves[first + 1 : last]]] = at[node] + size * way


def _solve(
    rows: Indices, columns: Indices, values: NDArray[np.float64], spots: Points, free: int
) -> Points:
    """Put the first `free` spots that have neighbours at the weighted means of these."""
    load = np.bincount(rows, values, free)
    share = values / load[rows]
    fixed = columns >= free
    known = np.where(load[:, None] > 0, 0.0, spots[:free])
    np.add.at(known, rows[fixed], share[fixed, None] * spots[columns[fixed]])
    own = np.arange(free)
    matrix = coo_array(
        (
            np.concatenate([np.ones(free), -share[~fixed]]),
            (np.concatenate([own, rows[~fixed]]), np.concatenate([own, columns[~fixed]])),
        ),
        shape=(free, free),
    )
    return np.asarray(splu(matrix.tocsc()).solve(known))


def _stars(faces: Faces, filling: Filling, every: int) -> tuple[_Stars, _Stars]:
    """Return the stars of threads alone, and those with ties, faces and the frame between."""
    loose = faces.leads_to_end | faces.from_end
    thread = np.flatnonzero(~faces.is_tie & ~loose)
    firm = np.flatnonzero(~loose)
    rim = np.flatnonzero(~faces.from_end[faces.rim])
    half = np.concatenate([firm, filling.half, filling.half, faces.rim[rim]])
    goal = np.concatenate([faces.other[firm], filling.before, filling.after, every + rim])
    rank = np.repeat([0, 1, 2, 1], [len(firm), *[len(filling.half)] * 2, len(rim)])
    order = np.lexsort((rank, half))
    return (
        _without_twins(_Stars(faces.node[thread], faces.other[thread])),
        _without_twins(_Stars(faces.node[half[order]], goal[order])),
    )


def _without_twins(stars: _Stars) -> _Stars:
    """Count a neighbour once that two entries in a row lead to."""
    following = next_in_group(stars.centre)
    kept = (stars.goal != stars.goal[following]) | (following == np.arange(len(following)))
    return _Stars(stars.centre[kept], stars.goal[kept])


def _mean_values(
    spots: Points, stars: _Stars, count: int
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return the weight of each entry, and which centres have their neighbours in order."""
    following = next_in_group(stars.centre)
    run = spots[stars.goal] - spots[stars.centre]
    onward = run[following]
    cross = run[:, 0] * onward[:, 1] - run[:, 1] * onward[:, 0]
    angle = np.arctan2(cross, (run * onward).sum(axis=1))
    narrow = (angle < FLATTEST) | (angle > np.pi - FLATTEST)
    turned = np.bincount(stars.centre, angle, count)
    sound = (np.bincount(stars.centre, narrow, count) == 0) & (np.abs(turned - 2 * np.pi) < 1e-6)
    half = np.tan(np.clip(angle, 0, np.pi - FLATTEST) / 2)
    before = np.empty_like(half)
    before[following] = half
    return (half + before) / np.maximum(np.hypot(*run.T), 1e-9), sound


def _frame(at: Points, faces: Faces, turn: Points) -> Points:
    """Return for each half-edge of the rim a point of a rectangle round the piece.

    The points follow each other round it as the half-edges do, each as near as may be to its node.
    """
    spots = at @ turn.T
    low, high = spots.min(axis=0), spots.max(axis=0)
    wide = MARGIN * float((high - low).max()) + 1e-6
    low, size = low - wide, high - low + 2 * wide
    place = _nearest_on_rectangle(spots[faces.node[faces.rim]] - low, size)
    length = 2 * float(size.sum())
    place = np.unwrap(place - place[0], period=length) + place[0]
    if place[-1] - place[0] < length / 4:  # the rim is turned over itself
        place = place[0] + np.linspace(0, length, len(place), endpoint=False)
    place = np.clip(place, place[0], place[0] + length)
    rising = np.maximum.accumulate(place)
    place = (rising + np.minimum.accumulate(place[::-1])[::-1]) / 2
    # No two at one point, or what hangs between them would fall together.
    even = place[0] + np.linspace(0, length, len(place), endpoint=False)
    place += EVENNESS * (even - place)
    return np.asarray((_on_frame(place % length, size) + low) @ turn)


def _nearest_on_rectangle(spots: Points, size: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far round a rectangle the nearest point lies, clockwise from its upper left."""
    x, y = spots.T
    width, height = size
    away = np.stack([y, width - x, height - y, x])
    along = np.stack([x, width + y, 2 * width + height - x, 2 * (width + height) - y])
    return np.asarray(along[away.argmin(axis=0), np.arange(len(spots))])


def _on_frame(place: NDArray[np.float64], size: NDArray[np.float64]) -> Points:
    """Return points so far round a rectangle, from its upper left, pushed out to bent sides."""
    width, height = size
    corners = np.array([0, width, width + height, 2 * width + height, 2 * (width + height)])
    x = np.interp(place, corners, [0, width, width, 0, 0])
    y = np.interp(place, corners, [0, 0, height, height, 0])
    side = np.clip(np.searchsorted(corners, place, side="right") - 1, 0, 3)
    share = (place - corners[side]) / (corners[side + 1] - corners[side])
    bend = 4 * BEND * share * (1 - share) * (corners[side + 1] - corners[side])
    outward = np.array([(0, -1), (1, 0), (0, 1), (-1, 0)])
    return np.asarray(np.stack([x, y], axis=1) + bend[:, None] * outward[side])
