"""Join shapes in the plane."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.geometry.polygon import contains, nearest_on_path, signed_area

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# Points nearer than this are one, and how far beside an edge its inner side is looked for.
SAME = 1e-6
BESIDE = 1e-4


def unite(shapes: Sequence[Points]) -> list[Points]:
    """Return the contours of several shapes together, the largest first.

    Parameters
    ----------
    shapes
        Outlines that do not cross themselves, each (n, 2), the last point joined to the first.

    Returns
    -------
    Contours, each (n, 2), outer ones with a positive area and those of gaps between with a
    negative one: two outer ones where shapes lie apart, or touch in a point only.

    References
    ----------
    .. K. Weiler, P. Atherton, "Hidden surface removal using polygon area sorting", Computer
       Graphics (SIGGRAPH) 11 (1977) 214-222: what lies outside the other outlines is kept
    """
    outlines = [p if signed_area(p) > 0 else p[::-1] for p in shapes]
    low = np.array([p.min(axis=0) for p in outlines]) - BESIDE
    high = np.array([p.max(axis=0) for p in outlines]) + BESIDE
    kept = []
    for k, outline in enumerate(outlines):
        near = ((low <= high[k]) & (high >= low[k])).all(axis=1)
        pieces = np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)
        others = [n for n in np.flatnonzero(near).tolist() if n != k]
        for n in others:
            pieces = _split(pieces, outlines[n])
        for n in others:
            pieces = _kept(pieces, outlines[n], shared=k < n)
        kept.append(pieces)
    return sorted(_traced(np.concatenate(kept)), key=lambda found: -abs(signed_area(found)))


def _split(pieces: Points, other: Points) -> Points:
    """Cut (M, 2, 2) pieces where they meet an outline."""
    p, q = pieces[:, 0], other
    r, s = pieces[:, 1] - p, np.roll(q, -1, axis=0) - q
    cross = r[:, None, 0] * s[None, :, 1] - r[:, None, 1] * s[None, :, 0]
    gap = q[None] - p[:, None]
    size = np.maximum(np.hypot(*r.T), SAME)[:, None]
    flat = np.abs(cross) <= SAME * np.hypot(*s.T)[None]
    safe = np.where(flat, 1.0, cross)
    t = (gap[..., 0] * s[None, :, 1] - gap[..., 1] * s[None, :, 0]) / safe
    u = (gap[..., 0] * r[:, None, 1] - gap[..., 1] * r[:, None, 0]) / safe
    slack = SAME / np.maximum(np.hypot(*s.T), SAME)[None]
    hit = ~flat & (u >= -slack) & (u <= 1 + slack)
    # Corners of the other outline that lie on an edge part it as well.
    along = (gap * r[:, None]).sum(axis=2) / size**2
    aside = np.abs(gap[..., 0] * r[:, None, 1] - gap[..., 1] * r[:, None, 0]) / size
    parts = []
    for k in range(len(p)):
        cuts = np.concatenate([[0.0, 1.0], t[k][hit[k]], along[k][aside[k] <= SAME]])
        cuts = np.unique(np.clip(cuts, 0, 1))
        cuts = cuts[np.concatenate([[True], np.diff(cuts) * size[k, 0] > SAME])]
        cuts[-1] = 1.0
        spots = p[k] + cuts[:, None] * r[k]
        parts.append(np.stack([spots[:-1], spots[1:]], axis=1))
    return np.concatenate([pieces[:0], *parts])


def _kept(pieces: Points, other: Points, *, shared: bool = False) -> Points:
    """Keep the pieces outside another shape; of edges both have, those both lie to one side of."""
    middle = pieces.mean(axis=1)
    run = pieces[:, 1] - pieces[:, 0]
    inward = np.stack([-run[:, 1], run[:, 0]], axis=1) / np.hypot(*run.T)[:, None]
    on_edge = nearest_on_path(other, middle, closed=True)[0] <= 2 * SAME
    outside = ~on_edge & ~contains([other], middle)
    if shared:
        outside |= on_edge & contains([other], middle + BESIDE * inward)
    return np.asarray(pieces[outside])


def _traced(pieces: Points) -> list[Points]:
    """Join directed pieces to closed contours, turning as far inward as can be."""
    ends = pieces.reshape(-1, 2)
    number = np.arange(len(ends))
    for first, second in sorted(cKDTree(ends).query_pairs(10 * SAME)):
        number[second] = min(number[second], number[first])
    leaving: dict[int, list[int]] = {}
    for k in range(len(pieces)):
        leaving.setdefault(int(number[2 * k]), []).append(k)
    bearing = np.arctan2(*(pieces[:, 1] - pieces[:, 0]).T[::-1])
    contours = []
    while leaving:
        start = next(iter(leaving))
        here, path, last = start, [], None
        while here in leaving:
            choice = leaving[here]
            if last is not None and len(choice) > 1:
                back = bearing[last] + np.pi
                choice.sort(key=lambda k: -float(np.mod(bearing[k] - back, 2 * np.pi)))
            last = choice.pop(0)
            if not choice:
                del leaving[here]
            path.append(ends[number[2 * last]])
            here = int(number[2 * last + 1])
            if here == start:
                break
        if len(path) >= 3:
            contours.append(np.array(path))
    return contours
