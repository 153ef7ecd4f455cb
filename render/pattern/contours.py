"""The shapes of a drawing as points in millimetres."""

import math
import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import svgelements
from numpy.typing import NDArray

from render.errors import SettingError
from render.pattern.document import Element
from render.pattern.transform import Matrix, user_length

Points = NDArray[np.float64]

FLATNESS_MM = 0.02
MEETS_MM = 0.01
# So few that a small circle drawn as a path still is round enough to be known for one.
LEAST_PIECES = 4
MOST_PIECES = 2000
ROUNDNESS = 1.5

# Atomic and possessive, so that no text makes the matching slow.
NUMBER = r"(?>[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"
NUMBERS = rf"[\s,]*+(?:{NUMBER}[\s,]*+)"
PATH_DATA = re.compile(
    rf"\s*+(?:[Mm]{NUMBERS}++(?:[LlHhVvCcSsQqTtAaMm]{NUMBERS}++|[Zz][\s,]*+)*+)?"
)
RELATIVE_PATH = re.compile(
    rf"\s*+(?:m[\s,]*+|M[\s,]*+(?={NUMBER}[\s,]*+{NUMBER}[\s,]*+[a-z]))"
    rf"(?P<x>{NUMBER})[\s,]*+(?P<y>{NUMBER})[\s,]*+(?P<rest>[^A-Z]*+)"
)
COORDINATES = re.compile(rf"{NUMBERS}*+[\s,]*+")
SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})


@dataclass(frozen=True, eq=False)
class Contour:
    """One piece of outline or line.

    Attributes
    ----------
    points
        (n, 2) in mm; the first is not repeated at the end of a closed one.
    closed
        Whether the last point is joined to the first.
    curved
        Whether it has no straight piece.
    """

    points: Points
    closed: bool
    curved: bool = False

    def round_centre(self, largest_mm: float) -> Points | None:
        """Return the centre (2,) of a small circle or ellipse, None where it is something else."""
        size = (self.points.max(axis=0) - self.points.min(axis=0)).max()
        if not (self.closed and self.curved and 0 < size <= largest_mm):
            return None
        middle: Points = self.points.mean(axis=0)
        x, y = (self.points - middle).T
        # By the second moments, an ellipse reaches equally far in every direction.
        xx, yy, xy = x @ x, y @ y, x @ y
        reach = yy * x**2 - 2 * xy * x * y + xx * y**2
        return middle if 0 < reach.max() <= ROUNDNESS * reach.min() else None


def contours_of(
    element: Element, matrix: Matrix, viewport: tuple[float, float] | None
) -> list[Contour]:
    """Return what an element draws.

    Parameters
    ----------
    element
        One of SHAPES.
    matrix
        From its user units to mm.
    viewport
        Width and height that percentages refer to, in user units.

    Raises
    ------
    SettingError
        Where its attributes are no shape.
    """
    if element.tag == "path":
        return _of_path(element.attributes.get("d", ""), matrix)
    if element.tag in ("polyline", "polygon"):
        points = _coordinates(element.attributes.get("points", ""))
        return _tidy([(matrix.map(points), element.tag == "polygon", False)])
    if element.tag == "line":
        return _tidy([(matrix.map(_ends_of_line(element, viewport)), False, False)])
    if element.tag == "rect":
        return _of_path(_rect_data(element, viewport), matrix)
    x, y, rx, ry = ellipse_of(element, viewport)
    return _of_path(
        f"M{x + rx!r},{y!r}A{rx!r},{ry!r},0,0,1,{x - rx!r},{y!r}"
        f"A{rx!r},{ry!r},0,0,1,{x + rx!r},{y!r}Z",
        matrix,
    )


def ellipse_of(
    element: Element, viewport: tuple[float, float] | None
) -> tuple[float, float, float, float]:
    """Return centre and radii of a circle or ellipse in user units.

    Raises
    ------
    SettingError
        Where they are no numbers, or a radius is not above zero.
    """
    wide, high = viewport or (None, None)
    x, y = user_length(element, "cx", wide), user_length(element, "cy", high)
    if element.tag == "circle":
        mean = math.hypot(wide, high) / math.sqrt(2) if wide and high else None
        rx = ry = user_length(element, "r", mean)
    else:
        rx, ry = user_length(element, "rx", wide), user_length(element, "ry", high)
        # SVG 2 lets one radius follow the other.
        rx, ry = (
            (ry if "rx" not in element.attributes else rx),
            (rx if "ry" not in element.attributes else ry),
        )
    if not (rx > 0 and ry > 0):
        raise SettingError("it has no size; give it a radius or delete it")
    return x, y, rx, ry


def _ends_of_line(element: Element, viewport: tuple[float, float] | None) -> Points:
    """Return the two ends of a line element."""
    wide, high = viewport or (None, None)
    return np.array(
        [
            [user_length(element, "x1", wide), user_length(element, "y1", high)],
            [user_length(element, "x2", wide), user_length(element, "y2", high)],
        ]
    )


def _rect_data(element: Element, viewport: tuple[float, float] | None) -> str:
    """Return a rectangle, with its rounded corners, as path data."""
    wide, high = viewport or (None, None)
    x, y = user_length(element, "x", wide), user_length(element, "y", high)
    width, height = user_length(element, "width", wide), user_length(element, "height", high)
    if not (width > 0 and height > 0):
        raise SettingError("it has no size; give it a width and a height or delete it")
    rx, ry = user_length(element, "rx", wide), user_length(element, "ry", high)
    rx, ry = (rx or ry) if "rx" not in element.attributes else rx, (ry or rx)
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x!r},{y!r}h{width!r}v{height!r}h{-width!r}Z"
    corner = f"a{rx!r},{ry!r},0,0,1,"
    return (
        f"M{x + rx!r},{y!r}h{width - 2 * rx!r}{corner}{rx!r},{ry!r}v{height - 2 * ry!r}"
        f"{corner}{-rx!r},{ry!r}h{2 * rx - width!r}{corner}{-rx!r},{-ry!r}"
        f"v{2 * ry - height!r}{corner}{rx!r},{-ry!r}Z"
    )


def _coordinates(text: str) -> Points:
    """Read the points of a polyline or polygon."""
    if not COORDINATES.fullmatch(text):
        raise SettingError("its points are not numbers")
    values = [float(value) for value in re.findall(NUMBER, text)]
    if len(values) % 2:
        raise SettingError("its last point has an x and no y")
    return np.array(values).reshape(-1, 2)


def _of_path(data: str, matrix: Matrix) -> list[Contour]:
    """Return the pieces of path data, curves flattened."""
    if not PATH_DATA.fullmatch(data):
        raise SettingError("its path data cannot be read; draw it anew")
    relative = RELATIVE_PATH.fullmatch(data)
    if relative is None:
        return _flattened_path(data, matrix)
    # Holes drawn as paths are mostly one shape at many places; it is flattened once.
    start = np.array(matrix.map_one(float(relative["x"]), float(relative["y"])))
    pieces = _flattened_path_at_origin(relative["rest"], matrix._replace(e=0.0, f=0.0))
    return [Contour(piece.points + start, piece.closed, piece.curved) for piece in pieces]


@lru_cache(maxsize=256)
def _flattened_path_at_origin(rest: str, matrix: Matrix) -> list[Contour]:
    """Return the pieces of a path that begins at 0, 0."""
    return _flattened_path(f"m0,0 {rest}", matrix)


def _flattened_path(data: str, matrix: Matrix) -> list[Contour]:
    """Return the pieces of path data that has been checked."""
    try:
        # svgelements stops without a word at what it cannot read, hence the check before.
        segments = list(svgelements.Path(data))
    except (ValueError, IndexError, TypeError, ZeroDivisionError):
        raise SettingError("its path data lacks a number; draw it anew") from None
    pieces: list[tuple[list[Points], bool, bool]] = []
    for segment in segments:
        if isinstance(segment, svgelements.Move) or not pieces or pieces[-1][1]:
            start = segment.end if isinstance(segment, svgelements.Move) else segment.start
            pieces.append(([_mapped(matrix, start)], False, True))
        points, _, curved = pieces[-1]
        if isinstance(segment, svgelements.Close):
            pieces[-1] = (points, True, curved)
        elif not isinstance(segment, svgelements.Move):
            straight = isinstance(segment, svgelements.Line)
            points.append(_flattened(segment, matrix))
            pieces[-1] = (points, False, curved and not straight)
    return _tidy([(np.concatenate(points), closed, curved) for points, closed, curved in pieces])


def _mapped(matrix: Matrix, *points: svgelements.Point) -> Points:
    """Return svgelements points in mm, (n, 2)."""
    return matrix.map(np.array([[point.x, point.y] for point in points], float))


def _flattened(segment: svgelements.PathSegment, matrix: Matrix) -> Points:
    """Return the points of a segment but for its first, (n, 2)."""
    if isinstance(segment, svgelements.CubicBezier):
        control = _mapped(matrix, segment.start, segment.control1, segment.control2, segment.end)
        return _bezier(control)
    if isinstance(segment, svgelements.QuadraticBezier):
        return _bezier(_mapped(matrix, segment.start, segment.control, segment.end))
    if isinstance(segment, svgelements.Arc):
        return _arc(segment, matrix)
    return _mapped(matrix, segment.end)


def _bezier(control: Points) -> Points:
    """Flatten a Bézier curve of degree 2 or 3.

    References
    ----------
    .. G. Wang, "The subdivision method for finding the intersection between two Bézier curves or
       surfaces", Zhejiang University Journal (1984): the number of equal steps that keeps the
       chords within a distance of the curve
    """
    degree = len(control) - 1
    bend = np.hypot(*np.diff(control, n=2, axis=0).T).max()
    t = _steps(math.sqrt(degree * (degree - 1) / 8 * bend / FLATNESS_MM))
    if degree == 2:
        weights = np.stack([(1 - t) ** 2, 2 * t * (1 - t), t**2], axis=1)
    else:
        weights = np.stack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3], axis=1)
    points: Points = weights @ control
    return points


def _arc(arc: svgelements.Arc, matrix: Matrix) -> Points:
    """Flatten an elliptical arc; one with a radius of zero is a straight line, as SVG has it."""
    centre, major, minor, start, end = (
        np.array([point.x, point.y], float)
        for point in (arc.center, arc.prx, arc.pry, arc.start, arc.end)
    )
    u, v = major - centre, minor - centre
    if not (u @ u > 0 and v @ v > 0 and arc.sweep):
        return matrix.map(end[None])
    first = math.atan2((start - centre) @ v / (v @ v), (start - centre) @ u / (u @ u))
    radius = matrix.largest_stretch(float(np.hypot(*u)), float(np.hypot(*v)))
    largest_step = 2 * math.acos(max(1 - FLATNESS_MM / max(radius, FLATNESS_MM), 0.0))
    t = first + arc.sweep * _steps(abs(arc.sweep) / largest_step)
    points = centre + np.cos(t)[:, None] * u + np.sin(t)[:, None] * v
    points[-1] = end
    return matrix.map(points)


def _steps(wanted: float) -> NDArray[np.float64]:
    """Return parameters of at least so many equal steps, without the first."""
    count = min(max(math.ceil(wanted), LEAST_PIECES), MOST_PIECES)
    return np.arange(1, count + 1) / count


def _tidy(pieces: list[tuple[Points, bool, bool]]) -> list[Contour]:
    """Drop points that repeat the one before and pieces without extent; find what is closed."""
    contours = []
    for points, closed, curved in pieces:
        if len(points) < 2:
            continue
        moved = np.hypot(*np.diff(points, axis=0).T) > 1e-6
        kept = points[np.concatenate([[True], moved])]
        gap = np.hypot(*(kept[-1] - kept[0]))
        meets = len(kept) > 2 and gap <= MEETS_MM
        if meets or (closed and gap <= 1e-6):
            kept, closed = kept[:-1], True
        if len(kept) >= 2:
            contours.append(Contour(kept, closed and len(kept) > 2, curved))
    return contours
