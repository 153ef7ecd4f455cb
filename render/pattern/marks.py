"""What a file marks, before it is judged as a whole."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.pattern.findings import Findings
from render.pattern.model import Label, Line, Region, Shade

Points = NDArray[np.float64]

FARTHEST_MM = 5000.0
SAME_HOLE_MM = 0.1
NINE = [(i, j) for i in (0, -1, 1) for j in (0, -1, 1)]


@dataclass
class Marks:
    """Holes, regions and lines in the order of the file.

    Attributes
    ----------
    holes
        x, y in mm.
    stitches, areas
        What each hole is tagged with, None where it is not.
    shades
        The colour and opacity of each hole's fill, None where it has none.
    """

    holes: list[tuple[float, float]] = field(default_factory=list)
    stitches: list[str | None] = field(default_factory=list)
    areas: list[str | None] = field(default_factory=list)
    shades: list[Shade | None] = field(default_factory=list)
    regions: list[Region] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    labels: tuple[Label, ...] = ()

    def add_hole(
        self, x: float, y: float, stitch: str | None, area: str | None, shade: Shade | None = None
    ) -> None:
        """Take a hole."""
        self.holes.append((x, y))
        self.stitches.append(stitch)
        self.areas.append(area)
        self.shades.append(shade)

    @property
    def points(self) -> Points:
        """(N, 2) holes in mm."""
        return np.array(self.holes, float).reshape(-1, 2)


def merge_double_holes(marks: Marks, findings: Findings) -> None:
    """Keep the first of holes that lie on each other, with the first tag among them."""
    kept: list[int] = []
    # Kept holes by square; a near one lies in the same square or one beside it. However many
    # copies a drawing piles up in a spot, each is compared with a few.
    squares: dict[tuple[int, int], list[int]] = {}
    for hole, (x, y) in enumerate(marks.holes):
        column, row = math.floor(x / SAME_HOLE_MM), math.floor(y / SAME_HOLE_MM)
        around = (squares.get((column + i, row + j), ()) for i, j in NINE)
        first = next((o for near in around for o in near if _same(marks, hole, o)), None)
        if first is None:
            kept.append(hole)
            squares.setdefault((column, row), []).append(hole)
            continue
        if marks.stitches[first] is None:
            marks.stitches[first], marks.areas[first] = marks.stitches[hole], marks.areas[hole]
            marks.shades[first] = marks.shades[hole]
    if gone := len(marks.holes) - len(kept):
        lie, were = ("hole lies", "was") if gone == 1 else ("holes lie", "were")
        findings.remark(
            f"{gone} {lie} less than {SAME_HOLE_MM} mm from another and {were} merged with it"
        )
    marks.holes = [marks.holes[i] for i in kept]
    marks.stitches = [marks.stitches[i] for i in kept]
    marks.areas = [marks.areas[i] for i in kept]
    marks.shades = [marks.shades[i] for i in kept]


def _same(marks: Marks, hole: int, other: int) -> bool:
    """Tell whether two holes lie on each other."""
    return math.dist(marks.holes[hole], marks.holes[other]) < SAME_HOLE_MM
