"""What a working plan takes: pairs and stitches."""

from collections import Counter
from dataclasses import dataclass

from render.plan.model import WorkingPlan


@dataclass(frozen=True)
class PairCount:
    """How many pairs of bobbins a piece takes.

    Attributes
    ----------
    start
        Hung on where the piece begins.
    hung_in, thrown_out
        Added and taken out on the way.
    most
        On the pillow at once.
    """

    start: int
    hung_in: int
    thrown_out: int
    most: int

    @property
    def total(self) -> int:
        """All pairs to be wound."""
        return self.start + self.hung_in


@dataclass(frozen=True)
class Counts:
    """What there is to count in a piece.

    Attributes
    ----------
    holes
        Pricked holes.
    pairs
        Pairs of bobbins.
    stitches
        By technique, the most frequent first: in an area every meeting of two pairs is one, in
        ground every hole is one.
    size_mm
        Width and height from hole to hole.
    """

    holes: int
    pairs: PairCount
    stitches: dict[str, int]
    size_mm: tuple[float, float]


def count_work(plan: WorkingPlan) -> Counts:
    """Count the pairs and stitches of a working plan."""
    began = sum(hanging.start for hanging in plan.hangings)
    pairs = PairCount(
        start=began,
        hung_in=len(plan.hangings) - began,
        thrown_out=sum(not throwing.end for throwing in plan.throwings),
        most=plan.most_pairs,
    )
    holes = plan.pricking.holes
    width, height = (round(float(side), 6) for side in holes.max(axis=0) - holes.min(axis=0))
    stitches = dict(Counter(plan.technique).most_common())
    return Counts(len(holes), pairs, stitches, (width, height))
