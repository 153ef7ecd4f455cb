"""What stands on a sheet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from render.pricking.model import Pricking

Points = NDArray[np.float64]

# What is marked: pairs hung where the piece begins, hung in, thrown out, and left at its end.
MARKS = ("start", "in", "out", "end")
# Room for marks round the outermost holes.
_AROUND_MM = 7.0


@dataclass(frozen=True)
class Mark:
    """Pairs that come or go at one place.

    Attributes
    ----------
    kind
        One of MARKS.
    pairs
        How many.
    at
        Position in mm.
    hole
        The hole, counted from one.
    after
        How many stitches are worked by then.
    """

    kind: str
    pairs: int
    at: tuple[float, float]
    hole: int
    after: int


@dataclass(frozen=True)
class Arrow:
    """A pair on its way into an area or out of it, from tail to tip in mm."""

    tail: tuple[float, float]
    tip: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Patch:
    """An area to be coloured: its contours, its stitch and its place in the order of work."""

    contours: tuple[Points, ...]
    stitch: str
    number: int
    name: str


@dataclass(frozen=True, eq=False)
class Drawing:
    """A pricking as it is drawn, in mm.

    Attributes
    ----------
    holes
        (N, 2).
    patches
        Areas.
    lines
        Each a word and (n, 2) points.
    marks
        Where pairs come and go.
    arrows
        Where pairs enter areas and leave them.
    """

    holes: Points
    patches: tuple[Patch, ...]
    lines: tuple[tuple[str, Points], ...]
    marks: tuple[Mark, ...]
    arrows: tuple[Arrow, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom with room for the marks."""
        points = [self.holes, *(line for _, line in self.lines)]
        points += [contour for patch in self.patches for contour in patch.contours]
        points += [np.array([mark.at for mark in self.marks]).reshape(-1, 2)]
        every = np.concatenate(points)
        low, high = every.min(axis=0) - _AROUND_MM, every.max(axis=0) + _AROUND_MM
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def mirrored(self) -> "Drawing":
        """Return it as seen from the back."""
        left, _, right, _ = self.bounds

        def across(spot: tuple[float, float]) -> tuple[float, float]:
            return left + right - spot[0], spot[1]

        def turn(points: Points) -> Points:
            return np.column_stack([left + right - points[:, 0], points[:, 1]])

        return Drawing(
            turn(self.holes),
            tuple(replace(p, contours=tuple(turn(c) for c in p.contours)) for p in self.patches),
            tuple((word, turn(points)) for word, points in self.lines),
            tuple(replace(m, at=across(m.at)) for m in self.marks),
            tuple(Arrow(across(a.tail), across(a.tip)) for a in self.arrows),
        )


@dataclass(frozen=True, eq=False)
class Sheet:
    """All that is printed.

    Attributes
    ----------
    title, maker
        What the piece is called and whose it is.
    drawing
        The pricking.
    grounds
        The grounds worked, by word.
    preview
        (rows, columns, 3) 8-bit picture of the worked piece.
    figures
        Lines of what it takes.
    gimps
        Lines of what is to be known of each gimp.
    """

    title: str
    maker: str
    drawing: Drawing
    grounds: tuple[str, ...]
    preview: NDArray[np.uint8]
    figures: tuple[str, ...]
    gimps: tuple[str, ...] = ()


# An arrow begins or ends this far from the middle of its hole, and is this long.
_FROM_HOLE_MM, _ARROW_MM = 0.7, 1.8


def arrow(hole: tuple[float, float], other: tuple[float, float], *, enters: bool) -> Arrow | None:
    """Return an arrow to a hole from elsewhere, or the other way; None where there is no room."""
    away = np.subtract(other, hole)
    far = float(np.hypot(*away))
    tip = min(_FROM_HOLE_MM + _ARROW_MM, far - _FROM_HOLE_MM)
    if tip <= _FROM_HOLE_MM:
        return None
    near = np.add(hole, away / far * _FROM_HOLE_MM)
    end = np.add(hole, away / far * tip)
    a, b = (float(near[0]), float(near[1])), (float(end[0]), float(end[1]))
    return Arrow(b, a) if enters else Arrow(a, b)


def draw_up(
    pricking: Pricking,
    order: Sequence[int],
    marks: Sequence[Mark],
    arrows: Sequence[Arrow] = (),
) -> Drawing:
    """Return a pricking with the numbers of its areas, its marks and arrows.

    Parameters
    ----------
    order
        Areas in the order in which they are begun; the others get no number.
    """
    numbers = {area: number for number, area in enumerate(order, 1)}
    patches = tuple(
        Patch(area.contours, area.stitch, numbers.get(k, 0), name_of(area.place.item))
        for k, area in enumerate(pricking.areas)
    )
    lines = tuple((run.word, run.points) for run in pricking.runs)
    return Drawing(pricking.holes, patches, lines, tuple(marks), tuple(arrows))


def name_of(item: str) -> str:
    """Return the name of an area or line without the word for what it is in the file."""
    return item.partition('"')[2].rstrip('"') or item
