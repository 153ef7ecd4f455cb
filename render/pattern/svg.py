"""Turn an SVG drawing into marks."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from render.errors import PatternError, Place, Remark, SettingError
from render.pattern.blank import is_background, is_outline_of
from render.pattern.contours import Contour, contours_of, ellipse_of
from render.pattern.document import Element, parse_document
from render.pattern.findings import Findings
from render.pattern.heading import Heading, read_heading, root_words
from render.pattern.key import ColourKey
from render.pattern.labels import read_labels
from render.pattern.marks import FARTHEST_MM, Marks
from render.pattern.model import Line, Region
from render.pattern.nest import nest
from render.pattern.page import Page, page_of
from render.pattern.shades import Shades
from render.pattern.style import Paint, paint_of
from render.pattern.walk import Drawn, Walk
from render.pattern.words import (
    ELEMENT_WORDS,
    LINE_OPTIONS,
    REGION_OPTIONS,
    Check,
    check_line,
    check_stitch,
    wrong_options,
)

Points = NDArray[np.float64]

LARGEST_HOLE_MM = 2.0
ROUNDING_MM = 1e-6


def read_svg(
    data: bytes, findings: Findings, key: ColourKey, scale_mm_per_unit: float | None
) -> tuple[Marks, Heading]:
    """Read a drawing.

    Parameters
    ----------
    data
        The file.
    findings
        Takes faults and remarks.
    key
        Which colour stands for which word.
    scale_mm_per_unit
        Millimetres to a user unit, in place of what the root says; None to go by the root.

    Raises
    ------
    PatternError
        Where the file as a whole cannot be read; faults of its parts go to `findings`.
    """
    root = parse_document(data, findings.source)
    if root.tag != "svg":
        message = f'it is not a drawing; its outermost element is "{root.tag}", not "svg"'
        raise PatternError(findings.source, (Remark(message),))
    page = page_of(root, findings, scale_mm_per_unit)
    heading = read_heading(root_words(root, findings), findings, "data-")
    walk = Walk(root, findings)
    reader = _Reader(findings, Shades(key), page, walk.ids)
    for drawn in walk.shapes(page.matrix, page.viewport):
        reader.take(drawn)
    reader.report()
    reader.marks.labels = read_labels(root, page.matrix)
    return reader.marks, heading


class _Reader:
    """Takes shapes one by one and says what each marks."""

    def __init__(
        self, findings: Findings, shades: Shades, page: Page, ids: Mapping[str, Element]
    ) -> None:
        self.findings = findings
        self.shades = shades
        self.page = page
        self.ids = ids
        self.marks = Marks()
        self.regions = 0
        self.lines = 0
        self.unseen = 0

    def report(self) -> None:
        """Tell what was matched and what was left out."""
        self.shades.report(self.findings)
        if self.unseen:
            shapes = "shape has" if self.unseen == 1 else "shapes have"
            were = "was" if self.unseen == 1 else "were"
            self.findings.remark(
                f"{self.unseen} {shapes} neither fill nor stroke and {were} left out", kind="note"
            )

    def take(self, drawn: Drawn) -> None:
        """Read a shape as holes, regions or lines."""
        try:
            if drawn.element.tag in ("circle", "ellipse"):
                x, y, rx, ry = ellipse_of(drawn.element, drawn.viewport)
                across = 2 * drawn.matrix.largest_stretch(rx, ry)
                if across <= LARGEST_HOLE_MM + ROUNDING_MM:
                    self._hole(drawn, *drawn.matrix.map_one(x, y))
                    return
            contours = contours_of(drawn.element, drawn.matrix, drawn.viewport)
        except SettingError as error:
            self.findings.fault(str(error), self.findings.place(drawn.element.name))
            return
        if not contours:
            self._without_size(drawn)
        shapes: list[Contour] = []
        for contour in contours:
            centre = contour.round_centre(LARGEST_HOLE_MM + ROUNDING_MM)
            if centre is None:
                shapes.append(contour)
            else:
                self._hole(drawn, float(centre[0]), float(centre[1]))
        self._shapes(drawn, shapes)

    def _hole(self, drawn: Drawn, x: float, y: float) -> None:
        """Take a hole and its tag."""
        words = drawn.words
        stitch, shade = words.get("stitch"), None
        if stitch is None:
            fill = self._paint(drawn, "fill")
            stitch, shade = self.shades.tag(fill), fill.shade
        try:
            self._check_distance(x, y)
            if "stitch" in words:
                check_stitch(words["stitch"])
            if "line" in drawn.element.words:
                raise SettingError(
                    "a circle up to 2 mm across is a hole and cannot be a line; draw it larger"
                )
        except SettingError as error:
            name = drawn.element.attributes.get("id")
            item = f'hole "{name}"' if name else f"hole {len(self.marks.holes) + 1}"
            place = self.findings.place(item, x, y)
            self.findings.fault(str(error), place)
        self.marks.add_hole(x, y, stitch, words.get("area") if stitch else None, shade)

    def _shapes(self, drawn: Drawn, contours: list[Contour]) -> None:
        """Take the larger shapes of an element: closed ones as regions, open ones as lines."""
        closed = [contour for contour in contours if contour.closed]
        if "line" in drawn.words or self._runs_round(drawn):
            for contour in contours:
                self._line(drawn, contour)
            return
        if len(closed) == 1 and is_background(
            drawn, closed[0], self.page, self._paint(drawn, "fill")
        ):
            self.findings.remark(
                "a rectangle as large as the page was taken for its background and left out",
                self._place(drawn, "shape", closed[0].points),
                "note",
            )
            return
        for nested in nest([contour.points for contour in closed]):
            self._region(drawn, nested)
        for contour in contours:
            if not contour.closed:
                self._line(drawn, contour)

    def _region(self, drawn: Drawn, contours: tuple[Points, ...]) -> None:
        """Take a region."""
        fill, stroke = self._paint(drawn, "fill"), self._paint(drawn, "stroke")
        if self._shows_nothing(drawn, fill, stroke) or self._is_outline_only(drawn, fill, contours):
            return
        self.regions += 1
        area = drawn.words.get("area")
        called = f'region "{area}"' if area else f"region {self.regions}"
        place = self._place(drawn, called, contours[0])
        try:
            for contour in contours:
                self._check_distance(*np.abs(contour).max(axis=0))
            if "stitch" in drawn.words:
                stitch = drawn.words["stitch"]
                check_stitch(stitch)
            elif fill.shown:
                stitch = self.shades.stitch(fill, "fill")
            else:
                stitch = self.shades.stitch(stroke, "stroke")
        except SettingError as error:
            self.findings.fault(f"{error}{self._too_large(drawn)}", place)
            return
        options = self._options(drawn, REGION_OPTIONS, "region", place)
        if stitch == "ground" and "ground" not in options:
            self.findings.remark(
                "no data-ground says which ground it is, so it is worked in the pattern's own",
                place,
            )
        shade = (fill if fill.shown else stroke).shade
        self.marks.regions.append(Region(contours, stitch, place, options, shade))

    def _too_large(self, drawn: Drawn) -> str:
        """Return what to add where a circle without a word may have been meant for a hole."""
        if drawn.element.tag not in ("circle", "ellipse") or "stitch" in drawn.words:
            return ""
        _, _, rx, ry = ellipse_of(drawn.element, drawn.viewport)
        across = 2 * drawn.matrix.largest_stretch(rx, ry)
        return (
            f"; for a hole it is too large, {across:.1f} mm across and {LARGEST_HOLE_MM:g} at most"
        )

    def _line(self, drawn: Drawn, contour: Contour) -> None:
        """Take a line."""
        stroke = self._paint(drawn, "stroke")
        fill = self._paint(drawn, "fill")
        points = contour.points
        if contour.closed:
            points = np.concatenate([points, points[:1]])
        if "line" not in drawn.words and self._shows_nothing(drawn, stroke, fill):
            return
        self.lines += 1
        place = self._place(drawn, f"line {self.lines}", points, middle=False)
        try:
            self._check_distance(*np.abs(points).max(axis=0))
            word = self._line_word(drawn, stroke)
        except SettingError as error:
            self.findings.fault(str(error), place)
            return
        options = self._options(drawn, LINE_OPTIONS, "line", place)
        self.marks.lines.append(Line(points, word, place, options))

    def _line_word(self, drawn: Drawn, stroke: Paint) -> str:
        """Return what a line is."""
        if "line" in drawn.words:
            check_line(drawn.words["line"])
            return drawn.words["line"]
        if "stitch" in drawn.element.words:
            raise SettingError(
                "it has data-stitch but is open; close the shape, or add data-line if it is a line"
            )
        if not stroke.shown:
            raise SettingError(
                "it is open and filled without a stroke; close the shape if it is a region, or "
                "give it a stroke of the key's colours if it is a line"
            )
        return self.shades.line(stroke)

    def _runs_round(self, drawn: Drawn) -> bool:
        """Tell whether a closed shape is a line that meets its own beginning."""
        if "stitch" in drawn.words or self._paint(drawn, "fill").shown:
            return False
        return self.shades.only_line(self._paint(drawn, "stroke"))

    def _options(
        self, drawn: Drawn, table: Mapping[str, Check], kind: str, place: Place
    ) -> dict[str, str]:
        """Return the checked options of a region or line; say which have no place there."""
        options = {name: text for name, text in drawn.words.items() if name in table}
        for wrong in wrong_options(options, table):
            self.findings.fault(wrong, place)
        for name in drawn.element.words:
            if name in ELEMENT_WORDS - {"stitch", "line", "role", *table}:
                self.findings.remark(
                    f"data-{name} says nothing about a {kind} and was left out", place
                )
        return options

    def _shows_nothing(self, drawn: Drawn, *paints: Paint) -> bool:
        """Tell, and count, that a shape without words has neither fill nor stroke."""
        if "stitch" in drawn.words or any(paint.shown for paint in paints):
            return False
        self.unseen += 1
        return True

    def _without_size(self, drawn: Drawn) -> None:
        """Fault an element that marks something and draws nothing; remark on any other."""
        place = self.findings.place(drawn.element.name)
        if {"stitch", "line"} & set(drawn.element.words):
            self.findings.fault("it has no size; draw it anew or delete it", place)
        else:
            self.findings.remark("it has no size and was left out", place, "note")

    def _is_outline_only(self, drawn: Drawn, fill: Paint, contours: tuple[Points, ...]) -> bool:
        """Tell whether a shape only strokes the region before it."""
        before = self.marks.regions[-1].contours[0] if self.marks.regions else None
        return before is not None and is_outline_of(before, drawn, contours[0], fill)

    def _check_distance(self, x: float, y: float) -> None:
        """Refuse positions that no pattern has."""
        if not (abs(x) <= FARTHEST_MM and abs(y) <= FARTHEST_MM):
            raise SettingError(
                f"it lies more than {FARTHEST_MM / 1000:g} m from the corner of the page; "
                "check the size of the drawing"
            )

    def _paint(self, drawn: Drawn, what: str) -> Paint:
        """Return the fill or stroke of a shape."""
        return paint_of(drawn.style, what, self.ids)

    def _place(self, drawn: Drawn, item: str, points: Points, *, middle: bool = True) -> Place:
        """Return where a shape stands: by its id or, without one, by what it is called here."""
        name = drawn.element.attributes.get("id")
        if name:
            item = f'{item.split()[0]} "{name}"'
        x, y = (points.min(axis=0) + points.max(axis=0)) / 2 if middle else points[0]
        return self.findings.place(item, float(x), float(y))
