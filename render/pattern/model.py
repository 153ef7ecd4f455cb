"""A pattern as its maker marked it, nothing interpreted yet."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.errors import Place, Remark

Points = NDArray[np.float64]
Shade = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Region:
    """A closed shape that says how the holes on its edge are worked.

    Attributes
    ----------
    contours
        The outline, then the inner contours of a ring; each (n, 2) in mm, n >= 3, not closed
        (the last point is joined to the first).
    stitch
        ``whole``, ``half``, ``double``, ``ground`` or ``open``.
    options
        The optional attributes that were given, by their names without ``data-``:
        ``pairs``, ``density``, ``colour``, ``tie``, ``ground``, ``area``. Values are checked.
    shade
        The pen it is marked with: sRGB and opacity, 0 to 1; None where no colour is drawn.
    """

    contours: tuple[Points, ...]
    stitch: str
    place: Place
    options: Mapping[str, str] = field(default_factory=dict)
    shade: Shade | None = None


@dataclass(frozen=True, eq=False)
class Line:
    """An open line that says what runs along it.

    Attributes
    ----------
    points
        (n, 2) in mm, n >= 2, curves flattened.
    word
        ``plait``, ``leaf``, ``square-leaf``, ``gimp``, ``footside``, ``headside``,
        ``direction`` or ``join``.
    options
        ``twists``, ``width-mm``, ``picots``, ``passives``, ``colour``, ``gauge-mm``, ``stitch``:
        as given, checked.
    """

    points: Points
    word: str
    place: Place
    options: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Label:
    """A line of text.

    Attributes
    ----------
    text
        What it says.
    at
        Where it begins, has its middle or ends, in mm: on the line it stands on.
    size_mm
        Height of its letters, as typefaces count it.
    anchor
        ``start``, ``middle`` or ``end``: what of it lies at `at`.
    """

    text: str
    at: tuple[float, float]
    size_mm: float
    anchor: str = "start"


@dataclass(frozen=True, eq=False)
class Pattern:
    """A marked pricking.

    Attributes
    ----------
    name
        The file's name without folder or ending.
    holes
        (N, 2) centres in mm, x to the right, y down the page, in the order of the file.
    hole_stitch, hole_area
        For each hole the stitch and the area it was tagged with, None where it carries none.
    regions, lines
        In the order of the file.
    down_degrees
        The working direction, clockwise from the page's +x.
    ground
        A word of ``data-ground``.
    thread
        The thread count as written (``60/2 NeL``), None where none was given.
    gauge_mm
        Thread diameter, None where none was given.
    repeat
        The vector in mm by which the piece repeats, None where it does not.
    leg_twists
        Twists that the legs of its ground get beyond those of their stitch.
    labels
        What is written beside its parts.
    remarks
        What the reader noticed: merged holes, colours matched, elements skipped.
    """

    name: str
    holes: Points
    hole_stitch: tuple[str | None, ...]
    hole_area: tuple[str | None, ...]
    regions: tuple[Region, ...] = ()
    lines: tuple[Line, ...] = ()
    title: str = ""
    maker: str = ""
    notes: str = ""
    down_degrees: float = 90.0
    ground: str = "torchon"
    thread: str | None = None
    gauge_mm: float | None = None
    repeat: tuple[float, float] | None = None
    leg_twists: int = 0
    labels: tuple[Label, ...] = ()
    remarks: tuple[Remark, ...] = ()

    def __post_init__(self) -> None:
        if self.holes.ndim != 2 or self.holes.shape[1] != 2:
            raise ValueError(f"holes must be (N, 2), not {self.holes.shape}")
        if not len(self.holes) == len(self.hole_stitch) == len(self.hole_area):
            raise ValueError("every hole needs a stitch and an area, or None")
        self.holes.setflags(write=False)
