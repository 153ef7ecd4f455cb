"""Plaits and leaves from hole to hole, and what lies beside them."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.geometry.polygon import path_length, spot_on_path

Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Picot:
    """A picot beside a plait: its hole, the side (-1 left, +1 right) and the way to it in mm."""

    hole: int
    side: int
    way: float


@dataclass(frozen=True, eq=False)
class Span:
    """A plait or leaf from one hole to the next.

    Attributes
    ----------
    run
        The line it is part of.
    ends
        The holes it joins, the upper one first.
    path
        (n, 2) its middle line in mm, from hole to hole.
    picots
        In order along it.
    mesh
        Whether it is a side of a mesh of Valenciennes ground, and no line of the pattern.
    """

    run: int
    word: str
    ends: tuple[int, int]
    path: Points
    picots: tuple[Picot, ...] = ()
    mesh: bool = False

    @property
    def length(self) -> float:
        """The way from hole to hole in mm."""
        return path_length(self.path)

    @property
    def pieces(self) -> Points:
        """(M, 2, 2) its straight pieces."""
        return np.stack([self.path[:-1], self.path[1:]], axis=1)

    def turned(self) -> "Span":
        """Return it the other way round."""
        whole = self.length
        picots = [Picot(p.hole, -p.side, whole - p.way) for p in reversed(self.picots)]
        return replace(self, ends=self.ends[::-1], path=self.path[::-1], picots=tuple(picots))

    def at(self, way: float) -> tuple[Points, Points]:
        """Return the place after so many mm, and the unit direction there."""
        spot, (x, y) = spot_on_path(self.path, way)
        return spot, np.array([-y, x])


@dataclass(frozen=True, eq=False)
class Drawn:
    """All plaits and leaves of a piece.

    Attributes
    ----------
    spans
        In the order of the file, each from its upper end as drawn.
    joints
        Holes on no area's edge where only plaits and leaves meet.
    picots
        Holes that hold a picot beside a plait.
    tied
        Areas at whose edges some of them end, worked or not.
    remarks
        Lines that cannot be worked.
    """

    spans: tuple[Span, ...]
    joints: frozenset[int]
    picots: frozenset[int]
    tied: frozenset[int]
    remarks: tuple[Remark, ...]

    @property
    def ends(self) -> frozenset[int]:
        """The holes at which spans begin or end."""
        return frozenset(hole for span in self.spans for hole in span.ends)

    @property
    def joined(self) -> frozenset[tuple[int, int]]:
        """Holes that a span leads from one to the other, either way."""
        return frozenset(ends for s in self.spans for ends in (s.ends, s.ends[::-1]))

    @property
    def pieces(self) -> Points:
        """(M, 2, 2) the straight pieces of all spans."""
        return np.concatenate([np.zeros((0, 2, 2)), *(span.pieces for span in self.spans)])
