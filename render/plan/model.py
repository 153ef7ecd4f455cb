"""A working plan: every stitch in an order a maker could follow."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.pricking.model import Pricking

Indices = NDArray[np.int64]

ROLES = ("ground", "worker", "passive", "edge", "plait", "gimp")


@dataclass(frozen=True)
class Hanging:
    """A pair hung on the pillow.

    Attributes
    ----------
    leg
        The leg it begins.
    at
        Position in mm.
    beside
        The leg it is hung to the right of at that moment, -1 for the far left.
    before
        The number of the stitch before which it is hung.
    start
        True where the piece begins there, False where it is hung in later.
    hole
        The hole whose pin holds it, -1 where it hangs above the work.
    area
        The area it is hung for, -1 for ground.
    role
        An index into ROLES.
    run
        The line it is hung for, -1 for none.
    """

    leg: int
    at: tuple[float, float]
    beside: int
    before: int
    start: bool
    hole: int
    area: int
    role: int
    run: int = -1


@dataclass(frozen=True)
class Throwing:
    """A pair that leaves the work.

    Attributes
    ----------
    leg
        The leg it ends.
    after
        The number of stitches worked by then.
    end
        True where the piece ends there, False where the pair is thrown out on the way.
    area
        The area it leaves, -1 for ground.
    toward
        (2,) direction in which its threads leave.
    sewn
        Where it is sewn to work that is finished, in mm; None where it is not.
    """

    leg: int
    after: int
    end: bool
    area: int
    toward: tuple[float, float]
    sewn: tuple[float, float] | None = None


@dataclass(frozen=True)
class Sewing:
    """A worker that is sewn to what another one left at the same pin.

    Attributes
    ----------
    leg
        The leg that is sewn, on its way round the pin.
    to
        The leg that turned there before, from the other side.
    hole
        The pin.
    """

    leg: int
    to: int
    hole: int


@dataclass(frozen=True)
class Passing:
    """Where a gimp passes between the two threads of a pair.

    Attributes
    ----------
    leg
        The leg it passes.
    after
        How many twists of that leg come before it.
    along
        How far along the leg it is drawn, 0 to 1: of several after the same twist, their order.
    rightward
        Whether it comes from the maker's left.
    at
        Where it is drawn, in mm.
    """

    leg: int
    after: int
    along: float
    rightward: bool
    at: tuple[float, float]


@dataclass(frozen=True)
class Gimp:
    """A thick thread that is laid through pairs.

    Attributes
    ----------
    run
        The line along which it is drawn.
    gauge_mm
        Its diameter.
    passings
        From one end to the other.
    tips
        Where it begins and ends, in mm.
    over
        How many of its last passings lie beside its first ones, where its line closes.
    begun
        The passing that is laid first: 0 where it goes on from there to its end; otherwise those
        before it are laid backwards from there.
    """

    run: int
    gauge_mm: float
    passings: tuple[Passing, ...]
    tips: tuple[tuple[float, float], tuple[float, float]]
    over: int = 0
    begun: int = 0

    @property
    def bobbins(self) -> int:
        """On how many bobbins it is wound: two where it goes both ways from where it is begun."""
        return 1 if self.begun in (0, len(self.passings)) else 2


@dataclass(frozen=True)
class GimpCrossing:
    """Where one gimp crosses another between two pairs.

    Attributes
    ----------
    left, right
        The gimp that comes from the left and the one that comes from the right, each with its
        passing before the crossing.
    left_share, right_share
        How far along the way to its next passing each is then, 0 to 1.
    at
        About where, in mm.
    """

    left: tuple[int, int]
    right: tuple[int, int]
    left_share: float
    right_share: float
    at: tuple[float, float]


@dataclass(frozen=True, eq=False)
class WorkingPlan:
    """Who meets whom, in what order.

    A leg is a pair on its way from one stitch to the next. S counts stitches, L legs.

    Attributes
    ----------
    moves, technique
        For each stitch its movements (``CTC``) and the word it is counted under (``whole``).
    at
        (S, 2) first positions in mm.
    hole, pin_after
        (S,) the hole whose pin the stitch is worked with and how many movements come before it;
        -1 where there is none.
    area
        (S,) the area worked in, -1 for ground.
    taken, given
        (S, 2) the legs that come in and go out, left and right.
    run
        (S,) the line worked along, -1 for none.
    toward, breadth
        (S, 2) unit vector along that line, and (S,) how far its threads spread across it in mm, 0
        where they lie close; zero where there is no line.
    twists
        (L,) twists a leg gets beyond those of its stitches.
    turn
        (L,) the hole round whose pin a leg turns back, -1 for none.
    turn_side
        (L,) which side of that pin the leg passes: -1 the maker's left, +1 the right, 0 none.
    hangings, throwings
        In working order; what ends with the piece, from left to right.
    down
        (N, 2) unit vectors: which way the work proceeds at each hole, turning as the ground does.
    remarks
        What had to be decided.
    gimps, gimp_crossings
        In the order of the file, and where they cross each other.
    sewings
        In working order.
    """

    pricking: Pricking
    moves: tuple[str, ...]
    technique: tuple[str, ...]
    at: NDArray[np.float64]
    hole: Indices
    pin_after: Indices
    area: Indices
    taken: Indices
    given: Indices
    run: Indices
    toward: NDArray[np.float64]
    breadth: NDArray[np.float64]
    twists: Indices
    turn: Indices
    turn_side: Indices
    hangings: tuple[Hanging, ...]
    throwings: tuple[Throwing, ...]
    down: NDArray[np.float64]
    remarks: tuple[Remark, ...]
    gimps: tuple[Gimp, ...] = ()
    gimp_crossings: tuple[GimpCrossing, ...] = ()
    sewings: tuple[Sewing, ...] = ()

    def __post_init__(self) -> None:
        for value in vars(self).values():
            if isinstance(value, np.ndarray):
                value.setflags(write=False)

    @property
    def most_pairs(self) -> int:
        """The largest number of pairs on the pillow at once."""
        events = [(h.before, 1) for h in self.hangings] + [(t.after, -1) for t in self.throwings]
        change = np.zeros(len(self.moves) + 2, np.int64)
        for moment, step in events:
            change[moment] += step
        # A pair thrown out before a stitch makes room for one hung in before it.
        return int(np.cumsum(change).max(initial=0))
