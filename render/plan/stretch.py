"""A stretch of an area: what one worker works without dividing."""

from dataclasses import dataclass

from render.errors import Remark
from render.plan.rails import Course


@dataclass(frozen=True)
class Stretch:
    """A stretch of an area.

    Attributes
    ----------
    course
        The way of its worker.
    into
        The two stretches, left and right, into which it divides at its end; empty for none.
    out_of
        The two stretches, left and right, which join to it at its start; empty for none.
    ring
        Whether it ends where it began and is sewn to its beginning.
    """

    course: Course
    into: tuple[int, ...] = ()
    out_of: tuple[int, ...] = ()
    ring: bool = False


@dataclass(frozen=True)
class Stretches:
    """All stretches of an area, and what had to be decided.

    Attributes
    ----------
    parts
        The first is the one with which the area begins.
    inside
        For each opening that parts a stretch: its dividing stretch, its joining stretch, and its
        number among the contours.
    """

    parts: tuple[Stretch, ...]
    openings: tuple[tuple[int, int, int], ...] = ()
    remarks: tuple[Remark, ...] = ()
