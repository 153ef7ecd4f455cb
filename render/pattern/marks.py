"""What a file marks, before it is judged as a whole."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.pattern.findings import Findings
from render.pattern.model import Line, Region

Points = NDArray[np.float64]

FARTHEST_MM = 5000.0
SAME_HOLE_MM = 0.1


@dataclass
class Marks:
    """Holes, regions and lines in the order of the file.

    Attributes
    ----------
    holes
        x, y in mm.
    stitches, areas
        What each hole is tagged with, None where it is not.
    """

    holes: list[tuple[float, float]] = field(default_factory=list)
    stitches: list[str | None] = field(default_factory=list)
    areas: list[str | None] = field(default_factory=list)
    regions: list[Region] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)

    def add_hole(self, x: float, y: float, stitch: str | None, area: str | None) -> None:
        """Take a hole."""
        self.holes.append((x, y))
        self.stitches.append(stitch)
        self.areas.append(area)

    @property
    def points(self) -> Points:
        """(N, 2) holes in mm."""
        return np.array(self.holes, float).reshape(-1, 2)


def merge_double_holes(marks: Marks, findings: Findings) -> None:
    """Keep the first of holes that lie on each other, with the first tag among them."""
    points = marks.points
    pairs = cKDTree(points).query_pairs(SAME_HOLE_MM, output_type="ndarray")
    apart = np.hypot(*(points[pairs[:, 0]] - points[pairs[:, 1]]).T)
    stays = np.arange(len(points))
    for first, second in sorted(map(tuple, pairs[apart < SAME_HOLE_MM].tolist())):
        # A hole that has gone already takes none with it, so that a row of close holes stays one.
        if stays[first] == first and stays[second] == second:
            stays[second] = first
            for tags in (marks.stitches, marks.areas):
                tags[first] = tags[first] or tags[second]
    kept = np.flatnonzero(stays == np.arange(len(points)))
    if gone := len(points) - len(kept):
        lie, were = ("hole lies", "was") if gone == 1 else ("holes lie", "were")
        findings.remark(
            f"{gone} {lie} less than {SAME_HOLE_MM} mm from another and {were} merged with it"
        )
    marks.holes = [marks.holes[i] for i in kept]
    marks.stitches = [marks.stitches[i] for i in kept]
    marks.areas = [marks.areas[i] for i in kept]
