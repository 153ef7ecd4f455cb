"""Tell the holes of a pricking from everything else that is round."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.scan.dots import Shapes, measure
from render.scan.lattice import spacing_at, support
from render.scan.model import Dots, Plane, Points, Polarity
from render.scan.spots import find_spots

LEAST_HOLES = 4
SAME_SIZE = 0.2  # of the logarithm of the radius, within which two marks are of one kind
IN_LINE = 3  # pairs of holes that make a place part of the pricking
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
    tries: list[tuple[Dots, Polarity]] = []
    for kind in (polarity,) if polarity else ("dark", "light"):
        darkness = 1 - light if kind == "dark" else light - 1
        tries.append((_of_one_kind(darkness, least_px, most_px), kind))
    return max(tries, key=lambda found: _merit(found[0]))


def _merit(dots: Dots) -> float:
    """Weigh a set of holes: many, in line with one another, that stand out clearly."""
    in_line = dots.sure & (dots.support >= IN_LINE)
    return float((in_line * dots.roundness * dots.contrast).sum() + 1e-3 * dots.sure.sum())


def _of_one_kind(darkness: Plane, least_px: float, most_px: float) -> Dots:
    """Find holes that are darker than the paper."""
    spots, radii = find_spots(darkness, least_px, most_px)
    rough = measure(darkness, spots, radii, rough=True)
    worth = (rough.roundness > 0.3) & (rough.contrast > 0.1)
    shapes = measure(darkness, rough.centres[worth], rough.radius[worth])
    shapes = shapes[(shapes.roundness > 0.4) & (shapes.contrast > 0.1)]
    shapes = shapes[(shapes.radius > 0.7 * least_px) & (shapes.radius < 1.4 * most_px)]
    shapes = shapes[_inside(shapes, darkness.shape)]
    shapes = _merged(shapes)
    members = _population(shapes)
    if members.sum() < LEAST_HOLES:
        return _dots(shapes[members], np.zeros(int(members.sum()), int), np.zeros(0, bool))
    return _judged(shapes, members)


def _inside(shapes: Shapes, size: tuple[int, ...]) -> NDArray[np.bool_]:
    """Tell which marks lie in the picture with their whole edge."""
    far = np.array(size[::-1]) - 0.5 - shapes.radius[:, None]
    near = shapes.radius[:, None] - 0.5
    return ((shapes.centres >= near) & (shapes.centres <= far)).all(axis=1)


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


def _population(shapes: Shapes) -> NDArray[np.bool_]:
    """Find the marks of one size that make up the pricking: those most in line.

    Dust and full stops may be more in number than holes, and as round, but do not stand in line.
    """
    fine = (shapes.roundness > 0.82) & (shapes.clear > 0.7) & (shapes.contrast > 0.15)
    size = np.log(shapes.radius)
    best, most = np.zeros(len(shapes), bool), 0.0
    for middle in np.arange(size[fine].min(initial=0.0), size[fine].max(initial=0.0) + 0.1, 0.1):
        member = fine & (np.abs(size - middle) < 0.2)
        for hollow in (False, True):
            same = member & (shapes.hollow == hollow)
            if same.sum() < LEAST_HOLES:
                continue
            contrast = np.median(shapes.contrast[same])
            same &= shapes.contrast > 0.6 * contrast
            lined = support(shapes.centres[same], shapes.centres[same]) >= IN_LINE
            # Big and black marks weigh more; a few are better than none in line at all.
            weight = contrast * np.exp(middle / 2)
            merit = float(weight * (lined.sum() * lined.mean() + 1e-3 * same.sum()))
            if merit > most:
                best, most = same, merit
    return best


def _judged(shapes: Shapes, members: NDArray[np.bool_]) -> Dots:
    """Sort marks into holes, doubtful holes and others."""
    usual = shapes[members]
    radius, contrast = np.median(usual.radius), np.median(usual.contrast)
    likeness = (
        _ramp(shapes.roundness, 0.5, 0.9)
        * _ramp(shapes.clear, 0.3, 0.7)
        * _ramp(shapes.contrast / contrast, 0.35, 0.65)
        * (1 - _ramp(np.abs(np.log(shapes.radius / radius)), SAME_SIZE, 2.5 * SAME_SIZE))
        * np.where(shapes.hollow == (usual.hollow.mean() > 0.5), 1.0, 0.8)
    )
    trusted = likeness > 0.75
    for _ in range(3):
        lined = support(shapes.centres[trusted], shapes.centres)
        regular = (lined[trusted] >= IN_LINE).mean() > 0.6
        trusted = (likeness > 0.75) & ((lined >= 1) | ~np.bool_(regular))
        trusted |= likeness + 0.1 * np.minimum(lined, 2 * IN_LINE) > 1
        trusted &= ~_beside_better(shapes.centres, likeness, lined, trusted)
        if trusted.sum() < LEAST_HOLES:
            trusted = likeness > 0.75
            break
    lined = support(shapes.centres[trusted], shapes.centres)
    doubtful = likeness + 0.2 * np.minimum(lined, IN_LINE) > 0.75
    taken = trusted | doubtful
    taken &= ~_beside_better(shapes.centres, likeness, lined + 99 * trusted, taken)
    return _dots(shapes[taken], lined[taken], trusted[taken])


def _beside_better(
    centres: Points,
    likeness: NDArray[np.float64],
    lined: NDArray[np.int64],
    chosen: NDArray[np.bool_],
) -> NDArray[np.bool_]:
    """Tell which of the chosen marks stand too close to a better one; unlike ones need more room."""
    own = np.flatnonzero(chosen)
    worse = np.zeros(len(centres), bool)
    if len(own) < 3:
        return worse
    merit = likeness + 0.1 * lined
    places = centres[own]
    reach = spacing_at(places) * (CLOSE + 0.5 * (1 - likeness[own]))
    for i, near in zip(own, cKDTree(places).query_ball_point(places, reach), strict=True):
        others = own[[k for k in near if own[k] != i]]
        worse[i] = bool((merit[others] > merit[i]).any())
    return worse


def _ramp(
    value: NDArray[np.float64], none: float, full: float
) -> NDArray[np.float64]:
    """Return 0 below `none`, 1 above `full` and a straight line between."""
    ramp: NDArray[np.float64] = np.clip((value - none) / (full - none), 0, 1)
    return ramp


def _dots(shapes: Shapes, lined: NDArray[np.int64], sure: NDArray[np.bool_]) -> Dots:
    """Put holes in reading order."""
    row = np.round(shapes.centres[:, 1] / max(float(np.median(shapes.radius)), 1.0)) if len(
        shapes
    ) else np.zeros(0)  # fmt: skip
    order = np.lexsort((shapes.centres[:, 0], row))
    if len(sure) != len(shapes):
        sure = np.ones(len(shapes), bool)
    return Dots(
        shapes.centres, shapes.radius, shapes.contrast, shapes.roundness, lined, sure
    )[order]
