"""Keep what a hand has changed in a pattern when its copy is read again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.errors import PatternError, Remark
from render.geometry.polygon import contains, nearest_on_path
from render.pattern.model import Line, Pattern, Points, Region
from render.scan.lattice import spacing_at

Mask = NDArray[np.bool_]
Thing = TypeVar("Thing")

UNCHANGED_MM = 0.005
SAME_PLACE = 0.45  # spacings within which two holes are the same
SAME_COPY = 0.6  # share of holes that must fall on those of before
TURNS_DEGREES = (0, 0.5, -0.5, 1, -1, 1.5, -1.5, 2, -2, 3, -3)


@dataclass(frozen=True, eq=False)
class Corrections:
    """What differs between a pattern as it was read and as it is now.

    Attributes
    ----------
    holes, regions, lines
        True for those of the pattern as it is now that a hand drew, moved or marked.
    lost_holes, lost_regions, lost_lines
        True for those as read that are no longer there, or not as they were.
    heading
        Whether the title, the ground or another word about the whole was given.
    """

    holes: Mask
    regions: Mask
    lines: Mask
    lost_holes: Mask
    lost_regions: Mask
    lost_lines: Mask
    heading: bool

    @property
    def any(self) -> bool:
        """Whether a hand changed anything."""
        return self.heading or any(
            mask.any() for mask in vars(self).values() if not isinstance(mask, bool)
        )

    def __str__(self) -> str:
        parts = []
        for thing, now, lost in (
            ("holes", self.holes, self.lost_holes),
            ("areas", self.regions, self.lost_regions),
            ("lines", self.lines, self.lost_lines),
        ):
            if now.any() or lost.any():
                parts.append(f"{thing}: {now.sum()} drawn by hand, {lost.sum()} taken away")
        return "; ".join(parts) or "the heading"


def find_corrections(now: Pattern, read: Pattern) -> Corrections:
    """Compare a pattern with what was read of its copy."""
    holes, lost = _changed_holes(now, read)
    regions, lost_regions = _changed(now.regions, read.regions, _same_region)
    lines, lost_lines = _changed(now.lines, read.lines, _same_line)
    heading = any(
        getattr(now, word) != getattr(read, word)
        for word in ("title", "maker", "notes", "down_degrees", "ground", "thread", "gauge_mm",
                     "repeat")
    )  # fmt: skip
    return Corrections(holes, regions, lines, lost, lost_regions, lost_lines, heading)


def _changed_holes(now: Pattern, read: Pattern) -> tuple[Mask, Mask]:
    """Return which holes of now were changed, and which of those read are gone."""
    if not len(read.holes):
        return np.ones(len(now.holes), bool), np.zeros(0, bool)
    away, index = cKDTree(read.holes).query(now.holes)
    tagged = np.array([s is not None or a is not None for s, a in
                       zip(now.hole_stitch, now.hole_area, strict=True)], bool)  # fmt: skip
    same = (away < UNCHANGED_MM) & ~tagged
    gone = np.ones(len(read.holes), bool)
    gone[np.asarray(index)[same]] = False
    return ~same, gone


def _changed(
    now: Sequence[Thing], read: Sequence[Thing], same: Callable[[Thing, Thing], bool]
) -> tuple[Mask, Mask]:
    """Return which things of now have no equal in those read, and the other way round."""
    equal = np.array([[same(a, b) for b in read] for a in now], bool).reshape(len(now), len(read))
    return np.asarray(~equal.any(axis=1)), np.asarray(~equal.any(axis=0))


def _same_points(a: Points, b: Points) -> bool:
    """Tell whether two paths are the same."""
    return a.shape == b.shape and bool((np.abs(a - b) < UNCHANGED_MM).all())


def _same_region(a: Region, b: Region) -> bool:
    """Tell whether two regions are the same, drawn and marked."""
    return (
        a.stitch == b.stitch
        and dict(a.options) == dict(b.options)
        and len(a.contours) == len(b.contours)
        and all(map(_same_points, a.contours, b.contours))
    )


def _same_line(a: Line, b: Line) -> bool:
    """Tell whether two lines are the same, drawn and marked."""
    return a.word == b.word and not a.options and _same_points(a.points, b.points)


def lay_over(found: Points, before: Points, source: str) -> tuple[Points, Points]:
    """Find how holes read anew lie on those read before.

    Parameters
    ----------
    found, before
        (N, 2) and (M, 2) in mm.
    source
        Of the picture, for messages.

    Returns
    -------
    (2, 2) turn and (2,) shift, such that ``found @ turn + shift`` lies on `before`; exactly none
    where they already do.

    Raises
    ------
    PatternError
        Where they do not fit.
    """
    spacing = float(np.median(spacing_at(before)))
    tree = cKDTree(before)

    def fits(places: Points) -> Mask:
        return np.asarray(tree.query(places)[0]) < 0.25 * spacing

    none = np.eye(2), np.zeros(2)
    fewest = min(len(found), len(before))
    if fits(found).sum() > 0.95 * fewest:
        return none
    best, most = none, 0
    some = found[:: max(1, len(found) // 300)]
    for degrees in TURNS_DEGREES:
        angle = np.radians(degrees)
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        steps = (before[None] - (some @ turn)[:, None]).reshape(-1, 2)
        bins, counts = np.unique(np.floor(steps / (spacing / 3)), axis=0, return_counts=True)
        middle = (bins[counts.argmax()] + 0.5) * spacing / 3
        near = np.abs(steps - middle).max(axis=1) < spacing / 3
        shift = np.median(steps[near], axis=0)
        count = int(fits(found @ turn + shift).sum())
        if count > most:
            best, most = (turn, shift), count
    if most < SAME_COPY * fewest:
        message = (
            "its holes do not lie as those of the pattern that is there: is it the same copy? "
            "Read it to another name, without --keep"
        )
        raise PatternError(source, (Remark(message),))
    for _ in range(3):
        best = _fitted(found, before, found @ best[0] + best[1], 0.25 * spacing)
    return best


def _fitted(found: Points, before: Points, laid: Points, reach: float) -> tuple[Points, Points]:
    """Return the turn and shift that fit the matched holes best.

    References
    ----------
    .. P. H. Schönemann, "A generalized solution of the orthogonal Procrustes problem",
       Psychometrika 31 (1966) 1-10
    """
    away, index = cKDTree(before).query(laid)
    matched = np.asarray(away) < reach
    a, b = found[matched], before[np.asarray(index)[matched]]
    u, _, v = np.linalg.svd((a - a.mean(axis=0)).T @ (b - b.mean(axis=0)))
    turn = u @ np.diag([1.0, float(np.sign(np.linalg.det(u @ v)))]) @ v
    return turn, b.mean(axis=0) - a.mean(axis=0) @ turn


def off_page(pattern: Pattern) -> Points:
    """Return the (2,) shift in whole mm that brings what lies left of or above the page on it."""
    parts = [pattern.holes, *(line.points for line in pattern.lines)]
    parts += [contour for region in pattern.regions for contour in region.contours]
    low: Points = np.concatenate(parts).min(axis=0)
    return np.ceil(np.maximum(-low, 0.0))


def standing_on(places: Points, holes: Points) -> Mask:
    """Tell which places are holes still."""
    if not len(places):
        return np.zeros(0, bool)
    return np.asarray(cKDTree(holes).query(places)[0]) < UNCHANGED_MM


def moved(pattern: Pattern, turn: Points, shift: Points) -> Pattern:
    """Return a pattern turned and shifted."""

    def put(points: Points) -> Points:
        return np.round(points @ turn + shift, 4)

    return replace(
        pattern,
        holes=put(pattern.holes),
        regions=tuple(
            replace(region, contours=tuple(map(put, region.contours))) for region in pattern.regions
        ),
        lines=tuple(replace(line, points=put(line.points)) for line in pattern.lines),
    )


def keep_corrections(
    found: Pattern, now: Pattern, read: Pattern, corrections: Corrections
) -> Pattern:
    """Put a hand's corrections into what was read anew.

    Parameters
    ----------
    found
        Read anew, laid over the pattern that is there.
    now, read
        That pattern, and what was read when it was made.
    corrections
        What differs between these two.

    Returns
    -------
    Holes, regions and lines of `found`, but where a hand drew, moved, marked or removed something
    what it left; heading of `now`.
    """
    spacing = float(np.median(spacing_at(read.holes if len(read.holes) > 1 else now.holes)))
    untouched = read.holes[~corrections.lost_holes]
    places = np.vstack(
        [untouched, now.holes[corrections.holes], read.holes[corrections.lost_holes]]
    )
    away, nearest = cKDTree(places).query(found.holes)
    # A hole that was not touched stays, however near to it another was drawn.
    free = (away > SAME_PLACE * spacing) | (np.asarray(nearest) < len(untouched))
    own = np.flatnonzero(corrections.holes)
    holes = np.vstack([found.holes[free], now.holes[own]])
    unmarked = (None,) * int(free.sum())

    own_regions = tuple(compress(now.regions, corrections.regions))
    gone_regions = tuple(compress(read.regions, corrections.lost_regions))
    regions = tuple(
        region for region in found.regions
        if not any(_overlap(region, other) for other in (*own_regions, *gone_regions))
    )  # fmt: skip
    own_lines = tuple(compress(now.lines, corrections.lines))
    gone_lines = tuple(compress(read.lines, corrections.lost_lines))
    lines = tuple(
        line for line in found.lines
        if not any(_beside(line, other, spacing) for other in (*own_lines, *gone_lines))
    )  # fmt: skip
    return replace(
        now,
        holes=holes,
        hole_stitch=(*unmarked, *(now.hole_stitch[k] for k in own)),
        hole_area=(*unmarked, *(now.hole_area[k] for k in own)),
        regions=(*regions, *own_regions),
        lines=(*lines, *own_lines),
        remarks=found.remarks,
    )


def _overlap(a: Region, b: Region) -> bool:
    """Tell whether two regions mean the same place: half of what either covers is common."""
    both = np.vstack([*a.contours, *b.contours])
    low, high = both.min(axis=0), both.max(axis=0)
    x, y = np.meshgrid(*(np.linspace(p, q, 48) for p, q in zip(low, high, strict=True)))
    grid = np.column_stack([x.ravel(), y.ravel()])
    in_a, in_b = contains(a.contours, grid), contains(b.contours, grid)
    return bool((in_a & in_b).sum() > 0.5 * (in_a | in_b).sum())


def _beside(a: Line, b: Line, spacing: float) -> bool:
    """Tell whether two lines run along each other from end to end."""
    away, _ = nearest_on_path(b.points, a.points, closed=False)
    back, _ = nearest_on_path(a.points, b.points, closed=False)
    return bool(max(away.max(), back.max()) < 0.6 * spacing)
