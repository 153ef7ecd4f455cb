"""A pricking: which hole belongs to which part."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.errors import Place, Remark

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# A worker needs this many holes to run between.
FEWEST_HOLES = 3


@dataclass(frozen=True, eq=False)
class Area:
    """A region with its holes.

    Attributes
    ----------
    contours
        The outline, then inner contours, each (n, 2) in mm.
    stitch
        ``whole``, ``half``, ``double``, ``ground`` or ``open``.
    edges
        For each contour the holes that lie on it, in the order of the contour.
    inside
        Holes that lie inside and on no edge.
    """

    contours: tuple[Points, ...]
    stitch: str
    place: Place
    edges: tuple[Indices, ...]
    inside: Indices
    options: Mapping[str, str] = field(default_factory=dict)

    @property
    def edge(self) -> Indices:
        """All holes on its outline and inner contours."""
        return np.concatenate(self.edges)

    @property
    def worked(self) -> bool:
        """Whether a worker runs through it: it needs holes to run between."""
        return self.stitch not in ("ground", "open") and len(self.edges[0]) >= FEWEST_HOLES


@dataclass(frozen=True, eq=False)
class Run:
    """A line with the holes it passes, in order along it."""

    points: Points
    word: str
    place: Place
    holes: Indices
    options: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Pricking:
    """Holes, areas and lines of one piece, and the way it is worked.

    Attributes
    ----------
    holes
        (N, 2) in mm.
    spacing
        (N,) the usual distance in mm from each hole to its neighbours.
    down
        (2,) unit vector of the working direction.
    areas, runs
        Regions and lines with their holes.
    ground
        For each hole the word of the ground it would be worked in.
    owners
        For each hole the numbers of the worked areas whose edge it is on; none for ground.
    interior
        (N,) the worked or open area a hole lies inside of (off its edge), or -1.
    gauge_mm
        Diameter of the thread it is meant for; where it names none, of one that suits its holes.
    leg_twists
        Twists that the legs of its ground get beyond those of their stitch.
    """

    name: str
    holes: Points
    spacing: NDArray[np.float64]
    down: NDArray[np.float64]
    areas: tuple[Area, ...]
    runs: tuple[Run, ...]
    ground: tuple[str, ...]
    owners: tuple[tuple[int, ...], ...]
    interior: Indices
    gauge_mm: float
    repeat: tuple[float, float] | None = None
    leg_twists: int = 0
    remarks: tuple[Remark, ...] = ()

    def __post_init__(self) -> None:
        for array in (self.holes, self.spacing, self.down, self.interior):
            array.setflags(write=False)

    @property
    def across(self) -> NDArray[np.float64]:
        """(2,) unit vector to the maker's right."""
        return np.array([self.down[1], -self.down[0]])

    def place(self, hole: int) -> Place:
        """Name a hole by its number, counted from one in the order of the file."""
        x, y = self.holes[hole]
        return Place(f"hole {hole + 1}", float(x), float(y))
