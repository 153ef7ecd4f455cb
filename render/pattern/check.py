"""What must hold of marks as a whole."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.geometry.polygon import contains, nearest_on_path, signed_area
from render.pattern.crossing import first_crossing
from render.pattern.findings import Findings
from render.pattern.marks import Marks
from render.pattern.model import Line, Region

Points = NDArray[np.float64]

LONE_HOLE_SPACING_MM = 2.0
SMALLEST_AREA_MM2 = 0.01
END_REACH = 1.5
LEAST_REACH_MM = 1.0
PAIRS_AT_ONCE = 500_000
EVERYWHERE = ("direction", "join")


def local_spacing(holes: Points) -> NDArray[np.float64]:
    """Return how far apart the holes stand around each.

    Parameters
    ----------
    holes
        (N, 2) in mm.

    Returns
    -------
    (N,) mean distance in mm to the two nearest others.
    """
    if len(holes) < 2:
        return np.full(len(holes), LONE_HOLE_SPACING_MM)
    distance = np.asarray(cKDTree(holes).query(holes, k=min(3, len(holes)))[0])
    return np.asarray(distance[:, 1:].mean(axis=1), float)


def check_marks(marks: Marks, findings: Findings) -> None:
    """Fault what no piece of lace can be made from."""
    holes = marks.points
    if not len(holes):
        # Where something else is at fault, that is why.
        if not findings.faulty:
            findings.fault(
                "there are no holes; a hole is a circle up to 2 mm across or a line of a table"
            )
        return
    spacing = local_spacing(holes)
    for region in marks.regions:
        _check_region(region, holes, spacing, findings)
    tree = cKDTree(holes)
    for line in marks.lines:
        _check_line(line, tree, spacing, findings)


def edge_or_inside(
    region: Region, holes: Points, spacing: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Tell which holes lie inside a region, or within half the local spacing of its outline."""
    reach = spacing / 2
    low, high = region.contours[0].min(axis=0), region.contours[0].max(axis=0)
    near = (holes >= low - reach[:, None]) & (holes <= high + reach[:, None])
    found = np.zeros(len(holes), bool)
    rows = np.flatnonzero(near.all(axis=1))
    blocks = len(rows) * sum(map(len, region.contours)) // PAIRS_AT_ONCE + 1
    for block in np.array_split(rows, blocks):
        found[block] = contains(region.contours, holes[block])
        for contour in region.contours:
            away, _ = nearest_on_path(contour, holes[block], closed=True)
            found[block] |= away <= reach[block]
    return found


def _check_region(
    region: Region, holes: Points, spacing: NDArray[np.float64], findings: Findings
) -> None:
    """Fault an outline that crosses itself, encloses nothing or has no holes."""
    crossing = first_crossing(region.contours)
    if crossing is not None:
        findings.fault(
            f"its outline crosses or touches itself at {crossing[0]:.1f}, {crossing[1]:.1f} mm; "
            "draw it as one loop",
            region.place,
        )
    elif abs(signed_area(region.contours[0])) < SMALLEST_AREA_MM2:
        findings.fault("it encloses no area; draw it larger or delete it", region.place)
    elif not edge_or_inside(region, holes, spacing).any():
        findings.fault(
            "there are no holes in it or near its outline; move it onto the holes or delete it",
            region.place,
        )


def _check_line(
    line: Line,
    tree: cKDTree,
    spacing: NDArray[np.float64],
    findings: Findings,
) -> None:
    """Fault a line with an end away from the holes."""
    if line.word in EVERYWHERE:
        return
    closed = bool((line.points[0] == line.points[-1]).all())
    ends = line.points if closed else line.points[[0, -1]]
    away, hole = map(np.asarray, tree.query(ends))
    fits = away <= np.maximum(END_REACH * spacing[hole], LEAST_REACH_MM)
    if closed:
        if not fits.any():
            findings.fault("it runs nowhere near a hole; draw it along the holes", line.place)
        return
    for (x, y), near, distance in zip(ends, fits, away, strict=True):
        if not near:
            findings.fault(
                f"its end at {x:.1f}, {y:.1f} mm is {distance:.1f} mm from the nearest hole; "
                "draw it to a hole",
                line.place,
            )
