"""How much of a piece each technique is: stitches, pins, area and hours."""

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay, QhullError

from render.estimate.pace import Pace, job_of, minutes_of
from render.geometry.polygon import contains, signed_area
from render.plan.model import WorkingPlan
from render.plan.stitches import LINE_WORDS, STITCHES
from render.pricking.model import Area, Pricking

# Holes of ground are neighbours up to this many times their usual distance.
_NEIGHBOURS = 2.2


@dataclass(frozen=True)
class Share:
    """One technique of a piece.

    Attributes
    ----------
    stitches
        How many.
    pins
        Pins whose stitch is of this technique; 0 for what is worked between pins.
    area_mm2
        The ground that it covers.
    minutes
        What it takes at the maker's pace.
    of_hours
        Its part of all the time, winding included.
    """

    stitches: int
    pins: int
    area_mm2: float
    minutes: float
    of_hours: float


def share_out(plan: WorkingPlan, pace: Pace) -> dict[str, Share]:
    """Return the techniques of a plan, and ``winding``, the longest first; parts sum to 1."""
    minutes = minutes_of(job_of(plan), pace)
    whole = sum(minutes.values())
    stitches = Counter(plan.technique)
    pins = pins_of(plan)
    areas = areas_mm2(plan.pricking)
    shares = {
        word: Share(stitches[word], pins[word], areas.get(word, 0.0), taken, taken / whole)
        for word, taken in minutes.items()
    }
    return dict(sorted(shares.items(), key=lambda item: (-item[1].minutes, item[0])))


def is_ground(technique: str) -> bool:
    """Tell whether a technique is a ground, not an area's stitch nor a line's nor winding."""
    return technique not in (*STITCHES, *LINE_WORDS, "footside", "winding")


def pins_of(plan: WorkingPlan) -> Counter[str]:
    """Return how many holes are worked in each technique, each hole once.

    A hole on the edge of an area belongs to the area.
    """
    words: dict[int, str] = {}
    for hole, owners in enumerate(plan.pricking.owners):
        if owners:
            words[hole] = plan.pricking.areas[owners[0]].stitch
    for hole, word in zip(plan.hole.tolist(), plan.technique, strict=True):
        if hole >= 0:
            words.setdefault(hole, word)
    for legs, word in zip(plan.given.tolist(), plan.technique, strict=True):
        for hole in plan.turn[legs].tolist():
            if hole >= 0:
                words.setdefault(hole, word)
    for hole in range(len(plan.pricking.holes)):
        if plan.pricking.interior[hole] < 0:
            words.setdefault(hole, plan.pricking.ground[hole])
    return Counter(words.values())


def areas_mm2(pricking: Pricking) -> dict[str, float]:
    """Return how much of the piece each technique covers, in mm²."""
    covered: dict[str, float] = {}
    for area in pricking.areas:
        if area.worked:
            covered[area.stitch] = covered.get(area.stitch, 0.0) + area_mm2(area)
    for word, size in _ground(pricking).items():
        covered[word] = covered.get(word, 0.0) + size
    return covered


def area_mm2(area: Area) -> float:
    """Return the size of an area, its inner contours taken off."""
    outer, *inner = (abs(signed_area(contour)) for contour in area.contours)
    return float(outer - sum(inner))


def _ground(pricking: Pricking) -> dict[str, float]:
    """Return what is left between neighbouring holes outside all areas, by ground."""
    mesh = _triangles(pricking)
    corners = pricking.holes[mesh]
    sizes = np.abs(_cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])) / 2
    outside = np.ones(len(mesh), bool)
    for area in pricking.areas:
        if area.stitch != "ground":
            outside &= ~contains(area.contours, corners.mean(axis=1))
    covered: dict[str, float] = {}
    for triangle, size in zip(mesh[outside].tolist(), sizes[outside].tolist(), strict=True):
        word = Counter(pricking.ground[hole] for hole in triangle).most_common(1)[0][0]
        covered[word] = covered.get(word, 0.0) + size
    return covered


def _triangles(pricking: Pricking) -> NDArray[np.int64]:
    """Return the (n, 3) holes of triangles whose corners are neighbours."""
    try:
        mesh: NDArray[np.int64] = np.asarray(Delaunay(pricking.holes).simplices, np.int64)
    except (QhullError, ValueError):
        return np.zeros((0, 3), np.int64)  # fewer than three holes, or all on one line
    corners = pricking.holes[mesh]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    near: NDArray[np.int64] = mesh[sides <= _NEIGHBOURS * np.median(pricking.spacing)]
    return near


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
