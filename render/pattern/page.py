"""How large a drawing is on paper."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.errors import PatternError, Remark, SettingError
from render.geometry.polygon import signed_area
from render.pattern.document import Element
from render.pattern.findings import Findings
from render.pattern.transform import Matrix, fit_view_box, view_box
from render.pattern.words import parse_number
from render.units import MM_PER_UNIT, parse_length_mm

LARGEST_MM = 5000.0
COVERS = 0.98


@dataclass(frozen=True)
class Page:
    """The root's size.

    Attributes
    ----------
    matrix
        From the root's user units to mm, the page's upper left corner at 0, 0.
    viewport
        Width and height in user units, None where nothing says so.
    size_mm
        Width and height, None where nothing says so.
    """

    matrix: Matrix
    viewport: tuple[float, float] | None
    size_mm: tuple[float, float] | None

    def is_covered_by(self, outline: NDArray[np.float64]) -> bool:
        """Tell whether an (n, 2) outline is a rectangle as large as the page."""
        if self.size_mm is None or len(outline) != 4:
            return False
        width, height = outline.max(axis=0) - outline.min(axis=0)
        upright = abs(abs(signed_area(outline)) - width * height) <= 1e-3 * width * height
        return bool(
            upright and width >= COVERS * self.size_mm[0] and height >= COVERS * self.size_mm[1]
        )


def page_of(root: Element, findings: Findings, scale_mm_per_unit: float | None) -> Page:
    """Find the size of a drawing.

    Parameters
    ----------
    root
        Its svg element.
    findings
        Takes a remark where the size is in pixels.
    scale_mm_per_unit
        Millimetres to a user unit, which goes before the root's own size.

    Raises
    ------
    PatternError
        Where the root has no size, or an absurd one.
    SettingError
        Where the scale that is asked for makes no sense.
    """
    if scale_mm_per_unit is not None and not 1e-6 <= scale_mm_per_unit <= 1e3:
        raise SettingError(
            f"a scale of {scale_mm_per_unit:g} mm to a unit makes no sense; "
            "it must be from 0.000001 to 1000"
        )
    try:
        box = view_box(root)
        if scale_mm_per_unit is not None:
            return _scaled(box, scale_mm_per_unit)
        width = _side(root, "width")
        height = _side(root, "height")
        if width is None and height is None:
            raise SettingError(
                "the drawing has no physical size; set its width and height in mm in the drawing "
                "program, or say how many mm its unit is"
            )
        page = _sized(box, width, height, root.attributes.get("preserveAspectRatio", ""))
    except SettingError as error:
        raise PatternError(findings.source, (Remark(str(error)),)) from None
    if page.size_mm and any(_in_pixels(root, name) for name in ("width", "height")):
        findings.remark(
            "the size of the drawing is given in pixels, taken as 1/96 inch; that makes it "
            f"{page.size_mm[0]:.1f} × {page.size_mm[1]:.1f} mm"
        )
    return page


def _side(root: Element, name: str) -> float | None:
    """Return the root's width or height in mm, None where it has none of its own."""
    text = root.attributes.get(name, "").strip()
    if text in ("", "auto") or text.endswith("%"):
        return None
    try:
        side = parse_length_mm(text, default_unit="px")
    except SettingError as error:
        raise SettingError(f"the {name} of the drawing: {error}") from None
    if not 0 < side <= LARGEST_MM:
        raise SettingError(
            f"the {name} of the drawing is {side:g} mm; it must be above 0 and at most "
            f"{LARGEST_MM:g} mm"
        )
    return side


def _in_pixels(root: Element, name: str) -> bool:
    """Tell whether a side is a number without unit or in px."""
    text = root.attributes.get(name, "").strip().lower()
    return parse_number(text.removesuffix("px")) is not None


def _scaled(box: tuple[float, float, float, float] | None, scale: float) -> Page:
    """Return the page at a scale the caller gives."""
    if box is None:
        return Page(Matrix(a=scale, d=scale), None, None)
    x, y, width, height = box
    matrix = Matrix(scale, 0, 0, scale, -x * scale, -y * scale)
    return Page(matrix, (width, height), (width * scale, height * scale))


def _sized(
    box: tuple[float, float, float, float] | None,
    width: float | None,
    height: float | None,
    aspect: str,
) -> Page:
    """Return the page of a root with one or both sides in mm."""
    if box is None:
        px = MM_PER_UNIT["px"]
        matrix = Matrix(a=px, d=px)
        if width is None or height is None:
            return Page(matrix, None, None)
        return Page(matrix, (width / px, height / px), (width, height))
    ratio = box[2] / box[3]
    wide = width if width is not None else (height or 0.0) * ratio
    high = height if height is not None else wide / ratio
    return Page(fit_view_box(box, wide, high, aspect), (box[2], box[3]), (wide, high))
