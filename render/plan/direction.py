"""Which way an area is worked: a direction line drawn in it says so.

A line belongs to the area in which most of its length lies, wherever its ends are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.geometry.polygon import nearest_on_path, parts_within, path_length, signed_area
from render.plan.rails import Course
from render.pricking.model import Area, Pricking, Run

Points = NDArray[np.float64]

# Half the square of the outline over the size inside it: 4 for a square, 5.3 for a band three times
# as long as it is wide. What is longer has an evident length along which it is worked.
LONG = 5.4
# A line belongs to an area that holds more than this share of its length.
MOSTLY = 0.5
# Of areas that hold as much of a line, within this share, the smallest has it: it is drawn there.
AS_MUCH = 0.01
# A line that comes back as near to its beginning as this share of its length points nowhere.
ROUND = 0.05
# A line that turns as far from its first tenth to its last leads from tip to tip.
BENT = np.cos(np.deg2rad(45))
# Ground brings its pairs from above: what is worked further aside than this would lack some.
ASIDE_OF_GROUND = np.cos(np.deg2rad(40))
# Two lines in one area agree as long as they lead less than this apart.
AGREE = np.cos(np.deg2rad(45))


@dataclass(frozen=True, eq=False)
class Drawn:
    """A direction line as far as it lies in its area.

    Attributes
    ----------
    run
        The line.
    path
        (n, 2) the part inside, in mm.
    """

    run: Run
    path: Points

    @property
    def length(self) -> float:
        """How long the part inside is, in mm."""
        return path_length(self.path)

    @property
    def toward(self) -> Points | None:
        """(2,) unit vector from its beginning to its end, None where they lie together."""
        way = self.path[-1] - self.path[0]
        length = float(np.hypot(*way))
        return None if length <= ROUND * self.length else np.asarray(way / length)

    @property
    def ways(self) -> tuple[Points, Points]:
        """The (2,) unit vectors of its first and its last tenth."""
        tenth = np.array([0, 0.1, 0.9, 1]) * self.length
        steps = np.hypot(*np.diff(self.path, axis=0).T)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        spots = np.column_stack([np.interp(tenth, along, self.path[:, k]) for k in (0, 1)])
        first, last = spots[1] - spots[0], spots[3] - spots[2]
        first, last = (way / max(float(np.hypot(*way)), 1e-12) for way in (first, last))
        return first, last

    @property
    def bent(self) -> bool:
        """Whether it ends in another direction than it begins."""
        first, last = self.ways
        return bool(first @ last < BENT)


@dataclass(frozen=True)
class DrawnLines:
    """The direction lines of a piece, by the number of their area, the longest first."""

    of: Mapping[int, tuple[Drawn, ...]] = field(default_factory=dict)
    remarks: tuple[Remark, ...] = ()


def drawn_directions(pricking: Pricking) -> DrawnLines:
    """Give every direction line to its area, and tell of those that have none."""
    found: dict[int, list[Drawn]] = {}
    remarks: list[Remark] = []
    for run in pricking.runs:
        if run.word != "direction" or len(run.points) < 2:
            continue
        number, drawn, why = _area_of(pricking.areas, run)
        if drawn is None:
            remarks.append(Remark(f"{why}: it says nothing", run.place))
        else:
            found.setdefault(number, []).append(drawn)
    ordered = {
        number: tuple(sorted(lines, key=lambda drawn: -drawn.length))
        for number, lines in sorted(found.items())
    }
    return DrawnLines(ordered, tuple(remarks))


def _area_of(areas: Sequence[Area], run: Run) -> tuple[int, Drawn | None, str]:
    """Return the area a line is drawn in and its part there, or why there is none."""
    inside = [parts_within(area.contours, run.points) for area in areas]
    whole = path_length(run.points)
    shares = np.array([sum(map(path_length, parts)) for parts in inside]) / max(whole, 1e-12)
    if not len(shares) or not shares.max() > 0:
        return -1, None, "this direction lies in no area"
    most = float(shares.max())
    if most <= MOSTLY:
        return -1, None, "no area holds more than half of this direction"
    holding = np.flatnonzero(shares >= most - AS_MUCH).tolist()
    number = min(holding, key=lambda k: (_size(areas[k]), k))
    if areas[number].stitch == "open":
        return -1, None, "nothing is worked in the area of this direction"
    return number, Drawn(run, np.vstack(inside[number])), ""


def _size(area: Area) -> float:
    return abs(signed_area(area.contours[0])) - sum(
        abs(signed_area(contour)) for contour in area.contours[1:]
    )


def heading(pricking: Pricking, lines: Sequence[Drawn], *, fed: bool) -> Points:
    """Return the (2,) unit vector in which an area is worked that holds these lines."""
    toward = lines[0].toward if lines else None
    if toward is None or (fed and toward @ pricking.down < ASIDE_OF_GROUND):
        return pricking.down
    return toward


def led_by(lines: Sequence[Drawn], spots: Points) -> tuple[int, int] | None:
    """Return which of (n, 2) edge holes a bent line leads from and to, None for no such line."""
    if not lines or lines[0].toward is None or not lines[0].bent:
        return None
    ends = lines[0].path[[0, -1]]
    first, last = (int(np.hypot(*(spots - end).T).argmin()) for end in ends)
    return (first, last) if first != last else None


def is_compact(area: Area) -> bool:
    """Tell whether an area has no evident length."""
    outline = area.contours[0]
    size = abs(signed_area(outline))
    return path_length(outline, closed=True) ** 2 < 4 * LONG * size


def runs_against(pricking: Pricking, course: Course, line: Drawn) -> bool:
    """Tell whether a course goes through an area against a line drawn in it."""
    stops = [*course.start, *(visit.hole for visit in course.visits), *course.end]
    _, along = nearest_on_path(pricking.holes[stops], line.path[[0, -1]], closed=False)
    return bool(along[1] < along[0])


def turns_about(line: Drawn, outline: Points) -> int:
    """Tell whether a line runs clockwise round an outline (1), the other way (-1), or neither (0).

    It has to run along the outline for half its length at least.
    """
    fine = max(8, 4 * len(line.path))
    steps = np.hypot(*np.diff(line.path, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0, along[-1], fine)
    spots = np.column_stack([np.interp(at, along, line.path[:, k]) for k in (0, 1)])
    middle = outline.mean(axis=0)
    away = spots - middle
    # With y down the page an angle that grows from x to y runs clockwise.
    turned = np.diff(np.unwrap(np.arctan2(away[:, 1], away[:, 0])))
    around = float(turned @ np.hypot(*(away[1:] + away[:-1]).T) / 2)
    return int(np.sign(around)) if abs(around) >= 0.5 * line.length else 0


def conflicts(
    pricking: Pricking, lines: Sequence[Drawn], *, fed: bool, course: Course | None = None
) -> tuple[Remark, ...]:
    """Tell of lines that an area cannot be worked along.

    Parameters
    ----------
    lines
        Those drawn in it.
    fed
        Whether ground feeds it.
    course
        Its course where it is worked along its own length.
    """
    if not lines:
        return ()
    first, told = lines[0], []
    toward = first.toward
    if course is None and toward is None:
        message = (
            "this direction ends where it began: the area is worked in the working direction of "
            "the piece"
        )
        told.append(Remark(message, first.run.place))
    elif fed and toward is not None and toward @ pricking.down < ASIDE_OF_GROUND:
        message = (
            "the ground brings its pairs from above, not from where this direction comes: the area "
            "is worked in the working direction of the piece"
        )
        told.append(Remark(message, first.run.place))
    for other in lines[1:]:
        if _disagrees(pricking, first, other, course):
            message = (
                f"this direction and {first.run.place.item} contradict each other in one area: the "
                "longer one is followed"
            )
            told.append(Remark(message, other.run.place))
    return tuple(told)


def _disagrees(pricking: Pricking, first: Drawn, other: Drawn, course: Course | None) -> bool:
    if course is not None:
        return runs_against(pricking, course, other)
    a, b = first.toward, other.toward
    return a is not None and b is not None and bool(a @ b < AGREE)
