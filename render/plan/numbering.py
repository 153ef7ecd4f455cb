"""Numbers of holes, areas and lines in one repeat and in another."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.pattern.repeat import RUNNING, Laid, Origin, step_of
from render.plan.model import Hanging, Throwing, WorkingPlan
from render.pricking.model import Pricking

Indices = NDArray[np.int64]
Points = NDArray[np.float64]

# Places that lie this near to each other are one.
SAME_MM = 1e-5
# What a plan has on record for each stitch, leg and hole, and of pairs that come and go.
OF_STITCHES = (
    "at", "hole", "pin_after", "area", "taken", "given", "run", "toward", "breadth",
)  # fmt: skip
OF_LEGS = ("twists", "turn", "turn_side")
OF_HOLES = ("down",)
OF_HANGINGS = {"leg", "at", "beside", "before", "start", "hole", "area", "role", "run"}
OF_THROWINGS = {"leg", "after", "end", "area", "toward", "sewn"}
# What has no counterpart.
NOWHERE = -2


@dataclass(frozen=True, eq=False)
class Block:
    """The stitches of one repeat, or of a few, that come again in the next ones.

    Attributes
    ----------
    first, stitches
        The first stitch, and how many there are.
    leg, legs
        The first leg that is begun in it, and how many are.
    repeats
        How many repeats of the pattern it takes.
    step
        (2,) in mm, from it to the one worked next.
    """

    first: int
    stitches: int
    leg: int
    legs: int
    repeats: int
    step: Points

    @property
    def end(self) -> int:
        """The first stitch after it."""
        return self.first + self.stitches

    @property
    def leg_end(self) -> int:
        """The first leg begun after it."""
        return self.leg + self.legs


def forward(pricking: Pricking, laid: Laid) -> tuple[Points, int]:
    """Return the step to the repeat worked next, and 1 where that is laid next, else -1."""
    step = np.array(step_of(laid.pattern))
    sign = 1 if step @ pricking.down > 0 else -1
    return sign * step, sign


def check_columns(plan: WorkingPlan) -> None:
    """Refuse a plan with something on record that nobody told how to repeat.

    Raises
    ------
    ValueError
        For what is named in none of OF_STITCHES, OF_LEGS, OF_HOLES, OF_HANGINGS, OF_THROWINGS.
    """
    arrays = {name for name, value in vars(plan).items() if isinstance(value, np.ndarray)}
    unknown = arrays - {*OF_STITCHES, *OF_LEGS, *OF_HOLES}
    unknown |= {field.name for field in fields(Hanging)} - OF_HANGINGS
    unknown |= {field.name for field in fields(Throwing)} - OF_THROWINGS
    if unknown:
        raise ValueError(f"no way to repeat {', '.join(sorted(unknown))} of a plan is known")


class Numbering:
    """Where holes, areas and lines lie some moves on, in the same piece or in a longer one.

    Parameters
    ----------
    pricking, laid
        What is numbered.
    longer, longer_laid
        Where it is looked for.
    block
        What is moved, and by how much; only its step and repeats are asked for.
    """

    def __init__(
        self, pricking: Pricking, laid: Laid, longer: Pricking, longer_laid: Laid, block: Block
    ) -> None:
        step = np.array(step_of(laid.pattern))
        # Where repeats are laid against the work, the last one laid is the first one worked.
        against = step @ block.step < 0
        self.base_repeats = longer_laid.times - laid.times if against else 0
        self.base: Points = self.base_repeats * step
        self._each = -block.repeats if against else block.repeats
        self._block = block
        self._holes = pricking.holes
        self._tree = cKDTree(longer.holes)
        self._kinds = {
            "area": self._find(laid.regions, longer_laid.regions),
            "run": self._find(laid.lines, longer_laid.lines),
        }

    def shift(self, moves: Indices) -> Points:
        """Return (K, 2) in mm, how far things lie from where they were."""
        return np.asarray(self.base + moves[:, None] * self._block.step)

    def renumber(self, name: str, column: Indices, moves: Indices) -> Indices:
        """Return a column of a plan with its numbers some moves on.

        Parameters
        ----------
        name
            That of the column.
        column, moves
            (K,) numbers, -1 for none, and how many moves each is taken on.

        Returns
        -------
        (K,) numbers, NOWHERE where there is no such thing; the column where it holds other things.
        """
        if name in ("hole", "turn"):
            spot = self._holes[column] + self.shift(moves)
            distance, found = self._tree.query(spot)
            there = np.where(distance <= SAME_MM, found, NOWHERE)
            return np.where(column < 0, -1, there)
        if name not in self._kinds:
            return column
        pairs, back = np.unique(np.stack([column, moves]), axis=1, return_inverse=True)
        find = self._kinds[name]
        values = np.array([find(*pair) for pair in pairs.T.tolist()], np.int64)
        return np.asarray(values[back.reshape(-1)])

    def hung(self, hangings: Sequence[Hanging], moves: Indices) -> tuple[Hanging, ...]:
        """Return pairs hung some moves on."""
        hole, area, run = (
            self.renumber(name, np.array([getattr(h, name) for h in hangings], np.int64), moves)
            for name in ("hole", "area", "run")
        )
        at = np.array([h.at for h in hangings]).reshape(-1, 2) + self.shift(moves)
        legs, stitches = self._block.legs, self._block.stitches
        return tuple(
            replace(
                h,
                leg=h.leg + k * legs,
                at=(x, y),
                beside=h.beside if h.beside < 0 else h.beside + k * legs,
                before=h.before + k * stitches,
                hole=where,
                area=who,
                run=line,
            )
            for h, k, (x, y), where, who, line in zip(
                hangings,
                moves.tolist(),
                at.tolist(),
                hole.tolist(),
                area.tolist(),
                run.tolist(),
                strict=True,
            )
        )

    def thrown(self, throwings: Sequence[Throwing], moves: Indices) -> tuple[Throwing, ...]:
        """Return pairs that leave some moves on."""
        column = np.array([t.area for t in throwings], np.int64)
        areas = self.renumber("area", column, moves).tolist()
        sewn = np.array([t.sewn or (0.0, 0.0) for t in throwings]).reshape(-1, 2)
        places = (sewn + self.shift(moves)).tolist()
        legs, stitches = self._block.legs, self._block.stitches
        return tuple(
            replace(
                t,
                leg=t.leg + k * legs,
                after=t.after + k * stitches,
                area=area,
                sewn=None if t.sewn is None else (x, y),
            )
            for t, k, area, (x, y) in zip(throwings, moves.tolist(), areas, places, strict=True)
        )

    def _find(self, old: tuple[Origin, ...], new: tuple[Origin, ...]) -> Callable[[int, int], int]:
        place = {origin: k for k, origin in enumerate(new)}

        def find(number: int, moves: int) -> int:
            if number < 0:
                return -1
            what, repeat = old[number]
            if repeat != RUNNING:
                repeat += self.base_repeats + moves * self._each
            return place.get((what, repeat), NOWHERE)

        return find
