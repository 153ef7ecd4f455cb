"""Affine transforms and the lengths of a drawing, from user units to millimetres."""

import re
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import svgelements
from numpy.typing import NDArray

from render.errors import SettingError
from render.pattern.document import Element
from render.pattern.words import parse_number
from render.units import MM_PER_UNIT, parse_length_mm

Points = NDArray[np.float64]

ENDLESS_MM = 1e9

TRANSFORMS = re.compile(
    r"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\(\s*[-+\d.eE,\s]+"
    r"(?:(?:px|deg)[-+\d.eE,\s]*)*\)[\s,]*)*"
)


class Matrix(NamedTuple):
    """Maps (x, y) to (a x + c y + e, b x + d y + f)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def after(self, inner: "Matrix") -> "Matrix":
        """Return the matrix that applies `inner` first."""
        a, b, c, d, e, f = self
        return Matrix(
            a * inner.a + c * inner.b,
            b * inner.a + d * inner.b,
            a * inner.c + c * inner.d,
            b * inner.c + d * inner.d,
            a * inner.e + c * inner.f + e,
            b * inner.e + d * inner.f + f,
        )

    def map(self, points: Points) -> Points:
        """Return (..., 2) points where the matrix takes them.

        Raises
        ------
        SettingError
            Where that is out of all bounds.
        """
        linear = np.array([[self.a, self.b], [self.c, self.d]])
        with np.errstate(over="ignore", invalid="ignore"):
            mapped: Points = points @ linear + (self.e, self.f)
        if not (np.abs(mapped) <= ENDLESS_MM).all():
            raise SettingError("its coordinates are no sensible numbers; draw it anew")
        return mapped

    def map_one(self, x: float, y: float) -> tuple[float, float]:
        """Return one point where the matrix takes it."""
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def largest_stretch(self, rx: float = 1.0, ry: float = 1.0) -> float:
        """Return the longer semi-axis of the ellipse that one with rx, ry becomes."""
        a, b, c, d = self.a * rx, self.b * rx, self.c * ry, self.d * ry
        half, cross = (a * a + b * b + c * c + d * d) / 2, a * d - b * c
        return float((half + max(half * half - cross * cross, 0.0) ** 0.5) ** 0.5)


@lru_cache(maxsize=4096)
def parse_transform(text: str) -> Matrix:
    """Read a transform attribute or property.

    Raises
    ------
    SettingError
        Where it is none; svgelements would pass over what it does not know.
    """
    if text.strip() in ("", "none"):
        return Matrix()
    if not TRANSFORMS.fullmatch(text):
        raise SettingError(f'its transform "{text}" cannot be read')
    try:
        matrix = svgelements.Matrix(text.replace("px", ""))
        return Matrix(*(float(getattr(matrix, name)) for name in "abcdef"))
    except (ValueError, TypeError, IndexError):
        raise SettingError(f'its transform "{text}" cannot be read') from None


def transform_of(declared: dict[str, str]) -> Matrix:
    """Return the transform of an element from its declarations."""
    matrix = parse_transform(declared["transform"]) if "transform" in declared else Matrix()
    if "transform-origin" in declared and matrix != Matrix():
        x, y = _origin(declared["transform-origin"])
        matrix = Matrix(e=x, f=y).after(matrix).after(Matrix(e=-x, f=-y))
    return matrix


def user_length(element: Element, name: str, whole: float | None, default: float = 0.0) -> float:
    """Read a length attribute.

    Parameters
    ----------
    element
        Has the attribute, or has not.
    name
        Of the attribute.
    whole
        What 100 % is in user units, None where nothing says so.
    default
        For an element without it, in user units.

    Returns
    -------
    User units.

    Raises
    ------
    SettingError
        Where it is no length.
    """
    text = element.attributes.get(name)
    if text is None or text.strip() in ("", "auto"):
        return default
    value = parse_number(text)
    if value is not None:
        return value
    if text.strip().endswith("%") and whole is not None:
        share = parse_number(text.strip()[:-1])
        if share is not None:
            return share / 100 * whole
    try:
        return parse_length_mm(text, default_unit="px") / MM_PER_UNIT["px"]
    except SettingError as error:
        raise SettingError(f"its {name}: {error}") from None


def view_box(element: Element) -> tuple[float, float, float, float] | None:
    """Return min-x, min-y, width and height of a viewBox, None where there is none.

    Raises
    ------
    SettingError
        Where it is not four numbers that span an area.
    """
    text = element.attributes.get("viewBox")
    if text is None:
        return None
    numbers = [parse_number(part) for part in text.replace(",", " ").split()]
    values = [value for value in numbers if value is not None]
    if len(numbers) != 4 or len(values) != 4 or values[2] <= 0 or values[3] <= 0:
        raise SettingError(f'its viewBox "{text}" is not four numbers that span an area')
    return values[0], values[1], values[2], values[3]


def fit_view_box(
    box: tuple[float, float, float, float], width: float, height: float, aspect: str
) -> Matrix:
    """Return the matrix that lays a viewBox into a viewport.

    Parameters
    ----------
    box
        min-x, min-y, width, height.
    width, height
        Of the viewport.
    aspect
        The attribute preserveAspectRatio.

    References
    ----------
    .. W3C, Scalable Vector Graphics 2, section 8.2 "equivalent transform of an SVG viewport"
    """
    x, y, box_width, box_height = box
    across, down = width / box_width, height / box_height
    words = aspect.split()
    if "none" in words:
        return Matrix(across, 0, 0, down, -x * across, -y * down)
    scale = max(across, down) if "slice" in words else min(across, down)
    align = next((word for word in words if word.startswith("x")), "xMidYMid")
    shares = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    left = (width - box_width * scale) * shares.get(align[1:4], 0.5)
    top = (height - box_height * scale) * shares.get(align[5:8], 0.5)
    return Matrix(scale, 0, 0, scale, left - x * scale, top - y * scale)


def _origin(text: str) -> tuple[float, float]:
    """Read the centre of a transform in user units."""
    parts = [parse_number(part.removesuffix("px")) for part in text.split()[:2]]
    x, y = (*parts, 0.0)[:2] if len(parts) == 1 else parts[:2]
    if x is None or y is None:
        raise SettingError(f'its transform-origin "{text}" cannot be read; only lengths in px can')
    return x, y
