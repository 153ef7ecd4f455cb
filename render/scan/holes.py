"""Tell the holes of a pricking from everything else that is round."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from render.scan.dots import Shapes, measure
from render.scan.lattice import places_in_line, spacing_at, support
from render.scan.model import Dots, Plane, Points, Polarity
from render.scan.spots import SAME_PLACE, find_spots, spots_of_size

LEAST_HOLES = 4
NOISE = 0.055  # spots in a pixel: pure noise has 0.064, a very bad scan of a pricking 0.047
SAME_SIZE = 0.2  # of the logarithm of the radius, within which two marks are of one kind
LEAST_ROUND = 0.82
LEAST_LIKE = 0.38  # roundness of a dot that a line of its own breadth runs into
SIZES_TRIED = 3
IN_LINE = 3  # pairs of holes that make a place part of the pricking
CLEAR_CASE = 0.2  # share of marks in line at which nothing else needs a look; chance makes 0.03
OUTSIDE = 1.7  # spacings from the next hole where a mark is no longer of a regular pricking
SHORTEST_ROW = 3  # marks alike that follow each other before they are holes
FAR_OUTSIDE = 4.0  # the same for a mark that is like all others
GROUND_ONLY = 0.9  # share of holes in line where there is nothing but ground
ALIKE = 0.97  # likeness of such a mark
CROWDED = 4.2  # radii of a mark within which holes have no neighbour
ODD, ODD_LEAST = 6.0, 0.1  # typical departures of the size, and the logarithm, that a hole keeps to
APART = 2.2  # radii from one hole to the next, at the very least
CLOSE = 0.42  # spacings within which two marks cannot both be holes


def find_holes(
    light: Plane, least_px: float, most_px: float, polarity: Polarity | None = None
) -> tuple[Dots, Polarity]:
    """Find the holes of a pricking.

    Parameters
    ----------
    light
        (H, W) share of light thrown back, 1 on bare paper.
    least_px, most_px
        Smallest and largest radius of a hole.
    polarity
        Whether holes are ``dark`` or ``light``; None to take what makes the better pricking.

    Returns
    -------
    The holes, sure and doubtful, from the top down; and whether they are dark or light. There
    are none where nothing of the picture looks like a pricking.
    """
    dark = _of_one_kind(1 - light, least_px, most_px) if polarity != "light" else None
    if dark is not None and (polarity == "dark" or _in_line(dark) > CLEAR_CASE):
        return dark, "dark"
    bright = _of_one_kind(light - 1, least_px, most_px)
    if dark is not None and _merit(dark) >= _merit(bright):
        return dark, "dark"
    return bright, "light"


def _in_line(dots: Dots) -> float:
    """Return what share of a good number of holes stands in line with others."""
    return float((dots.support >= IN_LINE).mean()) if dots.sure.sum() >= 2 * LEAST_HOLES else 0.0


def _merit(dots: Dots) -> float:
    """Weigh a set of holes: many, most of them in line, round and plain to see."""
    in_line = dots.sure & (dots.support >= IN_LINE)
    if not in_line.any():
        return 1e-3 * float((dots.sure * dots.roundness * dots.contrast).sum())
    return float((in_line * dots.roundness * dots.contrast).sum() * in_line.mean())


def _of_one_kind(darkness: Plane, least_px: float, most_px: float) -> Dots:
    """Find holes that are darker than the paper."""
    spots, radii = find_spots(darkness, least_px, most_px)
    if len(spots) > NOISE * darkness.size:
        return _none()
    rough = _worth(measure(darkness, spots, radii, rough=True), darkness, least_px, most_px)
    best = _none()
    for usual in _sizes(rough):
        # Now that a size is known, look for marks of this size; they may touch larger ones.
        near = np.abs(np.log(rough.radius / usual)) < 2 * SAME_SIZE
        spots = _joined(rough.centres[near], spots_of_size(darkness, usual), SAME_PLACE * usual)
        shapes = measure(darkness, spots, np.full(len(spots), usual))
        shapes = _merged(_worth(shapes, darkness, 0.5 * usual, 2.0 * usual))
        members = _alike(shapes, np.log(usual))
        if members.sum() >= LEAST_HOLES:
            found = _judged(shapes, members)
            hidden = _hidden(darkness, found, usual)
            if len(hidden):
                shapes = _merged(_both(shapes, hidden))
                found = _judged(shapes, _alike(shapes, np.log(usual)))
            best = max(best, found, key=_merit)
            if _in_line(found) > CLEAR_CASE:
                break
    return best


def _joined(known: Points, more: Points, reach: float) -> Points:
    """Add to places those of others that lie nowhere near them."""
    if len(known):
        more = more[np.asarray(cKDTree(known).query(more)[0]) > reach]
    return np.concatenate([known, more])


def _hidden(darkness: Plane, found: Dots, usual: float) -> Shapes:
    """Look for holes where the others in line want one, under whatever is drawn across them."""
    places = places_in_line(found.centres)
    shapes = measure(darkness, places, np.full(len(places), usual))
    shapes = _worth(shapes, darkness, 0.8 * usual, 1.25 * usual)
    if not len(shapes):
        return shapes
    away = np.asarray(cKDTree(places).query(shapes.centres)[0])
    return shapes[away < 0.5 * usual]


def _both(first: Shapes, second: Shapes) -> Shapes:
    """Return two sets of marks as one."""
    names = Shapes.__dataclass_fields__
    return Shapes(*(np.concatenate([getattr(first, n), getattr(second, n)]) for n in names))


def _worth(shapes: Shapes, darkness: Plane, least_px: float, most_px: float) -> Shapes:
    """Drop what is nothing like a hole."""
    kept = (shapes.roundness > LEAST_LIKE) & (shapes.contrast > 0.1)
    kept &= (shapes.radius > 0.7 * least_px) & (shapes.radius < 1.4 * most_px)
    return shapes[kept & _inside(shapes, darkness.shape)]


def _inside(shapes: Shapes, size: tuple[int, ...]) -> NDArray[np.bool_]:
    """Tell which marks lie in the picture with their whole edge."""
    far = np.array(size[::-1]) - 0.5 - shapes.radius[:, None]
    near = shapes.radius[:, None] - 0.5
    return np.asarray(((shapes.centres >= near) & (shapes.centres <= far)).all(axis=1))


def _merged(shapes: Shapes) -> Shapes:
    """Keep one of the spots that were found to be the same mark."""
    order = np.lexsort((-shapes.contrast, -shapes.roundness))
    shapes = shapes[order]
    kept = np.ones(len(shapes), bool)
    tree = cKDTree(shapes.centres)
    for strong, near in enumerate(tree.query_ball_point(shapes.centres, 0.8 * shapes.radius)):
        if kept[strong]:
            kept[[weak for weak in near if weak > strong]] = False
    return shapes[kept]


def _sizes(shapes: Shapes) -> list[float]:
    """Return the radii that holes may have, the likeliest first.

    Dust and full stops may be more in number than holes, and as round, but they do not stand in
    line, and hatching is not as round.
    """
    size = np.log(shapes.radius)
    merits = {}
    for middle in np.arange(size.min(initial=0.0), size.max(initial=0.0) + 0.1, 0.1):
        member = _alike(shapes, middle)
        if member.sum() >= LEAST_HOLES:
            places = shapes.centres[member]
            lined = support(places, places) >= IN_LINE
            round_ones = (shapes.roundness[member] - LEAST_ROUND) * shapes.contrast[member]
            merits[middle] = float(np.exp(middle / 2) * (1 + 9 * lined.mean()) * round_ones.sum())
    chosen: list[float] = []
    for middle in sorted(merits, key=lambda m: -merits[m]):
        if all(abs(middle - other) > 2 * SAME_SIZE for other in chosen):
            chosen.append(middle)
    return [float(np.exp(middle)) for middle in chosen[:SIZES_TRIED]]


def _alike(shapes: Shapes, log_radius: float) -> NDArray[np.bool_]:
    """Return the well-made marks of about one radius, dots or circles, whichever are more."""
    fine = (shapes.roundness > LEAST_ROUND) & (shapes.clear > 0.7) & (shapes.contrast > 0.15)
    fine &= np.abs(np.log(shapes.radius) - log_radius) < SAME_SIZE
    if not fine.any():
        return fine
    fine &= shapes.hollow == (shapes.hollow[fine].mean() > 0.5)
    fine &= shapes.contrast > 0.6 * np.median(shapes.contrast[fine])
    fine[fine] = _apart(shapes.centres[fine], CROWDED * float(np.exp(log_radius)))
    return fine


def _apart(centres: Points, least: float) -> NDArray[np.bool_]:
    """Tell which marks stand alone, as hatching and letters do not."""
    if len(centres) < 2:
        return np.ones(len(centres), bool)
    nearest = np.asarray(cKDTree(centres).query(centres, 2)[0])[:, 1]
    return np.asarray(nearest > least)


def _judged(shapes: Shapes, members: NDArray[np.bool_]) -> Dots:
    """Sort marks into holes, doubtful holes and others."""
    usual = shapes[members]
    radius, contrast = float(np.median(usual.radius)), np.median(usual.contrast)
    off_size = np.abs(np.log(shapes.radius / radius))
    likeness = (
        _ramp(shapes.roundness, 0.5, 0.9)
        # The loops of 6, 8 and 9 are circles as well, but something stands beside them.
        * np.where(shapes.hollow, _ramp(shapes.clear, 0.3, 0.9), _ramp(shapes.clear, 0.3, 0.7))
        * _ramp(shapes.contrast / contrast, 0.35, 0.65)
        * (1 - _ramp(off_size, SAME_SIZE, 2.5 * SAME_SIZE))
        * np.where(shapes.hollow == (usual.hollow.mean() > 0.5), 1.0, 0.8)
    )
    trusted = likeness > 0.75
    for _ in range(3):
        lined = support(shapes.centres[trusted], shapes.centres)
        regular = (lined[trusted] >= IN_LINE).mean() > 0.6
        trusted = (likeness > 0.75) & ((lined >= 1) | ~np.bool_(regular))
        trusted |= likeness + 0.1 * np.minimum(lined, 2 * IN_LINE) > 1
        trusted &= ~_beside_better(shapes.centres, likeness, lined, trusted, radius)
        if trusted.sum() < LEAST_HOLES:
            trusted = likeness > 0.75
            break
    odd = off_size > max(ODD * float(np.median(off_size[members])), ODD_LEAST)
    trusted |= _in_rows(shapes.centres, trusted, (likeness >= ALIKE) & ~odd)
    lined = support(shapes.centres[trusted], shapes.centres)
    # The more the holes stand in line, the less likely one is that does not.
    regular_share = float((lined[trusted] >= IN_LINE).mean())
    well_placed = 0.05 * np.maximum(lined - IN_LINE, 0) * (off_size < SAME_SIZE)
    placed = 0.22 * np.minimum(lined, IN_LINE) + well_placed
    doubtful = likeness + placed > 0.75 + 0.2 * regular_share
    away = cKDTree(shapes.centres[trusted]).query(shapes.centres)[0]
    outside = away > OUTSIDE * spacing_at(shapes.centres[trusted], shapes.centres)
    lost = away > FAR_OUTSIDE * spacing_at(shapes.centres[trusted], shapes.centres)
    # A mark like all others may stand alone, as where plaits cross, but not beside a plain ground.
    alone = (likeness >= ALIKE) & (regular_share < GROUND_ONLY)
    stray = (lined == 0) & (odd | lost | outside & ~alone)
    taken = trusted | doubtful & ~(stray & (regular_share > 0.5))
    taken &= ~_beside_better(shapes.centres, likeness, lined + 99 * trusted, taken, radius)
    return _dots(shapes[taken], lined[taken], trusted[taken])


def _in_rows(
    centres: Points, trusted: NDArray[np.bool_], fine: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Tell which fine marks follow each other to a trusted one, as along a curved edge.

    Such an edge is in line with nothing, but neither dust nor print comes in rows of one size.
    """
    found = np.zeros(len(centres), bool)
    own = np.flatnonzero(fine & ~trusted)
    if not len(own) or trusted.sum() < 2:
        return found
    places = centres[own]
    reach = OUTSIDE * spacing_at(centres[trusted], places)
    near = cKDTree(places).sparse_distance_matrix(
        cKDTree(places), float(reach.max()), output_type="coo_matrix"
    )
    linked = near.data <= np.minimum(reach[near.row], reach[near.col])
    links = coo_matrix(
        (linked[linked], (near.row[linked], near.col[linked])), shape=(len(own), len(own))
    )
    count, row = connected_components(links.astype(np.int8), directed=False)
    begins = np.asarray(cKDTree(centres[trusted]).query(places)[0]) < reach
    long = np.bincount(row, minlength=count) >= SHORTEST_ROW
    attached = np.bincount(row, weights=begins, minlength=count) > 0
    found[own[(long & attached)[row]]] = True
    return found


def _beside_better(
    centres: Points,
    likeness: NDArray[np.float64],
    lined: NDArray[np.int64],
    chosen: NDArray[np.bool_],
    radius: float,
) -> NDArray[np.bool_]:
    """Tell which of the chosen marks stand too close to a better one.

    Unlike ones need more room.
    """
    own = np.flatnonzero(chosen)
    worse = np.zeros(len(centres), bool)
    if len(own) < 3:
        return worse
    merit = likeness + 0.1 * lined
    places = centres[own]
    reach = spacing_at(places) * (CLOSE + 0.5 * (1 - likeness[own]))
    # On a tight bend two plain holes may stand as close as they can without touching.
    reach = np.where(likeness[own] > 0.9, np.minimum(reach, APART * radius), reach)
    for i, near in zip(own, cKDTree(places).query_ball_point(places, reach), strict=True):
        others = own[[k for k in near if own[k] != i]]
        worse[i] = bool((merit[others] > merit[i]).any())
    return worse


def _ramp(value: NDArray[np.float64], none: float, full: float) -> NDArray[np.float64]:
    """Return 0 below `none`, 1 above `full` and a straight line between."""
    ramp: NDArray[np.float64] = np.clip((value - none) / (full - none), 0, 1)
    return ramp


def _dots(shapes: Shapes, lined: NDArray[np.int64], sure: NDArray[np.bool_]) -> Dots:
    """Return marks as holes."""
    return Dots(shapes.centres, shapes.radius, shapes.contrast, shapes.roundness, lined, sure)


def _none() -> Dots:
    """Return no holes."""
    nothing = np.zeros(0)
    return Dots(np.zeros((0, 2)), nothing, nothing, nothing, nothing.astype(int), nothing > 0)
